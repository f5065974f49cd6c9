"""How sure each forecast was is logged: once a day, and whenever it moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.uncertainty import ENGINE
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.log_forecast import log_forecast, log_the_day
from ribstitch.services.simulations import Simulations
from ribstitch.store import LoggedSpread, UnavailableError
from tests.services.drawn import one_cause, up_to_nine_days_late
from tests.services.shop import FINISH_ONCE_OPENED, FIRST_FINISH, OPENED, Shop
from tests.store.plans import AT, DAY

NEXT_DAY = AT + timedelta(days=1)


def log(shop: Shop, at: datetime, current: CurrentPlan | None = None) -> LoggedSpread | None:
    """Simulate a plan (as it is now) and log that."""
    current = current or shop.current
    simulation = up_to_nine_days_late(current.plan, runs=1_000, seed=5)
    return log_forecast(shop.store, current, simulation, at)


def logged(shop: Shop) -> list[LoggedSpread]:
    """Return all that was logged."""
    with shop.store.reading() as look:
        return look.spreads(shop.project_id)


def test_first_forecast_is_logged_with_all_that_it_takes_to_repeat_it(shop: Shop) -> None:
    """Run by run 0 to 9 days late: P10, P50, P80 and P90 are 0, 4, 7 and 8 days late."""
    entry = log(shop, AT)
    assert entry == LoggedSpread(
        plan_version=1,
        logged_on=date(2026, 1, 9),
        finish=FIRST_FINISH,
        p10=FIRST_FINISH,
        p50=FIRST_FINISH + timedelta(days=4),
        p80=FIRST_FINISH + timedelta(days=7),
        p90=FIRST_FINISH + timedelta(days=8),
        chance_of_target=None,
        runs=1_000,
        seed=5,
        engine=ENGINE,
    )
    assert logged(shop) == [entry]


def test_chance_of_the_wanted_finish_is_logged(shop: Shop) -> None:
    """Wanted two days after the date as written: 0, 1 and 2 days late are in time."""
    wanted = FIRST_FINISH + timedelta(days=2)
    shop.edit("project", "", replace(shop.current.plan.project, target_finish=wanted))
    entry = log(shop, AT)
    assert entry is not None
    assert entry.chance_of_target == 0.3


def test_same_forecast_is_logged_once_a_day(shop: Shop) -> None:
    assert log(shop, AT) is not None
    assert log(shop, AT + timedelta(hours=2)) is None
    assert log(shop, NEXT_DAY) is not None
    assert [one.logged_on for one in logged(shop)] == [AT.date(), NEXT_DAY.date()]


def test_change_that_moves_a_date_is_logged_on_the_same_day(shop: Shop) -> None:
    log(shop, AT)
    shop.record("open", OPENED)
    entry = log(shop, AT)
    assert entry is not None
    assert (entry.plan_version, entry.finish) == (2, FINISH_ONCE_OPENED)


def test_change_that_moves_nothing_is_not_logged_again(shop: Shop) -> None:
    log(shop, AT)
    shop.edit("task", "paint", replace(shop.task("paint"), notes="two coats"))
    assert log(shop, AT) is None


def test_simulation_of_an_older_plan_that_comes_late_is_not_logged(shop: Shop) -> None:
    older = shop.current
    shop.record("open", OPENED)
    log(shop, AT)
    assert log(shop, NEXT_DAY, older) is None


def test_every_morning_each_project_is_logged_once(shop: Shop) -> None:
    simulations = Simulations(500, 1, simulate=up_to_nine_days_late, find_causes=one_cause)
    for at in (AT, AT + timedelta(hours=1), NEXT_DAY):
        log_the_day(shop.forecasts, simulations, at)
    assert [one.logged_on for one in logged(shop)] == [AT.date(), NEXT_DAY.date()]
    simulations.close()


def test_project_that_cannot_be_scheduled_any_more_keeps_no_other_from_the_log(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    second = Shop(shop.store, shop.current.plan)
    real = second.forecasts.current

    def current(project_id: int) -> CurrentPlan:
        if project_id == shop.project_id:
            raise PlanError("tasks[0]", "is refused by now", "open")
        return real(project_id)

    monkeypatch.setattr(second.forecasts, "current", current)
    simulations = Simulations(500, 1, simulate=up_to_nine_days_late, find_causes=one_cause)
    log_the_day(second.forecasts, simulations, AT)
    assert logged(shop) == []
    assert len(logged(second)) == 1
    assert "cannot be scheduled any more" in caplog.text
    simulations.close()


def test_stopped_service_logs_nothing(shop: Shop) -> None:
    simulations = Simulations(500, 1, simulate=up_to_nine_days_late, find_causes=one_cause)
    simulations.close()
    log_the_day(shop.forecasts, simulations, AT)
    assert logged(shop) == []


def test_entry_and_plan_are_written_together_or_not_at_all(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ribstitch.store import unit_of_work

    def full(_data: bytes) -> bytes:
        raise UnavailableError("disk full")

    monkeypatch.setattr(unit_of_work, "compress", full)
    with pytest.raises(UnavailableError):
        log(shop, AT)
    assert logged(shop) == []


def test_plan_is_kept_once_for_each_version(shop: Shop) -> None:
    from ribstitch.planfile import dump_plan

    before = dump_plan(shop.current.plan)
    log(shop, AT)
    log(shop, NEXT_DAY)
    shop.edit("task", "open", replace(shop.task("open"), duration=9 * DAY))
    log(shop, NEXT_DAY)
    with shop.store.reading() as look:
        assert look.snapshot(shop.project_id, 1) == before
        assert look.snapshot(shop.project_id, 2) == dump_plan(shop.current.plan)
        assert look.snapshot(shop.project_id, 3) is None
