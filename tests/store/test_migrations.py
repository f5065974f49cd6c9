"""The tables of a database are those of this release, however it came to them."""

from __future__ import annotations

import pytest
from alembic import command
from alembic.util import CommandError
from sqlalchemy import Engine, MetaData, inspect

from ribstitch.store import NewerDatabaseError, make_engine, upgrade
from ribstitch.store.engine import WRITES
from ribstitch.store.migrate import config_for
from ribstitch.store.tables import Base


def test_migrations_from_empty_make_the_tables_of_the_models(engine: Engine) -> None:
    """Alembic's own comparison finds nothing to do."""
    with engine.connect() as connection:
        command.check(config_for(connection))


def test_a_missing_column_would_be_found(engine: Engine) -> None:
    """The comparison above can fail."""
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        with connection.begin():
            connection.exec_driver_sql("ALTER TABLE place DROP COLUMN name")
        with pytest.raises(CommandError, match="add_column"):
            command.check(config_for(connection))


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


def test_database_of_a_later_release_is_refused_as_it_is(engine: Engine) -> None:
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(NewerDatabaseError, match=r"later release .* 9999"):
        upgrade(engine)
    with engine.connect() as connection:
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
