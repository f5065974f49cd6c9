"""A task's status is recorded, or refused with nothing stored."""

from __future__ import annotations

from datetime import date

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import State, TaskStatus
from ribstitch.services.forecast import Forecasts
from ribstitch.services.record_status import record_task_status
from ribstitch.store import StaleEditError, UnknownProjectError, UnknownThingError
from tests.services.shop import FINISH_ONCE_OPENED, FIRST_FINISH, OPENED, Shop
from tests.store.plans import AT, DAY, LEAD, PLANNER


def test_done_task_is_stored_and_moves_the_finish(shop: Shop) -> None:
    done = shop.record("open", OPENED)
    assert (done.version, done.plan_version) == (2, 2)
    assert (done.finish_before, done.finish_after) == (FIRST_FINISH, FINISH_ONCE_OPENED)
    assert done.moved_days == -7
    assert shop.task("open").status == OPENED
    assert shop.current.finish_on == FINISH_ONCE_OPENED
    shop.check_kept_plan()


def test_change_and_forecast_are_logged(shop: Shop) -> None:
    done = shop.record("open", OPENED, "Tuesday's crew")
    change = shop.changes()[0]
    assert change.number == done.change_number
    assert (change.action, change.kind, change.key) == ("task.status", "task", "open")
    assert (change.who, change.role, change.at) == ("Ada", "lead", AT)
    assert change.reason == "Tuesday's crew"
    assert change.changed_fields() == ["status.state", "status.started", "status.finished"]
    first, second = shop.log()
    assert (first.finish, second.finish) == (FIRST_FINISH, FINISH_ONCE_OPENED)
    assert (second.plan_version, second.as_of) == (2, date(2026, 1, 9))
    assert second.reason == "Open up: done on 2026-01-07"


@pytest.mark.parametrize(
    ("status", "sentence"),
    [
        (TaskStatus(State.DONE, finished=date(2026, 1, 12)), "after the as-of date 2026-01-09"),
        (TaskStatus(State.DONE, date(2026, 1, 8), date(2026, 1, 7)), "before it started"),
        (TaskStatus(State.DONE), "needs a date here"),
        (TaskStatus(State.IN_WORK), "needs a date here"),
        (TaskStatus(State.IN_WORK, date(2026, 1, 8), remaining=-DAY), "less than nothing"),
        (TaskStatus(State.NOT_STARTED, date(2026, 1, 8)), "there can be no date here"),
    ],
)
def test_bad_status_is_refused_with_nothing_stored(
    shop: Shop, status: TaskStatus, sentence: str
) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match=sentence):
        shop.record("open", status)
    assert shop.picture() == before
    assert shop.current.finish_on == FIRST_FINISH


def test_stale_edit_is_refused_naming_what_changed(shop: Shop) -> None:
    shop.record("open", TaskStatus(State.IN_WORK, date(2026, 1, 5)))
    before = shop.picture()
    with pytest.raises(StaleEditError, match=r"Ada changed task open \(status.state") as refused:
        record_task_status(shop.forecasts, shop.project_id, "open", OPENED, 1, PLANNER, AT)
    assert refused.value.current_version == 2
    assert [change.action for change in refused.value.changes_since] == ["task.status"]
    assert shop.picture() == before


def test_edit_of_another_task_is_not_stale(shop: Shop) -> None:
    version = shop.version("task", "paint")
    shop.record("open", OPENED)
    held = TaskStatus(State.HELD, held_reason="no paint")
    done = record_task_status(shop.forecasts, shop.project_id, "paint", held, version, LEAD, AT)
    assert done.plan_version == 3
    assert shop.log()[-1].reason == "Paint: held (no paint)"
    shop.check_kept_plan()


def test_unknown_task_and_project_are_named(shop: Shop) -> None:
    with pytest.raises(UnknownThingError, match='no task "T9"'):
        record_task_status(shop.forecasts, shop.project_id, "T9", OPENED, 1, LEAD, AT)
    with pytest.raises(UnknownProjectError, match="no project 99"):
        record_task_status(shop.forecasts, 99, "open", OPENED, 1, LEAD, AT)


def test_a_forecast_that_nobody_has_computed_is_no_hindrance(shop: Shop) -> None:
    """Another process starts with nothing at hand and gives the same result."""
    other = Forecasts(shop.store)
    done = record_task_status(other, shop.project_id, "open", OPENED, 1, LEAD, AT)
    assert (done.finish_before, done.finish_after) == (FIRST_FINISH, FINISH_ONCE_OPENED)
    shop.check_kept_plan()


def test_what_the_database_refuses_leaves_the_forecast_as_it_was(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The transaction fails at its last step: neither rows nor the forecast at hand move."""
    from ribstitch.store import UnitOfWork

    before = shop.picture()

    def fail(*_: object) -> None:
        raise OSError("disk full")

    with monkeypatch.context() as patch:
        patch.setattr(UnitOfWork, "log_forecast", fail)
        with pytest.raises(OSError, match="disk full"):
            shop.record("open", OPENED)
    assert shop.picture() == before
    assert shop.current.finish_on == FIRST_FINISH
