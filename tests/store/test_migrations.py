"""The tables of a database are those of this release, however it came to them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest
from alembic import command
from alembic.util import CommandError
from sqlalchemy import Engine, MetaData, inspect
from sqlalchemy.exc import DatabaseError, IntegrityError

from ribstitch.planning.schedule import schedule
from ribstitch.store import Edit, NewerDatabaseError, Store, make_engine, upgrade
from ribstitch.store.engine import WRITES
from ribstitch.store.migrate import config_for
from ribstitch.store.tables import Base
from tests.store import first_release
from tests.store.plans import AT, LEAD, full_plan


def test_migrations_from_empty_make_the_tables_of_the_models(engine: Engine) -> None:
    """Alembic's own comparison finds nothing to do."""
    with engine.connect() as connection:
        command.check(config_for(connection))


@pytest.fixture
def own_engine(database_url: str) -> Iterator[Engine]:
    """A database of the test's own: it may change the tables."""
    engine = make_engine(database_url)
    upgrade(engine)
    yield engine
    engine.dispose()


def test_a_missing_column_would_be_found(own_engine: Engine) -> None:
    """The comparison above can fail."""
    with own_engine.connect().execution_options(**{WRITES: True}) as connection:
        with connection.begin():
            connection.exec_driver_sql("ALTER TABLE place DROP COLUMN name")
        with pytest.raises(CommandError, match="add_column"):
            command.check(config_for(connection))


@pytest.fixture
def old_engine(database_url: str) -> Iterator[Engine]:
    """A database of the first release with a project in it, brought up to this one."""
    engine = make_engine(database_url)
    first_release.fill(engine)
    upgrade(engine)
    yield engine
    engine.dispose()


def test_what_the_first_release_kept_means_the_same_today(old_engine: Engine) -> None:
    with Store(old_engine).reading() as reading:
        assert reading.plan(1).plan == first_release.PLAN
    assert schedule(first_release.PLAN).finish_on == date(2026, 1, 5)


def test_tables_brought_up_are_those_made_from_empty(old_engine: Engine) -> None:
    with old_engine.connect() as connection:
        command.check(config_for(connection))


def test_references_still_hold_in_tables_brought_up(old_engine: Engine) -> None:
    """Old ones (a task's zone), new ones (what opens a zone), and the logs' triggers."""
    store, plan = Store(old_engine), first_release.PLAN
    zone, task = plan.zones[0], plan.tasks[0]
    for edit in (
        Edit("zone", "tail", zone, replace(zone, opened_by="lost")),
        Edit("task", "T1", task, replace(task, zone="lost")),
        Edit("risk", "R2", plan.risks[1], replace(plan.risks[1], send_out="lost")),
    ):
        with pytest.raises(IntegrityError), store.begin(LEAD, AT) as work:
            work.write(1, 2, [edit], "edit", "")
    with (
        old_engine.connect().execution_options(**{WRITES: True}) as connection,
        pytest.raises(DatabaseError, match="forecast_log is append-only"),
    ):
        connection.exec_driver_sql("DELETE FROM forecast_log")


def test_a_further_project_fits_into_tables_brought_up(old_engine: Engine) -> None:
    store = Store(old_engine)
    with store.begin(LEAD, AT) as work:
        number = work.add_plan(full_plan())
    with store.reading() as reading:
        assert reading.plan(number).plan == full_plan()
        assert reading.plan(1).plan == first_release.PLAN


def test_upgrading_twice_changes_nothing(engine: Engine) -> None:
    before = _tables(engine)
    upgrade(engine)
    assert _tables(engine) == before


def test_every_constraint_has_a_name(engine: Engine) -> None:
    inspector = inspect(engine)
    for table in Base.metadata.tables:
        assert inspector.get_pk_constraint(table)["name"] == f"pk_{table}"
        for key in inspector.get_foreign_keys(table):
            assert str(key["name"]).startswith(f"fk_{table}_")


def test_two_upgrades_at_once_both_succeed(database_url: str) -> None:
    """As when two processes of a service start on an empty database."""
    from threading import Barrier, Thread

    barrier, failures = Barrier(2), []

    def start() -> None:
        engine = make_engine(database_url)
        barrier.wait()
        try:
            upgrade(engine)
        except Exception as failed:  # noqa: BLE001 - whatever it is, the test shows it
            failures.append(failed)
        finally:
            engine.dispose()

    threads = [Thread(target=start) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert failures == []
    engine = make_engine(database_url)
    assert "task" in _tables(engine)
    engine.dispose()


def test_database_of_a_later_release_is_refused_as_it_is(own_engine: Engine) -> None:
    with own_engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(NewerDatabaseError, match=r"later release .* 9999"):
        upgrade(own_engine)
    with own_engine.connect() as connection:
        seen = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one()
    assert seen == "9999"


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("mysql+pymysql://localhost/ribstitch", "mysql is neither sqlite nor postgresql"),
        ("ribstitch.db", "no database address"),
        ("postgresql://localhost:port/ribstitch", "no database address"),
        ("sqlite://", "keeps nothing without a file"),
        ("sqlite:///:memory:", "keeps nothing without a file"),
    ],
)
def test_other_addresses_are_refused(url: str, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        make_engine(url)


def _tables(engine: Engine) -> dict[str, list[str]]:
    """Return the tables of a database with their columns."""
    metadata = MetaData()
    metadata.reflect(engine)
    return {
        name: [column.name for column in table.columns] for name, table in metadata.tables.items()
    }
