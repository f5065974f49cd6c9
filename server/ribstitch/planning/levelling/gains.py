"""What one more would gain: a person, a working day a week, a place; each by levelling anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from ribstitch.planning.errors import PlanError
from ribstitch.planning.levelling.board import Clock
from ribstitch.planning.levelling.level_plan import LevelledPlan, level_plan
from ribstitch.planning.model import Calendar, Crew, Plan

_DAYS = (5, 0, 1, 2, 3, 4, 6)
"""Which day of the week would be worked next: Saturday, then from Monday on."""


class GainKind(StrEnum):
    """Of what there is one more."""

    PERSON = "person"
    DAY = "day"
    PLACE = "place"


@dataclass(frozen=True, slots=True)
class Gain:
    """
    What one more would bring.

    Attributes
    ----------
    kind, name
        One more person of this trade, one more day a week on this calendar of the crew,
        or one more of this place.
    trades
        Whose people there are more of, or more often, in alphabetical order.
    weekday
        Which day of the week is worked more, 0 on Monday; None for a person or a place.
    finish
        The levelled finish with it, never later than without.
    days
        By how many dates that is earlier.
    is_proven
        Whether it is exactly that: neither plan can finish earlier.
    """

    kind: GainKind
    name: str
    trades: tuple[str, ...]
    weekday: int | None
    finish: date
    days: int
    is_proven: bool


@dataclass(frozen=True, slots=True)
class OneMore:
    """A levelled plan, and what one more of each trade, day and place would bring."""

    base: LevelledPlan
    gains: tuple[Gain, ...]
    """The largest first."""


@dataclass(frozen=True, slots=True)
class _Case:
    """A plan with one more of something."""

    kind: GainKind
    name: str
    plan: Plan
    trades: tuple[str, ...] = ()
    weekday: int | None = None


def one_more(
    plan: Plan,
    *,
    seconds: float,
    clock: Clock,
    seed: int = 1,
    base: LevelledPlan | None = None,
    on_progress: Callable[[float], None] = lambda _: None,
) -> OneMore:
    """
    Find out what one more of each trade, working day and place would gain.

    Each case is levelled with the same effort, from the order of the plan as it is, into
    which half of the time goes; so a gain is rather found too small than too large. A case
    that finishes earlier is tried on the plan as it is, too: luck in searching is no gain.
    A gain is never negative, as who comes on top may stay at home.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    seconds
        How long to look for better plans, all in all; with 0 each is the best of the
        rules. [s]
    clock
        Tells seconds that only go forward.
    seed
        Of everything drawn.
    base
        The plan, levelled before; None: it is levelled here.
    on_progress
        Told the share of cases that are levelled, from 0 to 1; may raise to stop.

    Raises
    ------
    PlanError
        If the plan cannot be levelled: one sentence says why.
    ValueError
        If `seconds` is negative.
    """
    if seconds < 0:
        raise ValueError(f"{seconds} seconds cannot be")
    deadline = clock() + seconds
    on_progress(0.0)
    best = base or level_plan(plan, seconds=seconds / 2, clock=clock, seed=seed)
    cases = [*_people(best), *_days(best), *_places(best)]
    found: list[tuple[_Case, LevelledPlan | None]] = []
    for number, case in enumerate(cases):
        on_progress(number / len(cases))
        effort = max(0.0, deadline - clock()) / (len(cases) - number)
        levelled = _levelled(case, best, effort, clock, seed)
        found.append((case, levelled))
        if levelled is not None and levelled.project_finish < best.project_finish:
            again = level_plan(plan, seconds=0, clock=clock, seed=seed, current=_begins(levelled))
            best = min(best, again, key=_finish)
    on_progress(1.0)
    gains = [_gain(case, levelled, best) for case, levelled in found]
    return OneMore(best, tuple(sorted(gains, key=lambda one: -one.days)))


def _levelled(
    case: _Case, base: LevelledPlan, seconds: float, clock: Clock, seed: int
) -> LevelledPlan | None:
    """Level a case; None where nobody could keep to it on the day that is new."""
    try:
        return level_plan(case.plan, seconds=seconds, clock=clock, seed=seed, current=_begins(base))
    except PlanError:
        if case.kind is GainKind.DAY:
            return None
        raise


def _gain(case: _Case, levelled: LevelledPlan | None, base: LevelledPlan) -> Gain:
    """
    Compare a case with the plan as it is.

    A day that is of no use where all tasks are worked on it might be where some are: then
    nothing is proven.
    """
    first, proven = base, False
    if levelled is not None:
        first = min(base, levelled, key=_finish)
        is_worse = levelled.project_finish > base.project_finish
        proven = base.is_proven and levelled.bound >= first.project_finish
        proven &= not (is_worse and case.kind is GainKind.DAY)
    days = (base.finish_on - first.finish_on).days
    return Gain(case.kind, case.name, case.trades, case.weekday, first.finish_on, days, proven)


def _finish(levelled: LevelledPlan) -> int:
    """Return when a plan is finished. [ticks]"""
    return levelled.project_finish


def _begins(levelled: LevelledPlan) -> dict[str, int]:
    """Return where each activity begins, by id: the order to try first."""
    ids = (one.id for one in levelled.planned.activities)
    return dict(zip(ids, levelled.begin, strict=True))


def _people(base: LevelledPlan) -> Iterator[_Case]:
    """Yield the plan with one more person of each trade, who comes when its first people do."""
    plan = base.problem.plan
    for trade in sorted({trade for pool in base.problem.pools for trade in pool.trades}):
        calendar = next(one.calendar for one in plan.crew if one.trade == trade and one.people)
        more = Crew(trade, 1, calendar)
        yield _Case(GainKind.PERSON, trade, replace(plan, crew=(*plan.crew, more)), (trade,))


def _places(base: LevelledPlan) -> Iterator[_Case]:
    """Yield the plan with room for one more in each place that open tasks take."""
    plan = base.problem.plan
    taken = set(_taken(base))
    for number, place in enumerate(plan.places):
        if place.id in taken:
            more = replace(place, capacity=place.capacity + 1)
            places = (*plan.places[:number], more, *plan.places[number + 1 :])
            yield _Case(GainKind.PLACE, place.id, replace(plan, places=places))


def _taken(base: LevelledPlan) -> Iterator[str]:
    """Yield the places that activities take."""
    for row in base.problem.rows:
        for one in row.asking:
            for resource in base.problem.limits[one.timeline].resources:
                if resource.kind == "place":
                    yield from resource.names


def _days(base: LevelledPlan) -> Iterator[_Case]:
    """Yield the plan with one more day a week for the people of each calendar."""
    plan = base.problem.plan
    calendars = {one.id: one for one in plan.calendars}
    asked = {trade for pool in base.problem.pools for trade in pool.trades}
    rows = [one for one in plan.crew if one.people and one.trade in asked]
    for name in dict.fromkeys(one.calendar for one in rows):
        calendar = calendars.get(name or "")
        if calendar is None or calendar.elapsed:
            continue
        weekday = next((day for day in _DAYS if not calendar.week_hours[day]), None)
        if weekday is not None:
            trades = tuple(sorted({one.trade for one in rows if one.calendar == calendar.id}))
            more = _with_day(plan, calendar, weekday)
            yield _Case(GainKind.DAY, calendar.id, more, trades, weekday)


def _with_day(plan: Plan, calendar: Calendar, weekday: int) -> Plan:
    """
    Return the plan with a day more a week for the people of one calendar.

    Their tasks are worked on it too, where they have the same week (on that calendar, or in
    a season of it) and ask for no more people than come.
    """
    coming: dict[str, int] = {}
    for one in plan.crew:
        if one.calendar == calendar.id:
            coming[one.trade] = coming.get(one.trade, 0) + one.people
    more: dict[str, Calendar] = {}
    for old in plan.calendars:
        same = (old.week_hours, old.day_hours) == (calendar.week_hours, calendar.day_hours)
        if same and not old.elapsed:
            week = list(old.week_hours)
            week[weekday] = old.day_hours
            more[old.id] = replace(old, id=_new_id(plan, old.id), week_hours=tuple(week))
    tasks = tuple(
        replace(task, calendar=more[plan.calendar_of_task(task)].id)
        if task.people <= coming.get(task.trade or "", 0) and plan.calendar_of_task(task) in more
        else task
        for task in plan.tasks
    )
    crew = tuple(
        replace(one, calendar=more[calendar.id].id) if one.calendar == calendar.id else one
        for one in plan.crew
    )
    return replace(plan, calendars=(*plan.calendars, *more.values()), tasks=tasks, crew=crew)


def _new_id(plan: Plan, name: str) -> str:
    """Return an id that no calendar has."""
    taken = {one.id for one in plan.calendars}
    while name in taken:
        name += "+"
    return name
