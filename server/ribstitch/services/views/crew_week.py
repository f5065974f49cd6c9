"""One week of the crew: who does what on which date."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.levelling.rota import Person, Rota, Turn, rota
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE, Caution, cautions_for
from ribstitch.services.views.lookups import (
    activity_name,
    float_days,
    is_critical,
    task_at,
    zone_name_of,
)

Day = date
"""A date, in classes that have a field of that name."""
_DAYS = 7


@dataclass(frozen=True, slots=True)
class Work:
    """A task on one date."""

    task: str
    name: str
    zone: str
    """The zone's name; empty where the task has none."""
    hours: float
    hazards: list[str]


@dataclass(frozen=True, slots=True)
class OpenWork(Work):
    """A task on one date for which somebody is missing."""

    date: Day
    trade: str
    critical: bool
    total_float_days: float


@dataclass(frozen=True, slots=True)
class HeldWork:
    """A task that is held, and nobody knows until when."""

    task: str
    name: str
    zone: str
    """The zone's name; empty where the task has none."""
    reason: str
    """Why it is held; empty where nobody said so."""
    critical: bool
    total_float_days: float


@dataclass(frozen=True, slots=True)
class PersonDay:
    """One date of a person-slot."""

    date: Day
    hours: float
    """For which they are there; 0 before the as-of date: that time is gone."""
    works: list[Work]


@dataclass(frozen=True, slots=True)
class PersonWeek:
    """One week of a person-slot."""

    slot: str
    trades: list[str]
    days: list[PersonDay]


@dataclass(frozen=True, slots=True)
class CrewWeek:
    """One week of the crew, as it is printed."""

    plan_version: int
    as_of: date
    monday: date
    people: list[PersonWeek]
    """Everybody, with or without work."""
    unassigned: list[OpenWork]
    """What finds nobody free, what protects the finish first; then by date."""
    held: list[HeldWork]
    """What the plan has in the week, but is held without a date: nobody is asked for it."""
    hazards: dict[str, Caution]
    """The usual cautions of all that is on the sheet."""
    caution: str
    """The standing line."""


def crew_week(current: CurrentPlan, on: date | None = None) -> CrewWeek:
    """
    Return a week of the crew.

    Parameters
    ----------
    current
        The plan; what is open of it is spread over its people.
    on
        Any date of the week; None: the as-of date.
    """
    day = on or current.as_of
    monday = day - timedelta(days=day.weekday())
    found = rota(current.schedule, monday, monday + timedelta(days=_DAYS - 1))
    everything = (*found.turns, *found.unassigned)
    tasks = [task_at(current, current.schedule.number(one.task)) for one in everything]
    return CrewWeek(
        plan_version=current.plan_version,
        as_of=current.as_of,
        monday=monday,
        people=[
            _week(current, monday, person, [one for one in found.turns if one.person == number])
            for number, person in enumerate(found.people)
        ],
        unassigned=_unassigned(current, found),
        held=[_held(current, task) for task in found.held],
        hazards=cautions_for(tag for task in tasks if task is not None for tag in task.hazards),
        caution=STANDING_LINE,
    )


def _week(current: CurrentPlan, monday: date, person: Person, turns: Sequence[Turn]) -> PersonWeek:
    """Return the week of one person."""
    calendar = next(one for one in calendars_of(current.plan) if one.id == person.calendar)
    there = ticks_per_date(calendar, monday.toordinal(), _DAYS) * calendar.day_hours
    days = []
    for place, hours in enumerate((there / TICKS_PER_DAY).tolist()):
        on = monday + timedelta(days=place)
        works = _works(current, [one for one in turns if one.day == on])
        days.append(PersonDay(on, round(hours, 2) if on >= current.as_of else 0, works))
    return PersonWeek(person.label, list(person.trades), days)


def _works(current: CurrentPlan, turns: Iterable[Turn]) -> list[Work]:
    """Return the tasks of one person on one date, in their order."""
    hours: dict[str, float] = {}
    for one in turns:
        hours[one.task] = hours.get(one.task, 0) + one.hours
    return [Work(*_told(current, task, spent)) for task, spent in hours.items()]


def _unassigned(current: CurrentPlan, found: Rota) -> list[OpenWork]:
    """Return what finds nobody: what protects the finish first, then by date."""
    hours: dict[tuple[int, date], float] = {}
    for one in found.unassigned:
        at = current.schedule.number(one.task), one.day
        hours[at] = hours.get(at, 0) + one.hours
    order = sorted(hours, key=lambda at: (current.schedule.urgency(at[0]), at[1]))
    return [
        OpenWork(
            *_told(current, current.plan.tasks[number].id, hours[number, on]),
            date=on,
            trade=current.plan.tasks[number].trade or "",
            critical=is_critical(current, number),
            total_float_days=float_days(current, number),
        )
        for number, on in order
    ]


def _held(current: CurrentPlan, task: str) -> HeldWork:
    """Return what the sheet says of a task that is held."""
    number = current.schedule.number(task)
    return HeldWork(
        task,
        activity_name(current, number),
        zone_name_of(current, number),
        current.plan.tasks[number].status.held_reason,
        is_critical(current, number),
        float_days(current, number),
    )


def _told(current: CurrentPlan, task: str, hours: float) -> tuple[str, str, str, float, list[str]]:
    """Return what the sheet says of a task."""
    number = current.schedule.number(task)
    one = current.plan.tasks[number]
    return (
        task,
        activity_name(current, number),
        zone_name_of(current, number),
        round(hours, 2),
        list(one.hazards),
    )
