"""The activities of a plan, narrowed and sorted as a whole and given a page at a time."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Literal

from ribstitch.charts.bars import state_of
from ribstitch.planning.model import Milestone, State
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import (
    activity_name,
    float_days,
    task_at,
    zone_name_of,
    zone_of,
)
from ribstitch.services.views.schedule_view import ActivityLine, activity_line
from ribstitch.services.views.sureness import criticality_of, spread_at

Kind = Literal["task", "leg"]


class Order(StrEnum):
    """What activities can be sorted by."""

    NAME = "name"
    ZONE = "zone"
    TRADE = "trade"
    STATE = "state"
    START = "start"
    FINISH = "finish"
    LIKELY = "likely"
    BY80 = "by80"
    FLOAT = "float"
    CRITICALITY = "criticality"


@dataclass(frozen=True, slots=True)
class Asked:
    """Which activities are asked for; what is given holds together."""

    id: str | None = None
    kind: Kind | None = None
    zone: str | None = None
    trade: str | None = None
    q: str = ""
    """Words in id, name, zone, trade or state, whatever their case."""


@dataclass(frozen=True, slots=True)
class ActivityPage:
    """Some of the activities that were asked for, and how many there are in all."""

    plan_version: int
    total: int
    activities: list[ActivityLine]


@dataclass(frozen=True, slots=True)
class NamedWork:
    """What one chooses by: an activity, what it is called, and how far it is."""

    id: str
    name: str
    kind: Kind
    zone: str
    """Its name; empty where it has none."""
    trade: str | None
    state: str
    milestone: Milestone | None
    finish: date


@dataclass(frozen=True, slots=True)
class NamedWorkPage:
    """Some of the names that were asked for, and how many there are in all."""

    total: int
    activities: list[NamedWork]


def activity_page(
    current: CurrentPlan,
    simulation: Simulation | None,
    asked: Asked,
    *,
    order: Order | None = None,
    descending: bool = False,
    limit: int = 100,
    offset: int = 0,
) -> ActivityPage:
    """
    Return a page of activities, in the plan's order where no other is asked for.

    What lacks the value that they are sorted by stands at the end either way.
    """
    numbers = _found(current, asked)
    if order is not None:
        numbers = _sorted(numbers, _key(current, simulation, order), descending=descending)
    lines = [
        activity_line(
            current,
            number,
            spread_at(current, simulation, number),
            criticality_of(current, simulation, [number]),
        )
        for number in numbers[offset : offset + limit]
    ]
    return ActivityPage(current.plan_version, len(numbers), lines)


def named_work(
    current: CurrentPlan, asked: Asked, *, limit: int = 100, offset: int = 0
) -> NamedWorkPage:
    """Return the names of activities in the plan's order."""
    numbers = _found(current, asked)
    page = [_named(current, number) for number in numbers[offset : offset + limit]]
    return NamedWorkPage(len(numbers), page)


def _named(current: CurrentPlan, number: int) -> NamedWork:
    one, task = current.schedule.activities[number], task_at(current, number)
    return NamedWork(
        id=one.id,
        name=activity_name(current, number),
        kind=_kind(current, number),
        zone=zone_name_of(current, number),
        trade=None if task is None else task.trade,
        state=state_of(current.schedule, number),
        milestone=one.milestone,
        finish=current.schedule.finish_on_of(number),
    )


def _kind(current: CurrentPlan, number: int) -> Kind:
    return "leg" if task_at(current, number) is None else "task"


def _found(current: CurrentPlan, asked: Asked) -> list[int]:
    """Return the numbers of what was asked for, in the plan's order."""
    words = asked.q.casefold().split()
    texts = current.derived("work_texts", lambda: _texts(current)) if words else ()
    activities = current.schedule.activities

    def is_asked(number: int) -> bool:
        task = task_at(current, number)
        return (
            (asked.id is None or activities[number].id == asked.id)
            and (asked.kind is None or _kind(current, number) == asked.kind)
            and (asked.zone is None or zone_of(current, number) == asked.zone)
            and (asked.trade is None or (task is not None and task.trade == asked.trade))
            and all(word in texts[number] for word in words)
        )

    return [number for number in range(len(activities)) if is_asked(number)]


def _texts(current: CurrentPlan) -> Sequence[str]:
    """Return what a search looks through, by number."""
    return [
        " ".join(
            (
                one.id,
                activity_name(current, number),
                zone_name_of(current, number),
                _trade(current, number) or "",
                state_of(current.schedule, number).replace("_", " "),
            )
        ).casefold()
        for number, one in enumerate(current.schedule.activities)
    ]


def _sorted(numbers: Sequence[int], key: Callable[[int], Any], *, descending: bool) -> list[int]:
    keyed = [(key(number), number) for number in numbers]
    known = [one for one in keyed if one[0] is not None]
    known.sort(key=lambda one: one[0], reverse=descending)
    return [number for _, number in known] + [number for value, number in keyed if value is None]


def _key(current: CurrentPlan, simulation: Simulation | None, order: Order) -> Callable[[int], Any]:
    """Return by what an activity is sorted; None stands last."""
    schedule = current.schedule

    def uncertain(level: Callable[[Spread], date]) -> Callable[[int], date | None]:
        def date_at(number: int) -> date | None:
            spread = spread_at(current, simulation, number)
            return None if spread is None else level(spread)

        return date_at

    keys: dict[Order, Callable[[int], Any]] = {
        Order.NAME: lambda number: _letters(activity_name(current, number)),
        Order.ZONE: lambda number: _letters(zone_name_of(current, number)),
        Order.TRADE: lambda number: _trade(current, number),
        Order.STATE: lambda number: state_of(schedule, number),
        Order.START: schedule.start_on,
        Order.FINISH: schedule.finish_on_of,
        Order.LIKELY: uncertain(lambda spread: spread.p50),
        Order.BY80: uncertain(lambda spread: spread.p80),
        Order.FLOAT: lambda number: _spare(current, number),
        Order.CRITICALITY: lambda number: criticality_of(current, simulation, [number]),
    }
    return keys[order]


def _trade(current: CurrentPlan, number: int) -> str | None:
    task = task_at(current, number)
    return None if task is None else task.trade


def _spare(current: CurrentPlan, number: int) -> float | None:
    """Return the float of what is not done. [days]"""
    is_done = state_of(current.schedule, number) == State.DONE.value
    return None if is_done else float_days(current, number)


def _letters(text: str) -> tuple[tuple[str, int], ...]:
    """Return a key that puts "Rib 9" before "Rib 10", and é beside e."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(one for one in apart if not unicodedata.combining(one))
    return tuple(
        (words, int(digits or 0)) for words, digits in re.findall(r"([^0-9]*)([0-9]*)", plain)
    )
