"""Gains of random plans: never negative, and exact where they are said to be."""

from __future__ import annotations

import time
from dataclasses import replace

from hypothesis import given

from ribstitch.planning.levelling import Gain, GainKind, level_plan, one_more
from ribstitch.planning.model import Crew, Place, Plan
from tests.property.crew_strategies import crewed_plans, small_crews
from tests.property.settings import examples
from tests.property.test_levelling import first_finish


@examples(25)
@given(crewed_plans())
def test_one_more_is_never_a_loss(plan: Plan) -> None:
    found = one_more(plan, seconds=0, clock=time.monotonic)
    before = level_plan(plan, seconds=0, clock=time.monotonic)
    assert found.base.project_finish <= before.project_finish
    for one in found.gains:
        assert one.days == (found.base.finish_on - one.finish).days >= 0
    asked = {pool_trade for pool in before.problem.pools for pool_trade in pool.trades}
    assert {one.name for one in found.gains if one.kind is GainKind.PERSON} == asked


def with_one_more(plan: Plan, gain: Gain) -> Plan:
    """The plan that a gain of a person or place speaks of."""
    if gain.kind is GainKind.PLACE:
        places = tuple(
            Place(one.id, one.capacity + (one.id == gain.name), one.name) for one in plan.places
        )
        return replace(plan, places=places)
    calendar = next(one.calendar for one in plan.crew if one.trade == gain.name)
    return replace(plan, crew=(*plan.crew, Crew(gain.name, 1, calendar)))


@examples(12)
@given(small_crews())
def test_a_gain_is_that_of_all_orders_of_placing(plan: Plan) -> None:
    """Of few tasks every order can be tried, without and with the one more."""
    found = one_more(plan, seconds=1, clock=time.monotonic)
    assert found.base.project_finish == first_finish(found.base)
    for one in found.gains:
        if one.kind is not GainKind.DAY and one.is_proven:
            other = level_plan(with_one_more(plan, one), seconds=0, clock=time.monotonic)
            shown = other.planned.project_finish_on(
                min(first_finish(other), first_finish(found.base))
            )
            assert one.finish == shown
