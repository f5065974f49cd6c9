"""What a case costs stands beside how far it moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from ribstitch.planning.model import Calendar, Crew, ExchangeRate, Expedite, Plan, Project, Task
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.whatif import ExpediteTaken, TaskDropped
from ribstitch.services.compare_cases import AskedCase, CaseCost, compare
from tests.services.drawn import case_simulations
from tests.services.views.plans import current_of

PLAN = Plan(
    Project(date(2026, 1, 5), date(2026, 1, 5), standing_per_month=Decimal("304.375")),
    calendars=(Calendar("shop"),),
    tasks=(Task("rivet", 10 * TICKS_PER_DAY, trade="metal", chapter="55"),),
    crew=(Crew("metal", calendar="shop", rate=Decimal(25)),),
    expedites=(
        Expedite("X1", 3 * TICKS_PER_DAY, Decimal("150.00"), "Evenings", task="rivet"),
        Expedite("X2", 3 * TICKS_PER_DAY, Decimal(100), "Help", currency="GBP", task="rivet"),
    ),
)
"""
Ten days from Monday 5 to Friday 16 January: twelve dates of standing at 10.00 and 80 hours
at 25.00 make 2,120.00.
"""


def cost_of(*changes: ExpediteTaken | TaskDropped, plan: Plan = PLAN) -> CaseCost:
    """Return what one case costs."""
    (case,) = compare(current_of(plan), [AskedCase("", changes)], case_simulations()).cases
    return case.cost


def test_plan_comes_to_work_and_standing() -> None:
    seen = compare(current_of(PLAN), [AskedCase("", [])], case_simulations())
    assert seen.plan.cost.at_completion == "2120.00"
    assert seen.plan.cost.month_later == "304.38"
    assert seen.cases[0].cost == CaseCost("EUR", "2120.00", "0.00", [])


def test_expedite_costs_its_price_less_the_standing_and_the_hours_it_saves() -> None:
    """
    Seven days of work end on Tuesday 13 January: three dates of standing at 10.00 and 24 h
    at 25.00 less, as the price of an expedite is the whole price of the days it takes off.
    """
    assert cost_of(ExpediteTaken("X1")) == CaseCost("EUR", "1640.00", "-480.00", [])


def test_dropped_work_saves_labour_and_standing() -> None:
    """Nothing is left to do: the project ends as it begins."""
    assert cost_of(TaskDropped("rivet")).at_completion == "0.00"


def test_foreign_price_without_a_rate_is_named_and_left_out() -> None:
    unknown = cost_of(ExpediteTaken("X2"))
    assert len(unknown.missing) == 1
    assert "GBP" in unknown.missing[0]
    rated = replace(PLAN, exchange_rates=(ExchangeRate("GBP", date(2026, 1, 1), Decimal("1.2")),))
    known = cost_of(ExpediteTaken("X2"), plan=rated)
    assert known.missing == []
    assert Decimal(known.moved) - Decimal(unknown.moved) == 120
