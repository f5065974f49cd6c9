"""Take an expedite: the plan in which work is done in fewer days, and what that costs.

What has not begun becomes shorter as a whole, what is under way in what remains of it. At
least an eighth of a day is left. Where a vendor has promised a date, the promise moves.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribstitch.planning.activities import Activity
from ribstitch.planning.checks_crew import EXPEDITED_LEGS
from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import Cost, Expedite, ExpediteKind, Plan, SendOut, Task
from ribstitch.planning.prepared import Prepared, prepare
from ribstitch.planning.ticks import EIGHTH, TICKS_PER_DAY, date_before, days_from_ticks, end_of

_COST_KINDS = {
    ExpediteKind.FEE: "vendor",
    ExpediteKind.EXCHANGE_UNIT: "vendor",
    ExpediteKind.AIR_FREIGHT: "freight",
}
"""Kinds of cost lines. Overtime and second shifts are "other": the shop's labour is reckoned
from hours and rates, and a line of that kind would be left out."""

_LONGEST_ID = 70
"""So much of an id is kept, that a number fits after it into the 80 characters of an id."""


def take_expedite(plan: Plan, expedite_id: str, days: float | None, where: str) -> Plan:
    """
    Return the plan with an expedite taken.

    Parameters
    ----------
    plan
        A checked plan.
    expedite_id
        Which expedite.
    days
        How much of it; None: all that is left. [days of the calendar of the task or leg]
    where
        Key path of the change, for errors.

    Raises
    ------
    UnknownReferenceError, InvalidValueError
        If there is no such expedite, so much of it is not to be had, or what it would
        shorten is done, dropped or not part of the way.
    """
    one = next((one for one in plan.expedites if one.id == expedite_id), None)
    if one is None:
        raise UnknownReferenceError(f"{where}.expedite", "expedite", expedite_id)
    ticks = _asked_for(one, days, where)
    prepared = prepare(plan)
    reason = why_not(prepared, one)
    if reason is not None:
        raise InvalidValueError(f"{where}.expedite", reason, expedite_id)
    if one.task is not None:
        tasks = tuple(
            _shorter_task(task, ticks) if task.id == one.task else task for task in plan.tasks
        )
        plan = replace(plan, tasks=tasks)
    else:
        items = tuple(
            _shorter_leg(prepared, item, one, ticks) if item.id == one.send_out else item
            for item in plan.send_outs
        )
        plan = replace(plan, send_outs=items)
    taken = replace(one, taken=one.taken + ticks)
    return replace(
        plan,
        expedites=tuple(taken if other.id == one.id else other for other in plan.expedites),
        costs=(*plan.costs, _cost_line(plan, one, ticks)),
    )


def activity_of(one: Expedite) -> str:
    """Return the id of the activity that an expedite shortens."""
    return one.task if one.task is not None else f"{one.send_out}/{one.leg}"


def why_not(prepared: Prepared, one: Expedite) -> str | None:
    """Say in one sentence why an expedite can shorten nothing any more; None: it can."""
    name = activity_of(one)
    place = prepared.number.get(name)
    if place is None:
        item = next(item for item in prepared.plan.send_outs if item.id == one.send_out)
        why = "is dropped" if item.dropped else f'does not go through "{one.leg}"'
        return f'"{one.id}" cannot be taken: the send-out "{item.id}" {why}'
    activity = prepared.expansion.activities[place]
    if activity.dropped or activity.is_done:
        state = "dropped" if activity.dropped else "done"
        return f'"{one.id}" cannot be taken: "{name}" is {state}'
    return None


def reduction(remaining: int, gain: int) -> int:
    """Return how much shorter work becomes; an eighth of a day is left. [ticks]"""
    spare = (remaining - EIGHTH) // EIGHTH * EIGHTH
    return max(0, min(gain, spare))


def is_promised(plan: Plan, activity: Activity) -> bool:
    """Return whether an open leg ends on a date that the vendor has promised."""
    if activity.leg != "vendor_work" or activity.is_done:
        return False
    return any(
        item.id == activity.send_out and item.status.promised is not None for item in plan.send_outs
    )


def earlier_promise(prepared: Prepared, item: SendOut, ticks: int) -> SendOut:
    """
    Return a send-out whose promised date is earlier by the vendor's working time.

    Never before the as-of date; a promise that has passed stays as it is.
    """
    promised = item.status.promised
    if promised is None:
        return item
    network = prepared.network
    rank = prepared.rank(f"{item.id}/vendor_work")
    on = network.on[rank : rank + 1]
    ends = np.array([end_of(promised) - network.origin])
    moved = network.tables.earliest(on, network.tables.work_before(on, ends) - ticks)
    day = date_before(int(moved[0]) + network.origin)
    day = min(promised, max(day, prepared.plan.project.as_of))
    return replace(item, status=replace(item.status, promised=day))


def _asked_for(one: Expedite, days: float | None, where: str) -> int:
    """Return how much of an expedite is taken. [ticks]"""
    left = one.gains - one.taken
    if left == 0:
        raise InvalidValueError(f"{where}.expedite", f'"{one.id}" is taken already', one.id)
    if days is None:
        return left
    field, most = f"{where}.days", days_from_ticks(left)
    ticks = days * TICKS_PER_DAY
    if one.by_the_day and not (0 < ticks <= left and ticks % TICKS_PER_DAY == 0):
        reason = f'of "{one.id}" whole days from 1 to {most:g} can be taken, not {days:g}'
        raise InvalidValueError(field, reason, days)
    if not one.by_the_day and ticks != left:
        reason = f'"{one.id}" is all or nothing: {most:g} days, not {days:g}'
        raise InvalidValueError(field, reason, days)
    return int(ticks)


def _shorter_task(task: Task, ticks: int) -> Task:
    """Shorten a task that is open: as a whole, or what remains of it."""
    status, shorter = task.status, task
    if status.started is None:
        span = task.duration_range
        if span is not None:
            low, likely, high = (one - reduction(one, ticks) for one in span)
            span = (low, likely, high)
        duration = task.duration - reduction(task.duration, ticks)
        shorter = replace(task, duration=duration, duration_range=span)
    remaining = status.remaining
    if remaining is None and status.started is not None:
        remaining = task.duration
    if remaining is None:
        return shorter
    left = replace(status, remaining=remaining - reduction(remaining, ticks))
    return replace(shorter, status=left)


def _shorter_leg(prepared: Prepared, item: SendOut, one: Expedite, ticks: int) -> SendOut:
    """Shorten a leg that is open, by what remains of it, or bring its promise forward."""
    activity = prepared.expansion.activities[prepared.number[activity_of(one)]]
    if is_promised(prepared.plan, activity):
        return earlier_promise(prepared, item, ticks)
    field = EXPEDITED_LEGS[one.leg]
    remaining = int(prepared.values.work[prepared.rank(activity.id)])
    return replace(item, **{field: getattr(item, field) - reduction(remaining, ticks)})


def _cost_line(plan: Plan, one: Expedite, ticks: int) -> Cost:
    """Return the cost line of what is taken."""
    known = {cost.id for cost in plan.costs}
    name = base = f"expedite {one.id}"[:_LONGEST_ID]
    number = 1
    while name in known:
        number += 1
        name = f"{base} {number}"
    days = ticks // TICKS_PER_DAY if one.by_the_day else 1
    return Cost(
        id=name,
        amount=one.cost * days,
        currency=one.currency or plan.project.currency,
        name=one.name or one.id,
        kind=_COST_KINDS.get(one.kind, "other"),
        task=one.task,
        send_out=one.send_out,
    )
