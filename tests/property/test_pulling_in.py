"""Pulling in, held against every way to take the expedites of random small plans.

The oracle applies each way to the plan and schedules it: mixed calendars, all links with
lags, crew links, every status, send-outs in every stage with and without promises.
"""

from __future__ import annotations

import time
from datetime import timedelta
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning import pulling_in
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.whatif import apply_changes
from tests.property.pulling_in_oracle import (
    cheapest_by_finish,
    frontier,
    plans_with_expedites,
    price,
)
from tests.property.settings import examples

cheapest = partial(pulling_in.cheapest, seconds=60, clock=time.monotonic)
soonest_for = partial(pulling_in.soonest_for, seconds=60, clock=time.monotonic)
cost_curve = partial(pulling_in.cost_curve, seconds=60, clock=time.monotonic, most_points=10_000)


@examples(60)
@given(plans_with_expedites())
def test_the_curve_is_that_of_all_ways(made: Plan) -> None:
    least, count = cheapest_by_finish(made)
    if count == 1:
        with pytest.raises(InvalidValueError, match=r"nothing is left|has none"):
            cost_curve(made)
        return
    found = cost_curve(made)
    planned = schedule(made).finish_on
    assert [(one.finish_on, one.cost) for one in found] == frontier(least, planned)
    for one in found:
        case = apply_changes(made, one.changes)
        assert one.is_proven
        assert case.schedule().finish_on == one.finish_on
        assert price(made, case.plan) == one.cost


@examples(60)
@given(plans_with_expedites(), st.integers(1, 20))
def test_a_wanted_date_and_a_sum_are_answered_as_by_all_ways(made: Plan, days: int) -> None:
    least, _ = cheapest_by_finish(made)
    planned = schedule(made).finish_on
    finish_by = planned - timedelta(days=days)
    in_time = {finish: cost for finish, cost in least.items() if finish <= finish_by}
    if not in_time:
        with pytest.raises(InvalidValueError):
            cheapest(made, finish_by)
        return
    wanted = cheapest(made, finish_by)
    assert wanted.is_proven
    assert wanted.cost == min(in_time.values())
    assert wanted.finish_on <= finish_by
    for_as_much = soonest_for(made, wanted.cost)
    affordable = {finish: cost for finish, cost in least.items() if cost <= wanted.cost}
    assert for_as_much.is_proven
    assert for_as_much.finish_on == min(affordable)
    assert for_as_much.cost == min(
        cost for finish, cost in affordable.items() if finish == min(affordable)
    )
