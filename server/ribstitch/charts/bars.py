"""Bars of work: one trace per state, told apart by hatch; hovering tells name, dates, float."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from ribstitch.charts.lanes import ROAD_LEGS, Block
from ribstitch.charts.paper import (
    HATCHES,
    INK,
    STATE_WORDS,
    letters,
    milliseconds,
    moment,
    plural,
    words,
)
from ribstitch.charts.tapers import in_words, is_uncertain
from ribstitch.planning.model import State
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.uncertainty.results import Spread

_BAR, _ROAD_BAR = 0.74, 0.3
"""Height of a bar, and of one for days on the road. [rows]"""

LEG_WORDS = {
    "prepare": "prepare and tag",
    "ship_out": "on the way out",
    "customs_out": "customs, out",
    "intake": "waiting, teardown and quote",
    "approval": "price waits for a yes",
    "vendor_work": "at work",
    "ship_back": "on the way back",
    "customs_back": "customs, back",
    "accept": "receive and accept",
    "return": "on its way back to its owner",
}

HOVER = "%{customdata[1]}<br>%{customdata[2]}<br>%{customdata[3]}<extra></extra>"
"""What a hover label shows of `facts`."""

Spreads = Mapping[str, Spread]
"""When open work may end, by activity; nothing while that is not known."""


def state_of(schedule: Schedule, number: int) -> str:
    """Return the state of an activity: a task's own, a leg's from its dates."""
    one = schedule.activities[number]
    if one.task is not None:
        return schedule.prepared.plan.tasks[number].status.state.value
    if one.is_done:
        return State.DONE.value
    return State.IN_WORK.value if one.is_under_way else State.NOT_STARTED.value


def name_of(schedule: Schedule, number: int) -> str:
    """Return the name of a task, or of an item and its leg."""
    one, plan = schedule.activities[number], schedule.prepared.plan
    if one.task is not None:
        return plan.tasks[number].name or one.id
    item = next(item for item in plan.send_outs if item.id == one.send_out)
    return f"{item.name or item.id}: {LEG_WORDS[one.leg or '']}"


def facts(schedule: Schedule, number: int, spreads: Spreads) -> list[str]:
    """
    Return what hovering over an activity tells: id, name, dates, state and float.

    With the dates as written stand those that are likely, in a line of their own.
    """
    start, finish = schedule.start_on(number), schedule.finish_on_of(number)
    one, state = schedule.activities[number], STATE_WORDS[state_of(schedule, number)]
    dates = words(start) if start == finish else f"{words(start)} to {words(finish)}"
    if one.id in spreads and is_uncertain(spreads[one.id]):
        dates = f"as written: {dates}<br>done: {in_words(spreads[one.id])}"
    return [
        one.id,
        letters(name_of(schedule, number)),
        dates,
        state if one.is_done else f"{state}; {_float(schedule, number)}",
    ]


def bars(
    schedule: Schedule, blocks: Iterable[Block], state: str, told: Callable[[int], list[str]]
) -> dict[str, Any]:
    """Draw all work of one state as one trace; `told` is what each bar tells, by its number."""
    mine = [one for one in blocks if state_of(schedule, one.number) == state]
    hatch = HATCHES[state]
    on_road = [schedule.activities[one.number].leg in ROAD_LEGS for one in mine]
    return {
        "type": "bar",
        "name": STATE_WORDS[state],
        "orientation": "h",
        "base": [moment(one.start) for one in mine],
        "x": [milliseconds(one.finish - one.start) for one in mine],
        "y": [one.row for one in mine],
        "width": [_ROAD_BAR if road else _BAR for road in on_road],
        "marker": {
            "color": hatch.ground,
            "line": {"color": INK, "width": 1},
            "pattern": {
                "shape": hatch.shape, "fgcolor": hatch.ink, "bgcolor": hatch.ground,
                "size": 6, "solidity": hatch.solidity,
            },
        },
        "customdata": [told(one.number) for one in mine],
    }  # fmt: skip


def _float(schedule: Schedule, number: int) -> str:
    """Say how much float an activity has."""
    days = days_from_ticks(int(schedule.total_float[number]))
    if days < 0:
        return f"{plural(-days, 'day')} too late for its deadline"
    return f"{plural(days, 'day')} of float" if days else "sets the finish"
