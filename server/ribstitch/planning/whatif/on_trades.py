"""Changes of when people work: one more weekday, a time away; of a calendar, or of a trade.

A trade has no calendar of its own: its people and its tasks stand on calendars that others
may share. Where others do, the trade gets a copy.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import ELAPSED, Calendar, Plan
from ribstitch.planning.whatif.changes import ExtraDays, TradeAway, TradeDays
from ribstitch.planning.whatif.dates import check_range_of_dates, check_weekday, closed, opened

_LONGEST_ID = 70
"""So much of an id is kept, that a number fits after it into the 80 characters of an id."""


def work_extra_days(plan: Plan, change: ExtraDays, where: str) -> Plan:
    """Open one more weekday of a calendar, but for dates on which it is closed."""
    if change.calendar not in {calendar.id for calendar in plan.calendars}:
        raise UnknownReferenceError(f"{where}.calendar", "calendar", change.calendar)
    check_weekday(change.weekday, where)
    check_range_of_dates(change.first, change.last, where)
    calendars = tuple(
        opened(one, change.weekday, change.first, change.last, change.hours)
        if one.id == change.calendar
        else one
        for one in plan.calendars
    )
    return replace(plan, calendars=calendars)


def work_weekday(plan: Plan, change: TradeDays, where: str) -> Plan:
    """Let a trade work full days on one more weekday, but for dates on which it is closed."""
    check_weekday(change.weekday, where)
    check_range_of_dates(change.first, change.last, where)

    def more(calendar: Calendar) -> Calendar:
        return opened(calendar, change.weekday, change.first, change.last, calendar.day_hours)

    return _with_calendars(plan, change.trade, more, where)


def send_away(plan: Plan, change: TradeAway, where: str) -> Plan:
    """Let nobody of a trade work in a range of dates; what they have begun rests."""
    check_range_of_dates(change.first, change.last, where)
    return _with_calendars(
        plan, change.trade, lambda calendar: closed(calendar, change.first, change.last), where
    )


def check_trade(plan: Plan, trade: str, where: str) -> None:
    """Refuse a trade that nobody has and no task asks for."""
    known = {task.trade for task in plan.tasks} | {one.trade for one in plan.crew}
    if trade not in known:
        raise UnknownReferenceError(f"{where}.trade", "trade", trade)


def new_calendar_id(plan: Plan, wanted: str) -> str:
    """Return an id that no calendar has: the wanted one, else numbered from 2."""
    taken = {one.id for one in plan.calendars} | {ELAPSED.id}
    name = base = wanted[:_LONGEST_ID]
    number = 1
    while name in taken:
        number += 1
        name = f"{base} {number}"
    return name


def _with_calendars(
    plan: Plan, trade: str, changed: Callable[[Calendar], Calendar], where: str
) -> Plan:
    """Change the calendars of a trade's people and open tasks, for the trade alone."""
    check_trade(plan, trade, where)
    calendars = {one.id: one for one in plan.calendars if not one.elapsed}
    own = [name for name in dict.fromkeys(_calendars_of(plan, trade)) if name in calendars]
    if not own:
        raise InvalidValueError(
            f"{where}.trade", f'"{trade}" has neither people nor work that is open', trade
        )
    others = set(_calendars_of_others(plan, trade))
    for name in own:
        old = calendars[name]
        if name not in others:
            kept = tuple(changed(one) if one.id == name else one for one in plan.calendars)
            plan = replace(plan, calendars=kept)
            continue
        copied = replace(
            old, id=new_calendar_id(plan, f"{name}-{trade}"), name=f"{old.name or name}, {trade}"
        )
        plan = _moved(plan, trade, name, changed(copied))
    return plan


def _moved(plan: Plan, trade: str, old: str, new: Calendar) -> Plan:
    """Put a trade's people and open tasks that stand on one calendar on another one."""
    return replace(
        plan,
        calendars=(*plan.calendars, new),
        tasks=tuple(
            replace(task, calendar=new.id)
            if task.trade == trade
            and task.status.state.is_open
            and plan.calendar_of_task(task) == old
            else task
            for task in plan.tasks
        ),
        crew=tuple(
            replace(one, calendar=new.id)
            if one.trade == trade and (one.calendar or plan.project.calendar) == old
            else one
            for one in plan.crew
        ),
    )


def _calendars_of(plan: Plan, trade: str) -> Iterator[str]:
    """Yield the calendars of a trade's people and of its open tasks."""
    for one in plan.crew:
        if one.trade == trade:
            yield one.calendar or plan.project.calendar
    for task in plan.tasks:
        if task.trade == trade and task.status.state.is_open:
            yield plan.calendar_of_task(task)


def _calendars_of_others(plan: Plan, trade: str) -> Iterator[str]:
    """Yield the calendars that somebody or something else stands on."""
    yield plan.project.calendar
    for vendor in plan.vendors:
        yield vendor.calendar or plan.project.calendar
    for one in plan.crew:
        if one.trade != trade:
            yield one.calendar or plan.project.calendar
    for task in plan.tasks:
        if task.trade != trade:
            yield plan.calendar_of_task(task)
