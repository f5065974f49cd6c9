"""What moved the finish and the cost from one plan to another, step by step.

The earlier plan is turned into the later one in a few steps, each scheduled and priced by
itself. So the days and the amounts of the steps add up to the whole, to the day and to the
minor unit (own choice; what a step is said to move depends on the order of the steps).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from ribstitch.money.forecast import forecast_of
from ribstitch.money.ledger import ledger_of
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    Baseline,
    Calendar,
    Cost,
    Plan,
    SendOut,
    State,
    Task,
    TaskStatus,
)
from ribstitch.planning.schedule import Schedule, schedule


class Cause(StrEnum):
    """What a step takes over from the later plan, in the order of the steps."""

    PROGRESS = "progress"
    """The as-of date, where the work stands, the hours."""
    AWAY = "away"
    """Send-outs with their dates, and vendors."""
    WORK = "work"
    """Tasks and their links, and the cost lines that came with new ones."""
    HANDS = "hands"
    """People, places, calendars, the order of the crew, rules and start of the project."""
    PRICES = "prices"
    """All that is left: other cost lines, exchange rates, standing cost."""


@dataclass(frozen=True, slots=True)
class Step:
    """
    What one step moved.

    Attributes
    ----------
    causes
        Mostly one; several where a plan half way between them cannot stand by itself, such
        as a send-out that waits for a task that came with it.
    days
        By which the finish as written got later. [calendar days]
    cost
        By which the forecast at completion rose. [minor units of the later plan's currency]
    """

    causes: tuple[Cause, ...]
    days: int
    cost: int


def movement(then: Schedule, now: Schedule) -> tuple[Step, ...]:
    """
    Return the steps from an earlier plan to a later one in the same currency.

    Parameters
    ----------
    then, now
        Both plans, scheduled.
    """
    steps: list[Step] = []
    causes: list[Cause] = []
    last, last_cost = then, _cost(then)
    for cause, plan in _half_way(then.prepared.plan, now.prepared.plan):
        causes.append(cause)
        try:
            found = now if cause is Cause.PRICES else schedule(plan)
        except PlanError:
            continue
        cost = _cost(found)
        days = (found.finish_on - last.finish_on).days
        steps.append(Step(tuple(causes), days, cost - last_cost))
        causes, last, last_cost = [], found, cost
    return tuple(steps)


def _cost(of: Schedule) -> int:
    """Return the forecast at completion. [minor units]"""
    return forecast_of(of.prepared.plan, ledger_of(of)).whole.at_completion


def _half_way(then: Plan, now: Plan) -> Iterator[tuple[Cause, Plan]]:
    """Yield the earlier plan with more and more of the later one in it."""
    plan = _with_progress(then, now)
    yield Cause.PROGRESS, plan
    plan = replace(
        plan,
        calendars=_and_new(plan.calendars, now.calendars),
        kinds=now.kinds,
        vendors=now.vendors,
        send_outs=now.send_outs,
    )
    yield Cause.AWAY, plan
    plan = replace(
        plan,
        zones=now.zones,
        tasks=now.tasks,
        links=now.links,
        hours=now.hours,
        costs=(*plan.costs, *_of_new_work(then, now)),
    )
    yield Cause.WORK, plan
    plan = replace(
        plan,
        project=replace(now.project, standing_per_month=then.project.standing_per_month),
        calendars=now.calendars,
        crew=now.crew,
        places=now.places,
        crew_links=now.crew_links,
    )
    yield Cause.HANDS, plan
    yield Cause.PRICES, now


def _with_progress(then: Plan, now: Plan) -> Plan:
    """Return the earlier plan, its work standing where the later one says; drops come later."""
    status = {one.id: one.status for one in now.tasks if one.status.state is not State.DROPPED}
    known = {task.id for task in then.tasks}
    return replace(
        then,
        project=replace(then.project, as_of=now.project.as_of),
        tasks=tuple(replace(one, status=status.get(one.id, one.status)) for one in then.tasks),
        hours=tuple(one for one in now.hours if one.task in known),
    )


def _of_new_work(then: Plan, now: Plan) -> Iterator[Cost]:
    """Yield the cost lines that came with tasks of the later plan."""
    tasks, lines = {one.id for one in then.tasks}, {one.id for one in then.costs}
    for one in now.costs:
        if one.task is not None and one.task not in tasks and one.id not in lines:
            yield one


def _and_new(then: tuple[Calendar, ...], now: tuple[Calendar, ...]) -> tuple[Calendar, ...]:
    """Return the earlier calendars and those that came later."""
    known = {one.id for one in then}
    return (*then, *(one for one in now if one.id not in known))


@dataclass(frozen=True, slots=True)
class SinceApproval:
    """
    How the finish as written moved since a baseline; both parts are the whole. [calendar days]

    Attributes
    ----------
    came_later
        Pieces of work and items away that the baseline does not know, and that are not over.
    for_later
        What they add to the finish: the days that it would be sooner without them.
    for_others
        All else: work that takes longer, items that come later, waiting.
    """

    came_later: int
    for_later: int
    for_others: int


def since_approval(now: Schedule, baseline: Baseline) -> SinceApproval:
    """Return how the finish moved since a baseline, and how much of it is work that came later."""
    plan, known = now.prepared.plan, {one.id for one in baseline.packages}

    def is_later(one: Task | SendOut) -> bool:
        if isinstance(one, SendOut):
            is_open = not one.dropped and one.status.accepted is None
            return is_open and one.trip_of is None and one.id not in known
        is_open = one.status.state.is_open
        return is_open and one.milestone is None and one.id not in known

    tasks = {one.id for one in plan.tasks if is_later(one)}
    items = {one.id for one in plan.send_outs if is_later(one)}
    without = schedule(
        replace(
            plan,
            tasks=tuple(
                replace(one, status=TaskStatus(State.DROPPED)) if one.id in tasks else one
                for one in plan.tasks
            ),
            send_outs=tuple(
                replace(one, dropped=True) if one.id in items else one for one in plan.send_outs
            ),
        )
    )
    whole = (now.finish_on - baseline.finish).days
    later = (now.finish_on - without.finish_on).days
    return SinceApproval(len(tasks) + len(items), later, whole - later)
