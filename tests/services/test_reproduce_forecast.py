"""A past forecast can be computed again, whatever became of the plan since."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from ribstitch.planning.uncertainty import Spread, simulate
from ribstitch.services import reproduce_forecast as module
from ribstitch.services.log_forecast import log_forecast
from ribstitch.services.reproduce_forecast import OtherEngineError, reproduce_forecast
from ribstitch.store import Store, UnknownProjectError, UnknownThingError
from tests.services.shop import OPENED, Shop
from tests.store.plans import AT, DAY, short_plan


@pytest.fixture
def uncertain(store: Store) -> Shop:
    """The short plan with ranges of work."""
    plan = short_plan()
    tasks = tuple(
        replace(task, duration_range=(task.duration, task.duration, 4 * task.duration))
        for task in plan.tasks
    )
    return Shop(store, replace(plan, tasks=tasks))


def test_forecast_comes_out_again_as_it_was_logged(uncertain: Shop) -> None:
    first = simulate(uncertain.current.plan, runs=400, seed=7)
    log_forecast(uncertain.store, uncertain.current, first, AT)
    uncertain.record("open", OPENED)
    uncertain.edit("task", "close", replace(uncertain.task("close"), duration=9 * DAY))
    again = reproduce_forecast(uncertain.store, uncertain.project_id, 1)
    assert again.agrees
    assert again.again.finish.tolist() == first.finish.tolist()
    assert again.again.finish_spread == first.finish_spread
    assert first.finish_spread.p10 < first.finish_spread.p90


def test_forecast_that_was_logged_otherwise_does_not_agree(uncertain: Shop) -> None:
    first = simulate(uncertain.current.plan, runs=400, seed=7)
    log_forecast(uncertain.store, uncertain.current, first, AT)
    found = reproduce_forecast(uncertain.store, uncertain.project_id, 1)
    spread = found.again.finish_spread
    later = Spread(spread.p10, spread.p50, spread.p80, spread.p90 + timedelta(days=1))
    assert not replace(found, logged=replace(found.logged, p90=later.p90)).agrees


def test_forecast_that_was_never_logged_is_named(uncertain: Shop) -> None:
    with pytest.raises(UnknownThingError, match='no forecast "1"'):
        reproduce_forecast(uncertain.store, uncertain.project_id, 1)
    with pytest.raises(UnknownProjectError, match="no project 99"):
        reproduce_forecast(uncertain.store, 99, 1)


def test_forecast_of_another_engine_is_refused(
    uncertain: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = simulate(uncertain.current.plan, runs=100, seed=7)
    log_forecast(uncertain.store, uncertain.current, first, AT)
    monkeypatch.setattr(module, "ENGINE", 99)
    with pytest.raises(OtherEngineError, match="this release has engine 99"):
        reproduce_forecast(uncertain.store, uncertain.project_id, 1)
