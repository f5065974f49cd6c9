"""Random plans: mixed calendars, all links, all states, send-outs in every stage."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from typing import Any, TypeVar

from hypothesis import strategies as st

from ribstitch.planning.model import (
    Calendar,
    LagOn,
    Link,
    Milestone,
    OutOfSequence,
    Plan,
    Project,
    Relation,
    SendOut,
    SendOutStatus,
    Source,
    State,
    Task,
    TaskStatus,
    Vendor,
)
from ribstitch.planning.ticks import EIGHTH, TICKS_PER_DAY

Pick = TypeVar("Pick")
Draw = Callable[[st.SearchStrategy[int]], int]

RELATIONS = (Relation.FINISH_START, *Relation)
STATES = (
    State.NOT_STARTED, State.NOT_STARTED, State.NOT_STARTED,
    State.IN_WORK, State.HELD, State.DONE, State.DROPPED,
)  # fmt: skip
SOURCES = (
    Source.OVERHAUL, Source.OVERHAUL, Source.OVERHAUL,
    Source.EXCHANGE, Source.PATTERN, Source.PATTERN, Source.IN_HAND,
)  # fmt: skip
LARGEST = 60
"""Activities of the largest plan."""
LEGS_AT_MOST = 10
"""Legs of a send-out."""


@cache
def _up_to(top: int) -> st.SearchStrategy[int]:
    return st.integers(0, top)


class Chooser:
    """Choices drawn one by one; the first of several is the simplest."""

    def __init__(self, draw: Draw) -> None:
        self._draw = draw

    def number(self, low: int, high: int) -> int:
        """Return a number, both ends included."""
        return low + self._draw(_up_to(high - low))

    def one_of(self, things: Sequence[Pick]) -> Pick:
        """Return one of some things."""
        return things[self.number(0, len(things) - 1)]

    def chance(self, percent: int) -> bool:
        """Return True with about the given chance."""
        return self.number(0, 99) >= 100 - percent

    def eighths(self, low: int, high: int) -> int:
        """Return ticks for a number of days: mostly whole ones, else eighths."""
        if self.chance(70):
            return self.number(low, high) * TICKS_PER_DAY
        return self.number(8 * low, 8 * high) * EIGHTH


def _calendars(choose: Chooser, start: date) -> tuple[Calendar, ...]:
    """Return the plan's calendars: a shop, a vendor's, an odd one."""

    def near() -> date:
        return start + timedelta(days=choose.number(0, 120))

    def closures() -> tuple[tuple[date, date], ...]:
        begins = [near() for _ in range(choose.number(0, 2))]
        return tuple((day, day + timedelta(days=choose.number(0, 25))) for day in begins)

    shop = Calendar(id="shop", closed=closures(), holidays=choose.one_of((None, "IE")))
    shop = replace(shop, opened=tuple((near(), 4.0) for _ in range(choose.number(0, 2))))
    vendor = Calendar(
        id="vendor",
        day_hours=7.0,
        week_hours=choose.one_of(
            ((7.0,) * 5 + (0.0,) * 2, (7.0,) * 4 + (3.5, 0.0, 0.0), (0.0,) + (5.0,) * 5 + (0.0,))
        ),
        holidays=choose.one_of((None, "GB-ENG", "US")),
        closed=closures(),
    )
    odd = Calendar(
        id="odd",
        week_hours=choose.one_of(
            ((0.0, 0.0, 8.0) + (0.0,) * 4, (8.0,) * 7, (1.5,) * 6 + (8.0,), (0.0,) * 5 + (8.0, 4.0))
        ),
        opened=tuple((near(), 8.0) for _ in range(choose.number(0, 2))),
        closed=closures(),
    )
    return shop, vendor, odd


def _day(choose: Chooser, first: date, last: date) -> date:
    """Return a date between two, both included."""
    return first + timedelta(days=choose.number(0, (last - first).days))


def _status(choose: Chooser, start: date, as_of: date) -> TaskStatus:
    """Return a status that can be true at the as-of date."""
    state = choose.one_of(STATES)
    if state is State.NOT_STARTED or as_of < start:
        return TaskStatus()
    began = _day(choose, start, as_of)
    match state:
        case State.DONE:
            known = began if choose.chance(80) else None
            return TaskStatus(state, known, _day(choose, began, as_of))
        case State.IN_WORK:
            left = choose.eighths(0, 8) if choose.chance(80) else None
            return TaskStatus(state, began, remaining=left)
        case State.HELD:
            until = _day(choose, as_of, as_of + timedelta(days=40)) if choose.chance(60) else None
            has_begun = choose.chance(50)
            return TaskStatus(
                state,
                began if has_begun else None,
                remaining=choose.eighths(0, 5) if has_begun else None,
                held_until=until,
            )
    return TaskStatus(State.DROPPED)


def _task(
    choose: Chooser, name: str, start: date, as_of: date, calendars: Sequence[str], deadlines: bool
) -> Task:
    """Return a task or a milestone."""
    milestone = choose.one_of(tuple(Milestone)) if choose.chance(12) else None
    soon = start + timedelta(days=choose.number(0, 90))
    return Task(
        id=name,
        duration=0 if milestone else choose.eighths(0, 12),
        calendar=choose.one_of((None, *calendars)),
        milestone=milestone,
        not_before=soon if choose.chance(12) else None,
        deadline=soon + timedelta(days=20) if deadlines and choose.chance(12) else None,
        status=_status(choose, start, as_of) if choose.chance(40) else TaskStatus(),
    )


def _links(choose: Chooser, count: int) -> list[Link]:
    """Return links from earlier to later tasks, up to three into each."""
    return [
        Link(
            f"T{choose.number(0, after - 1)}",
            f"T{after}",
            choose.one_of(RELATIONS),
            choose.eighths(-6, 9) if choose.chance(40) else 0,
            choose.one_of(tuple(LagOn)),
        )
        for after in range(1, count)
        for _ in range(choose.number(0, 3))
    ]


_LEGS = (
    ("prepare", 3, "shipped"), ("ship_out", 6, None), ("customs_out", 4, "arrived"),
    ("intake", 8, "quoted"), ("approval", 7, "approved"), ("lead", 30, "left_vendor"),
    ("ship_back", 6, None), ("customs_back", 4, "received"), ("accept", 2, "accepted"),
)  # fmt: skip
"""Leg, longest days, the date that ends it."""
_UNIT = ("quoted", "approved", "left_vendor", "received", "accepted")


def _send_out_status(
    choose: Chooser, source: Source, start: date, as_of: date, rejected: bool
) -> SendOutStatus:
    """Return actual dates that rise, each known or not, up to a stage."""
    events = [event for _, _, event in _LEGS if event]
    dates: dict[str, date] = {}
    runs = [events] if source is not Source.EXCHANGE else [["shipped", "arrived"], list(_UNIT)]
    for run in runs:
        reached = len(run) if rejected else choose.number(0, len(run))
        day = start
        for event in run[:reached]:
            if choose.chance(85) or (rejected and event == "accepted"):
                day = min(as_of, day + timedelta(days=choose.number(0, 14)))
                dates[event] = day
    if rejected:
        dates["rejected"] = dates.pop("accepted")
    status = SendOutStatus(**dates)
    if status.left_vendor is None and choose.chance(30):
        status = replace(status, promised=_day(choose, start, as_of + timedelta(days=60)))
    if source is Source.PATTERN and status.left_vendor and choose.chance(30):
        status = replace(status, returned=_day(choose, status.left_vendor, as_of))
    return status


def _send_out(
    choose: Chooser,
    known: Sequence[SendOut],
    count: int,
    start: date,
    as_of: date,
    sources: Sequence[Source],
) -> list[SendOut]:
    """Return a send-out between tasks, and perhaps the second trip of its item."""
    number = len(known)
    middle = choose.number(0, count)
    source = choose.one_of(sources)
    after = {f"T{choose.number(0, middle - 1)}" for _ in range(choose.number(0, 2)) if middle}
    waiting = sorted({task for one in known for task in one.before})
    if waiting and choose.chance(50):  # one item after another, perhaps at one vendor
        after = {choose.one_of(waiting)}
        middle = max(int(task[1:]) for task in after) + 1
    before = {
        f"T{choose.number(middle, count - 1)}" for _ in range(choose.number(0, 2)) if middle < count
    }
    rejected = source is Source.OVERHAUL and as_of >= start and choose.chance(15)

    def legs() -> dict[str, Any]:
        days = {
            leg: choose.eighths(0, longest) if choose.chance(75) else 0 for leg, longest, _ in _LEGS
        }
        return days | {"lead": days["lead"] or 3 * TICKS_PER_DAY}

    def status(rejected: bool) -> SendOutStatus:
        if as_of < start or not (rejected or choose.chance(75)):
            return SendOutStatus()
        return _send_out_status(choose, source, start, as_of, rejected)

    first = SendOut(
        id=f"S{number}",
        vendor=choose.one_of(("V0", "V0", "V1")),
        source=source,
        after=tuple(sorted(after)),
        before=tuple(sorted(before)),
        return_leg=choose.eighths(0, 5) if source is Source.PATTERN else 0,
        status=status(rejected),
        dropped=choose.chance(8) and not rejected,
        **legs(),
    )
    if not rejected:
        return [first]
    later = first.after if choose.chance(30) else ()
    again = SendOut(id=f"S{number}/2", vendor=first.vendor, trip_of=first.id, after=later, **legs())
    assert first.status.rejected is not None
    if choose.chance(50):
        again = replace(
            again, status=_send_out_status(choose, source, first.status.rejected, as_of, False)
        )
    return [first, again]


@st.composite
def plans(
    draw: st.DrawFn,
    *,
    min_tasks: int = 1,
    max_tasks: int = 12,
    max_send_outs: int = 2,
    deadlines: bool = True,
    started: bool = False,
    sources: Sequence[Source] = SOURCES,
) -> Plan:
    """Draw a plan that can be scheduled; it has up to `LARGEST` activities."""
    choose = Chooser(draw)
    start = date(2026, 1, 1) + timedelta(days=choose.number(0, 400))
    as_of = start + timedelta(days=choose.one_of((30, 14, 60) if started else (0, 30, 7, 60, -10)))
    count = choose.number(min_tasks, max_tasks)
    calendars = _calendars(choose, start)
    names = ("elapsed", "vendor", "odd")
    tasks = [_task(choose, f"T{n}", start, as_of, names, deadlines) for n in range(count)]
    if all(task.status.state is State.DROPPED for task in tasks):
        tasks[0] = replace(tasks[0], status=TaskStatus())
    send_outs: list[SendOut] = []
    for _ in range(choose.number(0, max_send_outs)):
        if count + LEGS_AT_MOST * (len(send_outs) + 2) <= LARGEST:
            send_outs += _send_out(choose, send_outs, count, start, as_of, sources)
    return Plan(
        project=Project(start, as_of, out_of_sequence=choose.one_of(tuple(OutOfSequence))),
        calendars=calendars,
        tasks=tuple(tasks),
        links=tuple(_links(choose, count)),
        vendors=(Vendor("V0", calendar="vendor"), Vendor("V1", calendar="odd")),
        send_outs=tuple(send_outs),
    )
