"""What is stored comes back equal, on both databases."""

from __future__ import annotations

from dataclasses import fields
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings

from ribstitch.planning.model import ELAPSED, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.store import Store, UnknownProjectError
from tests.property.strategies import plans
from tests.store.plans import AT, LEAD, full_plan, short_plan


def stored(store: Store, plan: Plan) -> Plan:
    """Store a plan and read it back."""
    with store.begin(LEAD, AT) as work:
        project_id = work.add_plan(plan)
    with store.reading() as reading:
        return reading.plan(project_id).plan


def test_plan_with_every_field_comes_back_equal(store: Store) -> None:
    plan = full_plan()
    for part in fields(Plan):
        assert getattr(plan, part.name), f"the plan has no {part.name}, so that they go untested"
    assert stored(store, plan) == plan


def test_money_comes_back_digit_for_digit(store: Store) -> None:
    back = stored(store, full_plan())
    assert [str(cost.amount) for cost in back.costs] == ["12345678901234567.891", "0.10"]
    assert [line.amount for line in back.budget] == [Decimal("1.10"), Decimal("2.2")]


def test_plan_with_every_field_can_be_scheduled() -> None:
    assert schedule(full_plan()).finish_on > full_plan().project.as_of


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    derandomize=True,
)
@given(plan=plans())
def test_any_plan_comes_back_equal(store: Store, plan: Plan) -> None:
    assert stored(store, plan) == plan


def test_elapsed_calendar_stays_undeclared(store: Store) -> None:
    """Its row exists for references; the plan comes back without it."""
    plan = short_plan()
    assert ELAPSED.id not in {calendar.id for calendar in stored(store, plan).calendars}


def test_rows_start_at_version_one_with_keys_in_order_of_entry(store: Store) -> None:
    with store.begin(LEAD, AT) as work:
        project_id = work.add_plan(full_plan())
    with store.reading() as reading:
        versions = reading.plan(project_id).versions
    assert versions["task"] == {"T2": 1, "T1": 1, "T3": 1, "T4": 1, "T5": 1}
    assert list(versions["task"]) == ["T2", "T1", "T3", "T4", "T5"]
    assert list(versions["crew"]) == ["help", "help#2", "help#2#2"]
    assert list(versions["link"]) == ["T2 > T1 FF", "T2 > T5 SS", "T2 > T5 SS#2"]
    assert versions["project"] == {"": 1}


def test_projects_are_kept_apart(store: Store) -> None:
    with store.begin(LEAD, AT) as work:
        first, second = work.add_plan(short_plan()), work.add_plan(full_plan())
    with store.reading() as reading:
        assert reading.plan(first).plan == short_plan()
        assert reading.plan(second).plan == full_plan()
        assert [one.id for one in reading.projects()] == [first, second]


def test_unknown_project_is_named(store: Store) -> None:
    with store.reading() as reading, pytest.raises(UnknownProjectError, match="no project 7"):
        reading.plan(7)
