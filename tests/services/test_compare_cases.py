"""Cases stand beside the plan; nothing of them is stored."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Milestone, Task
from ribstitch.planning.whatif import TaskDropped, VendorLate, VendorSwapped
from ribstitch.services.compare_cases import AskedCase, compare
from tests.services.shop import FIRST_FINISH
from tests.services.views.plans import current_of
from tests.store.plans import short_plan


def test_late_vendor_moves_the_finish_and_the_milestone() -> None:
    """Ten working days at the vendor more are two weeks more."""
    plan = short_plan()
    flight = Task("flight", 0, "First flight", milestone=Milestone.FINISH)
    from ribstitch.planning.model import Link

    plan = replace(plan, tasks=(*plan.tasks, flight), links=(*plan.links, Link("close", "flight")))
    seen = compare(current_of(plan), [AskedCase("Fin late", [VendorLate("V1", 10)])])
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
    seen = compare(current_of(short_plan()), [AskedCase("", [TaskDropped("open")])])
    (case,) = seen.cases
    assert (case.name, case.moved_days) == ("Case 1", -7)
    assert "open" in seen.plan.critical_path


def test_several_cases_are_computed_apart() -> None:
    cases = [
        AskedCase("a", [VendorLate("V1", 5)]),
        AskedCase("b", [VendorSwapped("S1", "V2", 5)]),
        AskedCase("c", []),
    ]
    seen = compare(current_of(short_plan()), cases)
    assert [case.moved_days for case in seen.cases] == [7, -7, 0]


def test_refusal_names_the_case_and_the_change() -> None:
    cases = [AskedCase("a", []), AskedCase("b", [VendorLate("V1", 1), VendorLate("V9", 1)])]
    with pytest.raises(PlanError, match='no vendor "V9"') as refused:
        compare(current_of(short_plan()), cases)
    assert refused.value.where == "cases[1].changes[1].vendor"
