"""Printed networks as data: activity, predecessors, duration and the six printed figures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pytest

from ribstitch.planning.model import Calendar, Link, Task
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.making import MONDAY, SHOP, link, ticks

FOUR_DAYS = Calendar(id="four", day_hours=10, week_hours=(10, 10, 10, 10, 0, 0, 0))

UNITS = pytest.mark.parametrize("calendar", ["elapsed", "shop", "four"])
"""The books count bare units of time: here days of every date, of five days, of four."""
CALENDARS = (SHOP, FOUR_DAYS)
WEEK_MASKS = {"elapsed": "1111111", "shop": "1111100", "four": "1111000"}


@dataclass(frozen=True)
class Printed:
    """One row of a printed table; None where the source gives no figure."""

    activity: str
    early_start: int
    early_finish: int
    late_start: int
    late_finish: int
    total_float: int
    free_float: int | None = None


@dataclass(frozen=True)
class Network:
    """A printed network: rows of activity, predecessors, duration, figures."""

    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    expected: tuple[Printed, ...]


def finish_start(table: str) -> Network:
    """Read rows of ``activity preds days ES EF LS LF TF FF`` (preds: ``-`` or ``A,B``)."""
    rows = [line.split() for line in table.strip().splitlines()]
    return Network(
        tasks=tuple(Task(row[0], ticks(int(row[2]))) for row in rows),
        links=tuple(
            Link(before, row[0]) for row in rows if row[1] != "-" for before in row[1].split(",")
        ),
        expected=tuple(Printed(row[0], *map(int, row[3:])) for row in rows),
    )


def arrows(table: str) -> Network:
    """Read rows of ``i-j days ES EF LS LF TF FF``: an arrow follows those that end at i."""
    rows = [line.split() for line in table.strip().splitlines()]
    names = [row[0] for row in rows]
    return Network(
        tasks=tuple(Task(row[0], ticks(int(row[1]))) for row in rows),
        links=tuple(
            Link(before, after)
            for after in names
            for before in names
            if before.split("-")[1] == after.split("-")[0]
        ),
        expected=tuple(Printed(row[0], *map(int, row[2:])) for row in rows),
    )


def precedence(durations: str, links: str, expected: str) -> Network:
    """Read ``A 6`` pairs, ``A-B SS+2`` links and rows of ``activity ES EF LS LF TF [FF]``."""
    days = [pair.split() for pair in durations.split(",")]
    ties = []
    for text in links.split(","):
        ends, rule = text.split()
        before, after = ends.split("-")
        ties.append(link(before, after, rule[:2], int(rule[2:] or 0)))
    rows = [line.split() for line in expected.strip().splitlines()]
    return Network(
        tasks=tuple(Task(name, ticks(int(length))) for name, length in days),
        links=tuple(ties),
        expected=tuple(Printed(row[0], *map(int, row[1:])) for row in rows),
    )


def unit(instant: int, calendar: str, origin: date = MONDAY) -> int:
    """Return working days before an instant, counted by numpy; instants are whole days."""
    ordinal, offset = divmod(int(instant), TICKS_PER_DAY)
    assert offset == 0, "printed networks have whole days only"
    day = np.datetime64(date.fromordinal(ordinal), "D")
    return int(np.busday_count(np.datetime64(origin, "D"), day, weekmask=WEEK_MASKS[calendar]))


def figures(result: Schedule, row: Printed, calendar: str) -> Printed:
    """Return what the schedule says of one printed activity, in whole days."""
    at = result.number(row.activity)
    whole_float, rest = divmod(int(result.total_float[at]), TICKS_PER_DAY)
    free, free_rest = divmod(int(result.free_float[at]), TICKS_PER_DAY)
    assert (rest, free_rest) == (0, 0)
    return Printed(
        row.activity,
        unit(result.start[at], calendar),
        unit(result.finish[at], calendar),
        unit(result.late_begin[at], calendar),
        unit(result.late_finish[at], calendar),
        whole_float,
        None if row.free_float is None else free,
    )
