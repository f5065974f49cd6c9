"""Short ways to write a plan in a test: days instead of ticks, ids instead of objects."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from ribstitch.planning.model import (
    Calendar,
    LagOn,
    Link,
    Plan,
    Project,
    Relation,
    State,
    Task,
    TaskStatus,
    Vendor,
)
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of

MONDAY = date(2026, 1, 5)
SHOP = Calendar(id="shop")
"""Monday to Friday, 8 hours, no holidays."""


def ticks(days: float) -> int:
    """Return days as ticks."""
    return round(days * TICKS_PER_DAY)


def task(name: str, days: float = 1, **fields: Any) -> Task:
    """Return a task that takes `days`."""
    return Task(id=name, duration=ticks(days), **fields)


def link(
    before: str, after: str, relation: str = "FS", lag: float = 0, on: LagOn = LagOn.WORK
) -> Link:
    """Return a link with its lag in days."""
    return Link(before, after, Relation(relation), ticks(lag), on)


def status(
    state: str,
    remaining: float | None = None,
    **fields: Any,
) -> TaskStatus:
    """Return a task's status, what remains in days."""
    left = None if remaining is None else ticks(remaining)
    return TaskStatus(State(state), remaining=left, **fields)


def plan(
    tasks: Sequence[Task] = (),
    links: Sequence[Link] = (),
    *,
    start: date = MONDAY,
    as_of: date | None = None,
    calendar: str = "shop",
    calendars: Sequence[Calendar] = (SHOP,),
    vendors: Sequence[Vendor] = (),
    project: Mapping[str, Any] | None = None,
    **fields: Any,
) -> Plan:
    """Return a plan that starts on Monday 5 January 2026 on a Monday-to-Friday calendar."""
    return Plan(
        project=Project(start, as_of or start, calendar=calendar, **(project or {})),
        calendars=tuple(calendars),
        tasks=tuple(tasks),
        links=tuple(links),
        vendors=tuple(vendors),
        **{key: tuple(value) for key, value in fields.items()},
    )


def day_number(instant: int, origin: date = MONDAY) -> float:
    """Return an instant as elapsed days since the start of a date."""
    return (instant - start_of(origin)) / TICKS_PER_DAY


def shown(result: Schedule, name: str) -> tuple[date, date]:
    """Return the shown start and finish of an activity."""
    number = result.number(name)
    return result.start_on(number), result.finish_on_of(number)
