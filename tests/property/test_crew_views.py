"""Loads, waits and the week plan of random plans against slow and obvious second ways."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.levelling import (
    LevelledPlan,
    crew_loads,
    crew_waits,
    level_plan,
    path_shares,
    rota,
)
from ribstitch.planning.model import CrewLink, CrewLinkKind, Plan, State, TaskStatus
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before
from tests.property.crew_strategies import crewed_plans, mixed_crews
from tests.property.settings import examples
from tests.property.strategies import Chooser
from tests.support.crew_checks import rota_faults, rota_order_faults


def begins(source: Schedule | LevelledPlan) -> dict[str, int]:
    planned = source if isinstance(source, Schedule) else source.planned
    ids = [one.id for one in planned.activities]
    return dict(zip(ids, [int(begin) for begin in source.begin], strict=True))


def levelled(plan: Plan) -> LevelledPlan:
    return level_plan(plan, seconds=0, clock=time.monotonic)


def span(source: Schedule | LevelledPlan) -> tuple[date, date]:
    """All dates on which a plan has work to come."""
    planned = source if isinstance(source, Schedule) else source.planned
    project = planned.prepared.plan.project
    first = max(project.start, project.as_of)
    return first, max(first, date_before(max(int(one) for one in source.finish)))


@examples(60)
@given(crewed_plans())
def test_nobody_of_a_levelled_plan_is_missing_or_twice_at_work(plan: Plan) -> None:
    found = levelled(plan)
    week = rota(found, *span(found))
    assert week.unassigned == ()
    assert rota_faults(plan, begins(found), week) == []


@examples(60)
@given(mixed_crews())
def test_as_many_as_can_be_are_at_work_where_a_plan_is_not_levelled(plan: Plan) -> None:
    found = schedule(plan)
    assert rota_faults(plan, begins(found), rota(found, *span(found))) == []


@examples(60)
@given(mixed_crews())
def test_who_is_short_of_hands_begins_with_what_protects_the_finish(plan: Plan) -> None:
    """Work that has begun, then the least total float, the earliest late start, entry."""
    found = schedule(plan)

    def key(number: int) -> tuple[bool, int, int]:
        is_begun = plan.tasks[number].status.state is State.IN_WORK
        return not is_begun, int(found.total_float[number]), int(found.late_begin[number])

    order = [plan.tasks[number].id for number in sorted(range(len(plan.tasks)), key=key)]
    week = rota(found, *span(found))
    assert rota_order_faults(plan, begins(found), week, order) == []


@examples(30)
@given(mixed_crews(), st.integers(0, 20), st.integers(0, 20))
def test_a_week_is_the_same_in_whatever_range_it_is_asked_for(
    plan: Plan, first: int, days: int
) -> None:
    found = schedule(plan)
    start, end = span(found)
    low, high = start + timedelta(first), start + timedelta(first + days)
    some, whole = rota(found, low, high), rota(found, start, max(end, high))
    for mine, others in ((some.turns, whole.turns), (some.unassigned, whole.unassigned)):
        assert mine == tuple(one for one in others if low <= one.day <= high)


@examples(60)
@given(crewed_plans())
def test_loads_add_up_to_the_work_and_to_the_time_in_places(plan: Plan) -> None:
    for found in (schedule(plan), levelled(plan)):
        start = begins(found)
        work, stays = Counter[str](), Counter[str]()
        planned = found if isinstance(found, Schedule) else found.planned
        for number, one in enumerate(planned.activities[: len(plan.tasks)]):
            task = plan.tasks[number]
            if one.is_done or one.dropped or not one.work:
                continue
            if task.trade and task.people:
                work[task.trade] += task.people * one.work
            for place in task.places:
                stays[place] += int(found.finish[number]) - start[task.id]
        used = {kind: Counter[str]() for kind in CrewLinkKind}
        for load in crew_loads(found):
            used[load.kind][load.name] += load.used
            assert 0 <= load.over <= load.used
            assert load.over >= load.used - load.available
        assert used[CrewLinkKind.TRADE] == work
        assert used[CrewLinkKind.PLACE] == stays


@examples(60)
@given(crewed_plans())
def test_a_levelled_plan_asks_for_nothing_that_is_not_there(plan: Plan) -> None:
    assert [one for one in crew_loads(levelled(plan)) if one.over] == []


@examples(60)
@given(mixed_crews())
def test_what_is_over_is_what_nobody_does_where_days_are_whole(plan: Plan) -> None:
    """In whole days on whole-day calendars, instants and dates are the same."""
    calendars = tuple(
        replace(
            one,
            week_hours=tuple(one.day_hours * (hours > 0) for hours in one.week_hours),
            opened=(),
        )
        for one in plan.calendars
    )
    tasks = tuple(
        replace(
            task,
            calendar=None,
            milestone=None,
            duration=max(1, round(task.duration / TICKS_PER_DAY)) * TICKS_PER_DAY,
            status=TaskStatus(),
        )
        for task in plan.tasks
    )
    whole = replace(plan, calendars=calendars, tasks=tasks, links=(), send_outs=())
    found = schedule(whole)
    over = sum(one.over for one in crew_loads(found) if one.kind is CrewLinkKind.TRADE)
    assert over == sum(one.end - one.begin for one in rota(found, *span(found)).unassigned)


@st.composite
def linked_plans(draw: st.DrawFn) -> Plan:
    """A plan with crew links between tasks in their order."""
    plan = draw(crewed_plans())
    choose = Chooser(draw)
    count = len(plan.tasks)
    pairs = {
        tuple(sorted((choose.number(0, count - 1), choose.number(0, count - 1))))
        for _ in range(choose.number(1, count))
    }
    ids = [task.id for task in plan.tasks]
    links = tuple(CrewLink(ids[a], ids[b], names=("metal",)) for a, b in sorted(pairs) if a != b)
    return replace(plan, crew_links=links)


@examples(120)
@given(linked_plans())
def test_a_wait_is_what_taking_the_crew_links_of_its_task_away_gives_back(plan: Plan) -> None:
    """The other way: schedule again without them."""
    found = schedule(plan)
    begin = begins(found)
    waits = {(one.link.before, one.link.after): one for one in crew_waits(found)}
    in_force = found.prepared.expansion.crew_links
    for task in plan.tasks:
        mine = [link for link in in_force if link.after == task.id]
        kept = tuple(link for link in in_force if link.after != task.id)
        freed = schedule(replace(plan, crew_links=kept))
        if not mine or freed.prepared.expansion.crew_links != kept:
            continue
        since = begins(freed)[task.id]
        for link in mine:
            wait = waits.get((link.before, link.after))
            if wait is not None:
                assert (wait.since, wait.until) == (since, begin[task.id])
                assert wait.days == (date_at(begin[task.id]) - date_at(since)).days >= 0
        dropped = found.activities[found.number(task.id)].dropped
        if since < begin[task.id] and not dropped:
            assert any((link.before, link.after) in waits for link in mine)


@examples(60)
@given(linked_plans())
def test_shares_of_the_path_add_up(plan: Plan) -> None:
    shares = [one for one in path_shares(schedule(plan)) if one.kind is not CrewLinkKind.PLACE]
    if shares:
        assert abs(sum(one.share for one in shares) - 1) < 1e-9
