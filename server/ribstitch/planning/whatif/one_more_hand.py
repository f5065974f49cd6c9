"""One more person of a trade: what they take over from the others.

The order of the crew stays. Whoever comes on top stands in where a task waits for a single
hand of the trade; the hand that the task would have waited for is free in its place, and
goes on to the next such task. The first of them begins when the person comes, or later. No
task begins later than before.
"""

from __future__ import annotations

from collections.abc import Sequence
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
class _Hand:
    """The hand that is over: whose task gave it up, and when."""

    held_by: str | None
    """None: the person who comes on top."""
    since: int
    """[ticks]"""


@dataclass(frozen=True, slots=True)
class _Wait:
    """A task that a single hand of the trade lets begin earlier."""

    link: CrewLink
    begin: int
    """Where the task begins with that hand. [ticks]"""
    until: int
    """Where it begins without. [ticks]"""
    on_path: bool


def bring_one_more_hand(plan: Plan, change: OneMoreHand, where: str) -> Plan:
    """
    Let one more person of a trade come from a date on.

    They work when the first people of the trade do, or else as the project does, and cost as
    much an hour. Of the tasks that they could take over, those that set the finish come
    first, the earliest first among them.

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
    hand = _Hand(None, start_of(change.first))
    for _ in plan.crew_links:
        found = schedule(plan)
        wait = _next_wait(found, change.trade, hand)
        if wait is None:
            break
        if hand.held_by is None:
            plan = _keep_until(plan, wait.link.after, change.first)
        plan = replace(plan, crew_links=_handed_over(plan.crew_links, wait.link, hand, change))
        given_up = found.number(wait.link.before)
        hand = _Hand(wait.link.before, int(found.finish[given_up]))
    return plan


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


def _next_wait(found: Schedule, trade: str, hand: _Hand) -> _Wait | None:
    """Return the task that the hand goes to next; None: nowhere is it of use."""
    # Levelling takes long to load, and who never asks for a hand needs none of it.
    from ribstitch.planning.levelling.waits import crew_waits

    told = {(one.before, one.after): one for one in found.prepared.plan.crew_links}
    every = crew_waits(found)
    alone = [one.link.after for one in every]
    waits = [
        _Wait(told[pair], max(one.since, hand.since), one.until, one.on_path)
        for one in every
        if (pair := (one.link.before, one.link.after)) in told
        and one.link.kind is CrewLinkKind.TRADE
        and trade in one.link.names
        and told[pair].units == 1
        and alone.count(one.link.after) == 1
        and max(one.since, hand.since) < one.until
    ]
    return min(
        waits, key=lambda one: (not one.on_path, one.begin, one.until, one.link.after), default=None
    )


def _handed_over(
    links: Sequence[CrewLink], gone: CrewLink, hand: _Hand, change: OneMoreHand
) -> tuple[CrewLink, ...]:
    """Return the crew links once the hand goes to the later task of one of them."""
    kept = tuple(one for one in links if one is not gone)
    pairs = {(one.before, one.after) for one in kept}
    if hand.held_by is None or (hand.held_by, gone.after) in pairs:
        return kept
    return (*kept, CrewLink(hand.held_by, gone.after, names=(change.trade,)))
