"""The simulations of plans: begun by themselves, stopped by a change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from threading import Event
from typing import Any

import pytest

from ribstitch.planning.model import Funding
from ribstitch.planning.uncertainty import Cause, Simulation
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.simulations import CAUSE_RUNS, Simulations
from tests.services.drawn import one_cause, up_to_nine_days_late
from tests.services.shop import OPENED, Shop
from tests.services.views.plans import current_of, hangar

LONG = 30.0


@pytest.fixture
def simulations() -> Iterator[Simulations]:
    made = Simulations(5_000, 3, simulate=up_to_nine_days_late, find_causes=one_cause)
    yield made
    made.close()


def version(number: int) -> CurrentPlan:
    return replace(current_of(hangar()), plan_version=number)


def test_plan_is_simulated_with_the_runs_and_the_seed_that_were_set(
    simulations: Simulations,
) -> None:
    found = simulations.current(version(1), LONG)
    assert found.result is not None
    assert (found.result.runs, found.result.seed) == (5_000, 3)


def test_causes_come_after_the_simulation(simulations: Simulations) -> None:
    found = simulations.causes(version(1), LONG)
    assert found.result is not None
    assert [one.id for one in found.result] == ["survey"]
    assert simulations.current(version(1)).state == "ready"


def test_causes_wait_until_the_plan_is_simulated() -> None:
    let_go, asked = Event(), []

    def slow(*arguments: Any, **options: Any) -> Simulation:
        assert let_go.wait(LONG)
        return up_to_nine_days_late(*arguments, **options)

    def noting(*arguments: Any, **options: Any) -> tuple[Cause, ...]:
        asked.append(options["runs"])
        return one_cause(*arguments, **options)

    simulations = Simulations(5_000, 3, simulate=slow, find_causes=noting)
    found = simulations.causes(version(1), 0.0)
    assert (found.state, found.progress, asked) == ("running", 0.0, [])
    let_go.set()
    assert simulations.causes(version(1), LONG).state == "ready"
    assert asked == [CAUSE_RUNS]
    simulations.close()


def test_causes_of_a_plan_that_is_not_simulated_are_not_known(simulations: Simulations) -> None:
    simulations.cancel(version(1))
    assert simulations.causes(version(1), LONG).state == "cancelled"
    simulations.restart_causes(version(1))
    assert simulations.causes(version(1), LONG).state == "ready"


def test_changed_plan_stops_the_search_for_causes_of_the_older_one() -> None:
    going, stopped = Event(), Event()

    def endless(plan: Any, *, runs: int, seed: int, on_progress: Any = None) -> tuple[Cause, ...]:
        going.set()
        try:
            while True:
                on_progress(0.1)
        finally:
            stopped.set()

    simulations = Simulations(500, 3, simulate=up_to_nine_days_late, find_causes=endless)
    assert simulations.current(version(1), LONG).state == "ready"
    simulations.causes(version(1), 0.0)
    assert going.wait(LONG)
    simulations.changed(version(2))
    assert stopped.wait(LONG)
    simulations.close()


def test_what_was_paid_or_found_leaves_the_courses_as_they_were() -> None:
    """The courses are taken over, and priced with the plan as it is now."""
    asked = []

    def noting(*arguments: Any, **options: Any) -> Simulation:
        asked.append(options["seed"])
        return up_to_nine_days_late(*arguments, **options)

    simulations = Simulations(100, 3, simulate=noting, find_causes=one_cause)
    first = simulations.current(version(1), LONG).result
    paid = replace(hangar(), funding=(Funding("N1", date(2026, 2, 1), Decimal(900)),))
    changed = replace(current_of(paid), plan_version=2)
    second = simulations.current(changed, LONG).result
    longer = replace(hangar().tasks[0], duration=hangar().tasks[0].duration + 1440)
    third = replace(
        current_of(replace(hangar(), tasks=(longer, *hangar().tasks[1:]))), plan_version=3
    )
    simulations.current(third, LONG)
    simulations.close()
    assert first is not None
    assert second is not None
    assert second.planned is changed.schedule
    assert list(second.finish) == list(first.finish)
    assert asked == [3, 3]


class Diary:
    """Notes what it is told of changes."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def changing(self, project_id: int) -> None:
        self.told.append(f"project {project_id} is about to change")

    def changed(self, current: CurrentPlan) -> None:
        self.told.append(f"version {current.plan_version}")


def test_watcher_is_told_before_and_after_every_change(shop: Shop) -> None:
    diary = Diary()
    shop.forecasts = Forecasts(shop.store, watcher=diary)
    shop.record("open", OPENED)
    shop.forecasts.current(shop.project_id)
    assert diary.told == [f"project {shop.project_id} is about to change", "version 2"]


def test_edit_that_is_refused_stops_the_simulation_for_a_moment_only(
    simulations: Simulations,
) -> None:
    simulations.current(version(1), 0.0)
    simulations.changing(1)
    assert simulations.current(version(1), LONG).state == "ready"
