"""Changes of tasks: how long they take, when they begin, what they wait for, what strikes them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ribstitch.planning.check_values import check_date
from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import Plan, Risk, State, Task, TaskStatus
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.whatif.changes import (
    RiskSettled,
    TaskDropped,
    TaskNotBefore,
    TaskTakes,
    TradeSlower,
    WaitDropped,
    ZoneSlower,
)
from ribstitch.planning.whatif.on_send_outs import send_out_of, with_send_out

_MOST_DAYS = 3660
_LEAST_PERCENT, _MOST_PERCENT = -90, 900
_OVER = {State.DONE: "is done already", State.DROPPED: "is dropped already"}


def drop_task(plan: Plan, change: TaskDropped, where: str) -> Plan:
    """Drop a task that is not done."""
    task = task_of(plan, change.task, f"{where}.task")
    if task.status.state is State.DONE:
        raise InvalidValueError(f"{where}.task", f'"{task.id}" is done already', task.id)
    return with_task(plan, replace(task, status=TaskStatus(State.DROPPED)))


def take_days(plan: Plan, change: TaskTakes, where: str) -> Plan:
    """
    Let a task take so many days.

    Its range, and what is left of it where it is in work, change in the same measure.
    """
    task = _open_task(plan, change.task, f"{where}.task")
    if task.milestone is not None:
        raise InvalidValueError(f"{where}.task", f'"{task.id}" is a milestone', task.id)
    if not 0 < change.days <= _MOST_DAYS:
        raise InvalidValueError(
            f"{where}.days", f"{change.days:g} is not between 0 and {_MOST_DAYS} days", change.days
        )
    ticks = round(change.days * TICKS_PER_DAY)
    if task.duration == 0:
        return with_task(plan, replace(task, duration=ticks))
    return with_task(plan, replace(_scaled(task, ticks / task.duration), duration=ticks))


def keep_until(plan: Plan, change: TaskNotBefore, where: str) -> Plan:
    """Let a task that has not begun start no earlier than a date."""
    task = _open_task(plan, change.task, f"{where}.task")
    if task.status.started is not None:
        raise InvalidValueError(f"{where}.task", f'"{task.id}" has begun already', task.id)
    check_date(change.on, f"{where}.on")
    return with_task(plan, replace(task, not_before=change.on))


def drop_wait(plan: Plan, change: WaitDropped, where: str) -> Plan:
    """Take out what makes one task wait for another: links of the plan and of the crew."""
    for name, field in ((change.task, "task"), (change.before, "before")):
        task_of(plan, name, f"{where}.{field}")
    pair = (change.before, change.task)
    links = tuple(one for one in plan.links if (one.before, one.after) != pair)
    crew_links = tuple(one for one in plan.crew_links if (one.before, one.after) != pair)
    if (links, crew_links) == (plan.links, plan.crew_links):
        raise InvalidValueError(
            f"{where}.before", f'"{change.task}" does not wait for "{change.before}"', change.before
        )
    return replace(plan, links=links, crew_links=crew_links)


def settle_risk(plan: Plan, change: RiskSettled, where: str) -> Plan:
    """
    Let a risk strike, or not: it is settled either way, and what it costs is in the plan.

    What strikes a vendor's work makes the vendor's days longer; not where a date is promised.
    """
    risk = next((one for one in plan.risks if one.id == change.risk), None)
    if risk is None:
        raise UnknownReferenceError(f"{where}.risk", "risk", change.risk)
    if risk.closed:
        raise InvalidValueError(f"{where}.risk", f'"{risk.id}" is settled already', risk.id)
    settled = tuple(replace(one, closed=True) if one.id == risk.id else one for one in plan.risks)
    plan = replace(plan, risks=settled)
    if not change.strikes:
        return plan
    if risk.send_out is not None:
        return _strike_vendor(plan, risk, risk.send_out, f"{where}.risk")
    task = _open_task(plan, risk.task or "", f"{where}.risk")
    return with_task(plan, _longer(task, risk))


def slow_trade(plan: Plan, change: TradeSlower, where: str) -> Plan:
    """Let what is open of a trade's work take longer."""
    if change.trade not in {task.trade for task in plan.tasks}:
        raise UnknownReferenceError(f"{where}.trade", "trade", change.trade)
    return _slower(plan, lambda task: task.trade == change.trade, change.percent, where)


def slow_zone(plan: Plan, change: ZoneSlower, where: str) -> Plan:
    """Let what is open of a zone's work take longer."""
    if change.zone not in {zone.id for zone in plan.zones}:
        raise UnknownReferenceError(f"{where}.zone", "zone", change.zone)
    return _slower(plan, lambda task: task.zone == change.zone, change.percent, where)


def task_of(plan: Plan, task_id: str, where: str) -> Task:
    """Return a task by id."""
    for task in plan.tasks:
        if task.id == task_id:
            return task
    raise UnknownReferenceError(where, "task", task_id)


def with_task(plan: Plan, changed: Task) -> Plan:
    """Return the plan with one task changed."""
    tasks = tuple(changed if task.id == changed.id else task for task in plan.tasks)
    return replace(plan, tasks=tasks)


def _open_task(plan: Plan, task_id: str, where: str) -> Task:
    """Return a task of which something is still to be done."""
    task = task_of(plan, task_id, where)
    reason = _OVER.get(task.status.state)
    if reason is not None:
        raise InvalidValueError(where, f'"{task_id}" {reason}', task_id)
    return task


def _slower(plan: Plan, concerns: Callable[[Task], bool], percent: float, where: str) -> Plan:
    """Let open work of people that is concerned take longer."""
    if not _LEAST_PERCENT <= percent <= _MOST_PERCENT:
        raise InvalidValueError(
            f"{where}.percent",
            f"{percent:g} is not between {_LEAST_PERCENT} and {_MOST_PERCENT} percent",
            percent,
        )
    tasks = tuple(
        _scaled(task, 1 + percent / 100)
        if task.status.state.is_open and task.trade is not None and concerns(task)
        else task
        for task in plan.tasks
    )
    return replace(plan, tasks=tasks)


def _scaled(task: Task, ratio: float) -> Task:
    """Return a task all of whose days are so many times as long."""
    span = task.duration_range
    if span is not None:
        low, likely, high = (round(one * ratio) for one in span)
        span = (low, likely, high)
    status = task.status
    if status.remaining is not None:
        status = replace(status, remaining=round(status.remaining * ratio))
    duration = round(task.duration * ratio)
    return replace(task, duration=duration, duration_range=span, status=status)


def _longer(task: Task, risk: Risk) -> Task:
    """Return a task with what a risk costs added to it."""
    span, status = task.duration_range, task.status
    if span is not None:
        low, likely, high = map(
            sum, zip(span, risk.impact_range or (risk.impact,) * 3, strict=True)
        )
        span = (low, likely, high)
    if status.remaining is not None:
        status = replace(status, remaining=status.remaining + risk.impact)
    return replace(task, duration=task.duration + risk.impact, duration_range=span, status=status)


def _strike_vendor(plan: Plan, risk: Risk, send_out: str, where: str) -> Plan:
    """Add what a risk costs to the vendor's work."""
    item = send_out_of(plan, send_out, where)
    if item.dropped or item.status.left_vendor is not None or item.status.accepted is not None:
        raise InvalidValueError(where, f'the vendor\'s work on "{item.id}" is over', item.id)
    if item.status.promised is not None:
        raise InvalidValueError(
            where, f'a date is promised for "{item.id}": say how late it comes instead', item.id
        )
    return with_send_out(plan, replace(item, lead=item.lead + risk.impact))
