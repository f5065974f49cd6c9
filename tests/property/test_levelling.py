"""Levelled plans against the forward pass, and against a checker that counts people.

The passes are code of their own (planning/passes.py) and are held against an oracle
elsewhere; the checker (tests/support/crew_checks.py) works calendars out again itself.
"""

from __future__ import annotations

import time
from dataclasses import replace
from itertools import permutations

import numpy as np
from hypothesis import given

from ribstitch.planning.levelling import LevelledPlan, crew_links, level_plan
from ribstitch.planning.levelling.placing import PlanDecoder
from ribstitch.planning.model import Plan
from ribstitch.planning.passes import forward
from ribstitch.planning.schedule import schedule
from tests.property.crew_strategies import crewed_plans, small_crews
from tests.property.settings import examples
from tests.property.strategies import plans
from tests.support.crew_checks import crew_faults


def links_kept(levelled: LevelledPlan) -> bool:
    """Whether the forward pass, not before the levelled dates, leaves them where they are."""
    network = levelled.problem.prepared.network
    values = levelled.problem.prepared.values
    begin = (np.array(levelled.begin) - network.origin)[network.order]
    floor = np.where(values.done, values.floor, np.maximum(values.floor, begin))
    early = forward(network, replace(values, floor=floor))
    finish = (np.array(levelled.finish) - network.origin)[network.order]
    same_begin = (early.begin == begin) | values.done
    return bool(same_begin.all() and (early.end == finish).all())


@examples(60)
@given(plans())
def test_without_people_a_levelled_plan_is_the_schedule(plan: Plan) -> None:
    levelled = level_plan(plan, seconds=0, clock=time.monotonic)
    planned = schedule(plan)
    assert list(levelled.finish) == planned.finish.tolist()
    assert levelled.project_finish == planned.project_finish == levelled.bound
    assert levelled.finish_on == planned.finish_on
    for number, one in enumerate(planned.activities):
        if not one.dropped:
            assert levelled.start_on(number) == planned.start_on(number)
            assert levelled.finish_on_of(number) == planned.finish_on_of(number)


@examples(60)
@given(crewed_plans())
def test_a_levelled_plan_breaks_no_link_and_no_capacity(plan: Plan) -> None:
    levelled = level_plan(plan, seconds=0, clock=time.monotonic)
    ids = [one.id for one in levelled.planned.activities]
    begin = dict(zip(ids, levelled.begin, strict=True))
    finish = dict(zip(ids, levelled.finish, strict=True))
    assert links_kept(levelled)
    assert crew_faults(plan, begin, finish) == []
    assert levelled.bound <= levelled.project_finish
    assert levelled.planned.project_finish <= levelled.bound


@examples(60)
@given(crewed_plans())
def test_crew_links_give_the_levelled_dates_or_earlier(plan: Plan) -> None:
    levelled = level_plan(plan, seconds=0, clock=time.monotonic)
    extra = crew_links(levelled)
    linked = schedule(replace(plan, crew_links=extra))
    assert (linked.begin <= np.array(levelled.begin)).all()
    assert (linked.finish <= np.array(levelled.finish)).all()
    assert len({(one.before, one.after) for one in extra}) == len(extra)


def first_finish(levelled: LevelledPlan) -> int:
    """The earliest finish over all orders of placing, which hold a shortest plan."""
    problem = levelled.problem
    decoder = PlanDecoder(problem, levelled.planned)
    followers = problem.successors
    best = levelled.project_finish
    for order in permutations(range(len(problem.rows))):
        place = {number: at for at, number in enumerate(order)}
        if all(place[n] < place[after] for n in order for after in followers[n]):
            finish = decoder.decode(order).makespan + problem.prepared.network.origin
            best = min(best, finish)
    return best


@examples(60)
@given(small_crews())
def test_what_the_solver_proves_is_the_first_finish_of_all_orders(plan: Plan) -> None:
    levelled = level_plan(plan, seconds=0.5, clock=time.monotonic)
    best = first_finish(levelled)
    assert levelled.bound <= best
    assert levelled.project_finish == best
