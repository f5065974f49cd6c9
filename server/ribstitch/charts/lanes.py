"""Where each piece of work stands on the sheet: a lane per zone, then one per vendor.

The work of a zone is stacked in its lane: what overlaps in time stands in rows under one
another, in as few rows as possible. A send-out is prepared and accepted in the lane of
its zone; between the two it stands in the lane of its vendor. Milestones have the lane
at the top, where there is room for their names.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heappush, heapreplace
from typing import Literal

from ribstitch.charts.paper import LONGEST_LABEL
from ribstitch.planning.activities import Activity
from ribstitch.planning.model import Plan, Task
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of

SHOP_LEGS = frozenset({"prepare", "accept"})
ROAD_LEGS = frozenset({"ship_out", "customs_out", "ship_back", "customs_back", "return"})
NO_ZONE = ""
"""Key of the lane of work that belongs to no zone."""

_HEADER = 1.2
"""Height of the strip that carries a lane's name. [rows]"""
_FOOT = 0.35
"""Room under a lane's last row. [rows]"""
_SHORTEST = TICKS_PER_DAY // 2
"""Room that even the shortest work takes on its row. [ticks]"""
_LETTERS = 110
"""How many letters of a milestone's name would reach across the sheet."""
_NAME_TURNS = 0.72
"""Beyond this share of the sheet a milestone's name stands to its left."""

Kind = Literal["milestones", "zone", "vendor"]


@dataclass(frozen=True, slots=True)
class Block:
    """One piece of work where it is drawn; `row` counts down from the top of the sheet."""

    number: int
    """Order of entry of the activity in the schedule."""
    row: float
    start: int
    """[ticks]"""
    finish: int
    """[ticks]"""


@dataclass(frozen=True, slots=True)
class Lane:
    """A strip of the sheet, from `top` down to `bottom`. [rows]"""

    key: str
    name: str
    kind: Kind
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Lanes:
    """The whole sheet."""

    lanes: tuple[Lane, ...]
    blocks: tuple[Block, ...]
    by_number: Mapping[int, Block] = field(repr=False)
    names_left: frozenset[int]
    """Numbers of the milestones whose names stand to their left."""
    first: int
    """The first instant of all work. [ticks]"""
    last: int
    """The last instant of all work. [ticks]"""

    @property
    def height(self) -> float:
        """Return the height of the sheet. [rows]"""
        return self.lanes[-1].bottom if self.lanes else 0.0


@dataclass(frozen=True, slots=True)
class _Names:
    """The room that milestones' names take [ticks], and which stand to the left."""

    room: Mapping[int, int]
    left: frozenset[int]


def pack(spans: Sequence[tuple[int, int]]) -> list[int]:
    """
    Put spans into rows so that no two in a row overlap.

    Taken by start, each goes to the row that has been free for longest, or opens one:
    never more rows than spans that overlap at one instant, which is the least possible
    (interval partitioning; Kleinberg and Tardos, *Algorithm Design*, section 4.1).

    Parameters
    ----------
    spans
        Start and finish of each; a finish is not part of its span.

    Returns
    -------
    list of int
        The row of each span, from 0.
    """
    rows = [0] * len(spans)
    free: list[tuple[int, int]] = []
    for place in sorted(range(len(spans)), key=lambda one: spans[one]):
        start, finish = spans[place]
        if free and free[0][0] <= start:
            rows[place] = free[0][1]
            heapreplace(free, (finish, rows[place]))
        else:
            rows[place] = len(free)
            heappush(free, (finish, rows[place]))
    return rows


def lay_out(
    schedule: Schedule,
    *,
    zone: str | None = None,
    trade: str | None = None,
    kept_free: Mapping[int, int] | None = None,
) -> Lanes:
    """
    Lay out a schedule; what is dropped is left out.

    Parameters
    ----------
    schedule
        What to draw.
    zone
        Draw only this zone's lane, and the vendors who have items of it.
    trade
        Draw only tasks of this trade, and no send-outs.
    kept_free
        By number of an activity: up to when nothing else may stand in its row. [ticks]
    """
    plan = schedule.prepared.plan
    tasks = {task.id: task for task in plan.tasks}
    homes = zones_of_send_outs(plan)
    vendor_of = {item.id: item.vendor for item in plan.send_outs}
    groups: dict[tuple[Kind, str], list[int]] = {("milestones", ""): []}
    groups |= {("zone", one.id): [] for one in plan.zones} | {("zone", NO_ZONE): []}
    groups |= {("vendor", one.id): [] for one in plan.vendors}
    for number, one in enumerate(schedule.activities):
        home = _home(one, tasks, homes)
        other_trade = trade is not None and (one.task is None or tasks[one.task].trade != trade)
        if one.dropped or other_trade or (zone is not None and home != zone):
            continue
        if one.milestone is not None:
            groups["milestones", ""].append(number)
        elif one.send_out is not None and one.leg not in SHOP_LEGS:
            groups["vendor", vendor_of[one.send_out]].append(number)
        else:
            groups["zone", home].append(number)
    return _stack(schedule, groups, kept_free or {})


def zones_of_send_outs(plan: Plan) -> dict[str, str]:
    """Return the zone each send-out belongs to: that of the work it comes back to or leaves."""
    tasks = {task.id: task for task in plan.tasks}
    items = {item.id: item for item in plan.send_outs}
    homes = {}
    for item in plan.send_outs:
        first = item
        while first.trip_of is not None:
            first = items[first.trip_of]
        around = (tasks[one].zone for one in (*first.before, *first.after))
        homes[item.id] = next((one for one in around if one), NO_ZONE)
    return homes


def _home(one: Activity, tasks: Mapping[str, Task], homes: Mapping[str, str]) -> str:
    """Return the zone whose lane an activity belongs to."""
    if one.send_out is not None:
        return homes[one.send_out]
    return (tasks[one.task].zone if one.task is not None else None) or NO_ZONE


def _stack(
    schedule: Schedule,
    groups: Mapping[tuple[Kind, str], Sequence[int]],
    kept_free: Mapping[int, int],
) -> Lanes:
    """Pack each group into rows, one lane under the other; empty ones are left out."""
    plan = schedule.prepared.plan
    names = {("zone", one.id): one.name or one.id for one in plan.zones}
    names |= {("vendor", one.id): one.name or one.id for one in plan.vendors}
    names |= {("zone", NO_ZONE): "No zone", ("milestones", ""): "Milestones"}
    drawn = [one for members in groups.values() for one in members]
    first, last = _extent(schedule, drawn)
    last = max([last, *(kept_free[one] for one in drawn if one in kept_free)])
    milestone_names = _names_of(schedule, groups["milestones", ""], kept_free, (first, last))
    lanes: list[Lane] = []
    blocks: list[Block] = []
    top = 0.0
    for (kind, key), members in groups.items():
        if not members:
            continue
        room = _rooms(schedule, kind, members, kept_free, milestone_names)
        rows = dict(zip(room, pack(list(room.values())), strict=True))
        for number in members:
            row = rows[_sharing(schedule, kind, number)]
            start, finish = int(schedule.start[number]), int(schedule.finish[number])
            middle = round(top + _HEADER + row + 0.5, 3)
            blocks.append(Block(number, middle, start, max(start, finish)))
        bottom = top + _HEADER + max(rows.values()) + 1 + _FOOT
        lanes.append(Lane(key, names[kind, key], kind, top, bottom))
        top = bottom
    by_number = {one.number: one for one in blocks}
    return Lanes(tuple(lanes), tuple(blocks), by_number, milestone_names.left, first, last)


def _extent(schedule: Schedule, members: Sequence[int]) -> tuple[int, int]:
    """Return the first and last instant of some work, or the as-of date. [ticks]"""
    as_of = start_of(schedule.prepared.plan.project.as_of)
    first = min((int(schedule.start[one]) for one in members), default=as_of)
    last = max((int(schedule.finish[one]) for one in members), default=as_of)
    return first, max(last, as_of)


def _sharing(schedule: Schedule, kind: Kind, number: int) -> object:
    """Return what shares a row: all legs of an item in its vendor's lane, else the work alone."""
    return schedule.activities[number].send_out if kind == "vendor" else number


def _rooms(
    schedule: Schedule,
    kind: Kind,
    members: Sequence[int],
    kept_free: Mapping[int, int],
    names: _Names,
) -> dict[object, tuple[int, int]]:
    """Return the room that each thing takes on its row; a milestone's name needs some too."""
    rooms: dict[object, tuple[int, int]] = {}
    for number in members:
        start = int(schedule.start[number])
        finish = max(int(schedule.finish[number]), start + _SHORTEST)
        if kind == "milestones" and number in names.left:
            start -= names.room[number]
        elif kind == "milestones":
            finish = start + names.room[number]
        finish = max(finish, kept_free.get(number, finish))
        key = _sharing(schedule, kind, number)
        known = rooms.get(key, (start, finish))
        rooms[key] = (min(known[0], start), max(known[1], finish))
    return rooms


def _names_of(
    schedule: Schedule,
    milestones: Sequence[int],
    kept_free: Mapping[int, int],
    sheet: tuple[int, int],
) -> _Names:
    """
    Find room for the names of milestones.

    They stand to the right, but near the end of the sheet, and where something else is
    drawn to the right and there is room on the left.
    """
    first, last = sheet
    room, left = {}, set()
    for number in milestones:
        letters = min(len(schedule.prepared.plan.tasks[number].name), LONGEST_LABEL) + 3
        room[number] = (last - first) * letters // _LETTERS
        before = int(schedule.start[number]) - first
        is_late = before > _NAME_TURNS * (last - first)
        if is_late or (number in kept_free and before > room[number]):
            left.add(number)
    return _Names(room, frozenset(left))
