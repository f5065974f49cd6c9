"""What the database itself refuses, whoever asks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import DatabaseError, IntegrityError

from ribstitch.store import Edit, LoggedSpread, Store
from ribstitch.store.engine import WRITES
from tests.store.plans import AT, LEAD, short_plan


@pytest.fixture
def project_id(store: Store) -> int:
    """A stored project with one entry in each of its logs."""
    plan = short_plan()
    day = plan.project.as_of
    with store.begin(LEAD, AT) as work:
        number = work.add_plan(plan)
        work.log_forecast(number, 1, day, day, "")
        work.log_spread(
            number, LoggedSpread(1, AT.date(), day, day, day, day, day, 0.5, 100, 1, 1), b"{}"
        )
    return number


def test_a_reference_to_nothing_is_refused_at_commit(store: Store, project_id: int) -> None:
    task = short_plan().tasks[0]
    lost = replace(task, zone="nowhere")
    with pytest.raises(IntegrityError), store.begin(LEAD, AT) as work:
        work.write(project_id, 2, [Edit("task", "open", task, lost)], "task.edit", "")
    with store.reading() as reading:
        assert reading.plan(project_id).plan == short_plan()
        assert reading.plan_version(project_id) == 1


def test_things_may_be_written_before_what_they_refer_to(store: Store, project_id: int) -> None:
    plan = short_plan()
    moved = replace(plan.tasks[0], zone="bow")
    zone = replace(plan.zones[0], id="bow")
    with store.begin(LEAD, AT) as work:
        edits = [Edit("task", "open", plan.tasks[0], moved), Edit("zone", "bow", None, zone)]
        work.write(project_id, 2, edits, "task.edit", "")
    with store.reading() as reading:
        assert reading.plan(project_id).plan.tasks[0].zone == "bow"


@pytest.mark.parametrize("table", ["change", "forecast_log", "forecast_spread", "plan_snapshot"])
@pytest.mark.parametrize(
    "statement", ["UPDATE {} SET plan_version = 9", "DELETE FROM {}"], ids=["update", "delete"]
)
def test_logs_are_append_only(engine: Engine, project_id: int, table: str, statement: str) -> None:
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        with pytest.raises(DatabaseError, match=f"the {table} is append-only"):
            connection.execute(text(statement.format(table)))
        connection.rollback()
        count = connection.scalar(text(f"SELECT count(*) FROM {table}"))  # noqa: S608 - our own name
    assert count == 1


def test_a_spread_needs_its_entry_in_the_forecast_log(store: Store, project_id: int) -> None:
    day = AT.date()
    unknown = LoggedSpread(2, day, day, day, day, day, day, None, 100, 1, 1)
    with pytest.raises(IntegrityError), store.begin(LEAD, AT) as work:
        work.log_spread(project_id, unknown, b"{}")


def test_a_plan_version_has_one_spread_a_day(store: Store, project_id: int) -> None:
    with store.reading() as look:
        (spread,) = look.spreads(project_id)
        assert look.last_spread_number(project_id) > 0
        assert look.last_spread_number(project_id + 1) == 0
    with pytest.raises(IntegrityError), store.begin(LEAD, AT) as work:
        work.log_spread(project_id, spread, b"{}")


def test_a_project_with_things_cannot_be_deleted(engine: Engine, project_id: int) -> None:
    with (
        engine.connect().execution_options(**{WRITES: True}) as connection,
        pytest.raises(IntegrityError),
        connection.begin(),
    ):
        connection.execute(text("DELETE FROM project"))


def test_sqlite_waits_for_writers_and_keeps_references_whole(sqlite_url: str) -> None:
    from ribstitch.store import make_engine, upgrade

    engine = make_engine(sqlite_url)
    upgrade(engine)
    engine.dispose()
    with engine.connect() as connection:
        settings = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "foreign_keys", "busy_timeout")
        }
    engine.dispose()
    assert settings == {"journal_mode": "wal", "foreign_keys": 1, "busy_timeout": 10_000}
