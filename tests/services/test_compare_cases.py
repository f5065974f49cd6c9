"""Cases stand beside the plan; nothing of them is stored."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from ribstitch.money import Ledger, ledger_of
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Calendar, Crew, Milestone, Plan, Project, Task
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.uncertainty import Chance, Simulation, Spread
from ribstitch.planning.whatif import (
    TaskDropped,
    TaskNotBefore,
    TaskTakes,
    VendorLate,
    VendorSwapped,
)
from ribstitch.services import simulate_cases
from ribstitch.services.compare_cases import AskedCase, compare, compare_chances
from ribstitch.services.simulate_cases import CaseSimulations, runs_for
from ribstitch.services.simulations import Simulations
from tests.services.drawn import case_simulations, one_cause, up_to_nine_days_late
from tests.services.shop import FIRST_FINISH
from tests.services.views.plans import current_of
from tests.store.plans import short_plan


def test_late_vendor_moves_the_finish_and_the_milestone() -> None:
    """Ten working days at the vendor more are two weeks more."""
    plan = short_plan()
    flight = Task("flight", 0, "First flight", milestone=Milestone.FINISH)
    from ribstitch.planning.model import Link

    plan = replace(plan, tasks=(*plan.tasks, flight), links=(*plan.links, Link("close", "flight")))
    seen = compare(
        current_of(plan), [AskedCase("Fin late", [VendorLate("V1", 10)])], case_simulations()
    )
    assert seen.plan.finish == FIRST_FINISH
    (case,) = seen.cases
    assert (case.name, case.finish, case.moved_days) == ("Fin late", date(2026, 2, 18), 14)
    (moved,) = case.milestones
    assert (moved.id, moved.plan, moved.case) == ("flight", FIRST_FINISH, date(2026, 2, 18))
    assert moved.moved_days == 14
    assert case.critical_path == seen.plan.critical_path
    assert case.new_on_path == []


def test_dropped_task_brings_the_finish_in_and_others_onto_the_path() -> None:
    """Without opening up, the item is shipped at once; the path begins with preparing it."""
    seen = compare(
        current_of(short_plan()), [AskedCase("", [TaskDropped("open")])], case_simulations()
    )
    (case,) = seen.cases
    assert (case.name, case.moved_days) == ("Case 1", -7)
    assert "open" in seen.plan.critical_path


def test_several_cases_are_computed_apart() -> None:
    cases = [
        AskedCase("a", [VendorLate("V1", 5)]),
        AskedCase("b", [VendorSwapped("S1", "V2", 5)]),
        AskedCase("c", []),
    ]
    seen = compare(current_of(short_plan()), cases, case_simulations())
    assert [case.moved_days for case in seen.cases] == [7, -7, 0]


def test_refusal_names_the_case_and_the_change() -> None:
    cases = [AskedCase("a", []), AskedCase("b", [VendorLate("V1", 1), VendorLate("V9", 1)])]
    with pytest.raises(PlanError, match='no vendor "V9"') as refused:
        compare(current_of(short_plan()), cases, case_simulations())
    assert refused.value.where == "cases[1].changes[1].vendor"


def test_cases_are_simulated_beside_the_plan() -> None:
    """Both are up to nine days late, run by run alike: the case moves by its fourteen days."""
    cases = [AskedCase("Fin late", [VendorLate("V1", 10)])]
    seen = compare(current_of(short_plan()), cases, case_simulations(1_000))
    assert seen.runs == 1_000
    late = [FIRST_FINISH + timedelta(days=days) for days in (0, 4, 7, 8)]
    assert seen.plan.uncertainty.finish == Spread(*late)
    (case,) = seen.cases
    assert case.uncertainty.finish == Spread(*(day + timedelta(days=14) for day in late))
    moved = case.uncertainty.moved
    assert (moved.mean_days, moved.standard_error_days) == (14, 0)
    assert (moved.p10_days, moved.p50_days, moved.p90_days) == (14, 14, 14)
    assert moved.later == Chance.of(1_000, 1_000)
    assert case.uncertainty.target is None


def test_chance_of_the_wanted_finish_stands_on_both_sides() -> None:
    """Wanted two days after the date as written: 0, 1 and 2 days late are in time."""
    plan = short_plan()
    wanted = replace(plan.project, target_finish=FIRST_FINISH + timedelta(days=2))
    cases = [AskedCase("Fin late", [VendorLate("V1", 10)])]
    seen = compare(current_of(replace(plan, project=wanted)), cases, case_simulations())
    on_plan, on_case = seen.plan.uncertainty.target, seen.cases[0].uncertainty.target
    assert on_plan is not None
    assert on_case is not None
    assert (on_plan.probability, on_case.probability) == (0.3, 0.0)


def test_chances_are_drawn_for_the_plan_and_each_case() -> None:
    cases = [AskedCase("Fin late", [VendorLate("V1", 10)]), AskedCase("", [])]
    curves = compare_chances(current_of(short_plan()), cases, case_simulations())
    assert [one.name for one in curves] == ["The plan", "Fin late", "Case 2"]
    assert curves[0].points[0] == (FIRST_FINISH, 0.1)
    assert curves[0].points[-1] == (FIRST_FINISH + timedelta(days=9), 1.0)
    assert curves[1].points[0] == (FIRST_FINISH + timedelta(days=14), 0.1)
    assert curves[2].points == curves[0].points


def test_same_case_is_simulated_once() -> None:
    simulated: list[int] = []

    def counting(*arguments: Any, **options: Any) -> Simulation:
        simulated.append(options["runs"])
        return up_to_nine_days_late(*arguments, **options)

    simulations = Simulations(500, 1, simulate=counting, find_causes=one_cause)
    kept = CaseSimulations(simulations)
    cases = [AskedCase("a", (VendorLate("V1", 10),)), AskedCase("b", (TaskDropped("open"),))]
    current = current_of(short_plan())
    compare(current, cases, kept)
    compare_chances(current, cases[::-1], kept)
    assert simulated == [500, 500, 500]
    compare(replace(current, plan_version=2), cases, kept)
    assert len(simulated) == 5, "the cases again; of the plan itself nothing drawn from differs"
    simulations.close()


def test_large_plans_and_many_cases_get_by_with_fewer_runs() -> None:
    assert runs_for(400, 1, 10_000) == 10_000
    assert runs_for(3_000, 1, 10_000) == 6_666
    assert runs_for(3_000, 4, 10_000) == 2_666
    assert runs_for(10**6, 12, 10_000) == 200
    assert runs_for(0, 1, 300) == 300


def test_where_the_plan_is_not_simulated_the_case_is_all_the_same() -> None:
    """The planner cancelled the simulation of the plan."""
    simulations = Simulations(500, 1, simulate=up_to_nine_days_late, find_causes=one_cause)
    current = current_of(short_plan())
    simulations.cancel(current)
    seen = compare(current, [AskedCase("a", [])], CaseSimulations(simulations))
    assert seen.cases[0].uncertainty.moved.mean_days == 0
    simulations.close()


def test_a_case_tells_what_no_longer_sets_the_finish_and_what_finds_nobody() -> None:
    """Two tasks of one metalworker side by side: the shorter one finds nobody, 8 hours a day."""
    plan = Plan(
        project=Project(date(2026, 1, 5), date(2026, 1, 5), currency="EUR"),
        calendars=(Calendar("shop"),),
        tasks=(Task("A", 5 * 1440, trade="metal"), Task("B", 3 * 1440, trade="metal")),
        crew=(Crew("metal", 1),),
    )
    cases = [
        AskedCase("longer", [TaskTakes("B", 7)]),
        AskedCase("later", [TaskNotBefore("B", date(2026, 1, 12))]),
    ]
    seen = compare(current_of(plan), cases, case_simulations())
    longer, later = seen.cases
    assert seen.plan.critical_path == ["A"]
    assert (longer.new_on_path, longer.off_path) == (["B"], ["A"])
    (over,) = seen.plan.crew_over
    assert (over.name, over.over_hours, over.worst_hours) == ("Metal", 24, 24)
    (over,) = longer.crew_over
    assert (over.over_hours, over.worst_hours, over.worst_week) == (40, 40, date(2026, 1, 5))
    assert later.crew_over == []


def test_what_a_case_costs_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever changes one of several cases does not wait for the others again."""
    asked: list[Schedule] = []

    def counted(planned: Schedule) -> Ledger:
        asked.append(planned)
        return ledger_of(planned)

    monkeypatch.setattr(simulate_cases, "ledger_of", counted)
    simulations, current = case_simulations(), current_of(short_plan())
    first, other = (AskedCase("", [VendorLate("V1", days)]) for days in (5, 10))
    once = compare(current, [first, other], simulations)
    assert compare(current, [first, other], simulations) == once
    assert [one.finish_on for one in asked] == [one.finish for one in once.cases]
