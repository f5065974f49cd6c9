"""Hours that were entered for tasks, and whose hours they can be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.money.labour import hours_of_work
from ribstitch.planning.model import Crew, HoursWorked
from ribstitch.planning.prepared import calendars_of
from ribstitch.services.forecast import CurrentPlan

MOST_NUMBERED = 12
"""People of one crew entry that are told apart by number; more are a crowd."""


@dataclass(frozen=True, slots=True)
class HoursSum:
    """Hours of one task, of all who worked on it."""

    today: str
    """On the as-of date; a decimal string, as they are entered."""
    so_far: str
    """On all dates; a decimal string."""
    planned: float
    """What the plan gives it: its days, times the hours of a day, times its people."""


@dataclass(frozen=True, slots=True)
class HoursLine:
    """One entry of hours."""

    key: str
    on: date
    hours: str
    """Decimal string."""
    trade: str | None
    """None: the task's own."""
    label: str
    """The person-slot; empty where none was named."""
    version: int


@dataclass(frozen=True, slots=True)
class Slot:
    """One person-slot of the crew."""

    label: str
    trade: str
    day_hours: float
    """A full day of its calendar. [hours]"""


def hours_of_task(current: CurrentPlan, number: int) -> HoursSum:
    """Return the hours of the task with this number."""
    task = current.plan.tasks[number]
    entries = _entries(current).get(task.id, ())
    today = sum((one.hours for one in entries if one.on == current.as_of), Decimal(0))
    so_far = sum((one.hours for one in entries), Decimal(0))
    per_tick = current.derived("hours_of_work", lambda: hours_of_work(current.plan))
    planned = per_tick[task.id] * task.duration
    return HoursSum(_shown(today), _shown(so_far), round(float(planned), 2))


def hours_lines(current: CurrentPlan, task_id: str) -> list[HoursLine]:
    """Return what was entered for a task, the latest date first."""
    versions = current.versions["hours_worked"]
    entries = sorted(_entries(current).get(task_id, ()), key=lambda one: one.on, reverse=True)
    return [
        HoursLine(one.id, one.on, _shown(one.hours), one.trade, one.label, versions[one.id])
        for one in entries
    ]


def slots_of(current: CurrentPlan, trade: str | None) -> list[Slot]:
    """Return who can have worked at a trade: its person-slots; without a trade, everybody."""
    slots = current.derived("slots", lambda: tuple(_slots(current)))
    return [one for one in slots if trade in {None, one.trade}]


def _slots(current: CurrentPlan) -> Iterator[Slot]:
    """Yield each person-slot of the crew, once for each of its trades."""
    plan = current.plan
    day_hours = {one.id: one.day_hours for one in calendars_of(plan)}
    seen: set[tuple[str, str]] = set()
    for row in plan.crew:
        for label in _labels(row):
            if (row.trade, label) not in seen:
                seen.add((row.trade, label))
                yield Slot(label, row.trade, day_hours[row.calendar or plan.project.calendar])


def _labels(row: Crew) -> list[str]:
    """Return what the people of a crew entry are called on a timesheet."""
    name = row.label or row.trade
    if row.label and (row.people == 1 or row.people > MOST_NUMBERED):
        return [name]
    return [f"{name} {number}" for number in range(1, min(row.people, MOST_NUMBERED) + 1)]


def _entries(current: CurrentPlan) -> Mapping[str, list[HoursWorked]]:
    """Return the timesheet by task, in order of entry."""

    def sort() -> Mapping[str, list[HoursWorked]]:
        found: defaultdict[str, list[HoursWorked]] = defaultdict(list)
        for one in current.plan.hours:
            found[one.task].append(one)
        return dict(found)

    return current.derived("hours_by_task", sort)


def _shown(hours: Decimal) -> str:
    """Return hours without needless zeros: "6.5"."""
    text = f"{hours:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
