"""Calendars as fine tables, for runs by the ten thousand.

All instants and amounts of work are counted in grains, a number of ticks that divides
every tick count in the plan, so that nothing is rounded. Each calendar is two arrays,
from the instant to the work done and back: a step of the simulation is two look-ups.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from math import gcd

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.calendars import ticks_for_hours, ticks_per_date
from ribstitch.planning.model import Calendar
from ribstitch.planning.ticks import TICKS_PER_DAY

Ints32 = NDArray[np.int32]

_COARSEST = 60
"""Drawn work is rounded to a grain; this is the coarsest: a 24th of a day. [ticks]"""


def grain_of(calendars: Iterable[Calendar], amounts: Iterable[int]) -> int:
    """
    Return the largest grain that fits calendars and amounts of work exactly. [ticks]

    Parameters
    ----------
    calendars
        All calendars in use.
    amounts
        Fixed work and lags. [ticks]
    """
    grain = gcd(_COARSEST, *amounts)
    for calendar in calendars:
        if not calendar.elapsed:
            hours = [*calendar.week_hours, *(hours for _, hours in calendar.opened)]
            grain = gcd(grain, *(ticks_for_hours(one, calendar.day_hours) for one in hours))
    return grain


class GrainTables:
    """
    Calendars over a range of dates, instants counted from its start. [grains]

    What runs over the end comes out as an instant beyond `limit`, so that the caller
    sees it and takes a longer range.

    Parameters
    ----------
    calendars
        C calendars; their order is their number.
    first
        Ordinal of the first date.
    days
        Number of dates.
    grain
        Size of a grain. [ticks]

    Notes
    -----
    With W the work done before an instant, `done_before` is W, `first_instant` the
    smallest t with W(t) = w and `last_instant` the largest: where the next grain is worked.
    """

    def __init__(self, calendars: Sequence[Calendar], first: int, days: int, grain: int) -> None:
        cells = TICKS_PER_DAY // grain
        self.limit = days * cells
        self._work_before: list[Ints32 | None] = []
        self._earliest: list[Ints32 | None] = []
        cell = np.arange(cells, dtype=np.int32)
        date_start = cells * np.arange(days, dtype=np.int32)
        for calendar in calendars:
            if calendar.elapsed:
                self._work_before.append(None)
                self._earliest.append(None)
                continue
            worked = (ticks_per_date(calendar, first, days) // grain).astype(np.int32)
            total = int(worked.sum())
            before = np.cumsum(worked, dtype=np.int32) - worked
            done = np.minimum(cell, worked[:, None]) + before[:, None]
            earliest = np.arange(total + 2, dtype=np.int32)
            earliest[1:-1] += np.repeat(date_start - before, worked)
            earliest[-1] = self.limit + 1
            self._work_before.append(np.append(done.ravel(), np.int32(total)))
            self._earliest.append(earliest)

    def done_before(self, calendar: int, instant: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the work done before instants."""
        table = self._work_before[calendar]
        return instant if table is None else table.take(instant, out=out, mode="clip")

    def first_instant(self, calendar: int, done: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the first instants before which so much work is done."""
        table = self._earliest[calendar]
        return done if table is None else table.take(done, out=out, mode="clip")

    def last_instant(self, calendar: int, done: Ints32) -> Ints32:
        """Return the last instants before which no more work is done."""
        table = self._earliest[calendar]
        one = np.int32(1)
        return done if table is None else table.take(done + one, mode="clip") - one


@lru_cache(maxsize=2)
def tables_of(calendars: tuple[Calendar, ...], first: int, days: int, grain: int) -> GrainTables:
    """Return the tables of calendars, made once while they are in use."""
    return GrainTables(calendars, first, days, grain)
