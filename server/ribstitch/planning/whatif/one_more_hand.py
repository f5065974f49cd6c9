"""One more person of a trade: what they take over from the others.

The order of the crew stays. Whoever comes on top stands in where a task waits for a single
hand of the trade; the hand that the task would have waited for is free in its place, and
goes on to the next such task. The first of them begins when the person comes, or later. No
task begins later than before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from ribstitch.planning.check_values import check_date
from ribstitch.planning.model import Calendar, Crew, CrewLink, CrewLinkKind, Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import start_of
from ribstitch.planning.whatif.changes import OneMoreHand
from ribstitch.planning.whatif.on_tasks import task_of, with_task
from ribstitch.planning.whatif.on_trades import check_trade, new_calendar_id


@dataclass(frozen=True, slots=True)
class _Wait:
    """A task that waits for a single hand of the trade and for nobody else."""

    link: CrewLink
    since: int
    """Where it could begin with a hand. [ticks]"""
    until: int
    """Where it begins, as the hand that it waits for is free. [ticks]"""
    on_path: bool
    """Whether that wait is on the chain that sets the finish."""


def bring_one_more_hand(plan: Plan, change: OneMoreHand, where: str) -> Plan:
    """
    Let one more person of a trade come from a date on.

    They work when the first people of the trade do, or else as the project does, and cost as
    much an hour. Tasks are taken over in the order in which they begin: all that wait, or
    those alone whose wait sets the finish, whichever finishes earlier. What is decided for one
    of them holds whatever comes earlier because of another.

    Raises
    ------
    PlanError
        If nobody knows the trade, the date cannot be, or the plan cannot be scheduled.
    """
    check_trade(plan, change.trade, where)
    check_date(change.first, f"{where}.first")
    first = next((one for one in plan.crew if one.trade == change.trade and one.people), None)
    like = first or Crew(change.trade)
    calendar = _from_then_on(plan, change, like.calendar or plan.project.calendar)
    more = replace(like, people=1, calendar=calendar.id, label="")
    plan = replace(plan, calendars=(*plan.calendars, calendar), crew=(*plan.crew, more))
    if not plan.crew_links:
        return plan
    waits = tuple(_waits(schedule(plan), change.trade))
    ways = (waits, [one for one in waits if one.on_path])
    return min((_handed_over(plan, change, way) for way in ways), key=_finish)


def _finish(plan: Plan) -> int:
    """Return the project finish. [ticks]"""
    return schedule(plan).project_finish


def _handed_over(plan: Plan, change: OneMoreHand, waits: Iterable[_Wait]) -> Plan:
    """Return the plan with its crew links as the hands go with one more of them."""
    links = {(one.before, one.after): one for one in plan.crew_links}
    held_by: str | None = None
    free = start_of(change.first)
    for wait in waits:
        if max(wait.since, free) >= wait.until:
            continue
        del links[wait.link.before, wait.link.after]
        if held_by is None:
            plan = _keep_until(plan, wait.link.after, change.first)
        elif (held_by, wait.link.after) not in links:
            link = CrewLink(held_by, wait.link.after, names=(change.trade,))
            links[link.before, link.after] = link
        held_by, free = wait.link.before, wait.until
    return replace(plan, crew_links=tuple(links.values()))


def _waits(found: Schedule, trade: str) -> Iterator[_Wait]:
    """Yield what waits for a single hand of the trade, in the order in which it begins."""
    # Levelling takes long to load, and who never asks for a hand needs none of it.
    from ribstitch.planning.levelling.waits import crew_waits

    told = {(one.before, one.after): one for one in found.prepared.plan.crew_links}
    every = sorted(crew_waits(found), key=lambda one: (one.until, one.link.after))
    times: dict[str, int] = {}
    for one in every:
        times[one.link.after] = times.get(one.link.after, 0) + 1
    for one in every:
        link = told.get((one.link.before, one.link.after))
        if (
            link is not None
            and link.kind is CrewLinkKind.TRADE
            and trade in link.names
            and link.units == 1
            and times[link.after] == 1
        ):
            yield _Wait(link, one.since, one.until, one.on_path)


def _from_then_on(plan: Plan, change: OneMoreHand, name: str) -> Calendar:
    """Return a calendar, closed before the date."""
    old = next(one for one in plan.calendars if one.id == name)
    before = change.first - timedelta(days=1)
    begin = min(plan.project.start, before)
    return replace(
        old,
        id=new_calendar_id(plan, f"{name}-{change.trade}-{change.first}"),
        name=f"{old.name or name}, one more {change.trade} from {change.first}",
        opened=tuple((day, hours) for day, hours in old.opened if day >= change.first),
        closed=(*old.closed, (begin, before)),
    )


def _keep_until(plan: Plan, task_id: str, first: date) -> Plan:
    """Return the plan with a task that begins no earlier than who does it comes."""
    task = task_of(plan, task_id, "")
    known = task.not_before
    return with_task(plan, replace(task, not_before=first if known is None else max(known, first)))
