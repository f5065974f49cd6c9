"""Calendars as fine tables, for runs by the ten thousand.

All instants and amounts of work are counted in grains, a number of ticks that divides
every tick count in the plan, so that nothing is rounded. Each calendar is looked up both
ways, from the instant to the work done and back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from math import gcd

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.calendars import Ints, ticks_for_hours, ticks_per_date
from ribstitch.planning.model import Calendar
from ribstitch.planning.ticks import TICKS_PER_DAY

Ints32 = NDArray[np.int32]

_ONE = np.int32(1)
_MOST_ENTRIES = 1 << 18
"""A calendar is laid out by grains up to so many of them (1 MB), by dates from there on."""

ROUNDED_TO = 60
"""Drawn work is rounded to this, a 24th of a day, which is also the coarsest grain. [ticks]"""


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
    grain = gcd(ROUNDED_TO, *amounts)
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
        kind = ByGrain if self.limit <= _MOST_ENTRIES else ByDate
        self._tables = [
            None
            if calendar.elapsed
            else kind(ticks_per_date(calendar, first, days) // grain, cells)
            for calendar in calendars
        ]

    def done_before(self, calendar: int, instant: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the work done before instants."""
        table = self._tables[calendar]
        return instant if table is None else table.done_before(instant, out)

    def first_instant(self, calendar: int, done: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the first instants before which so much work is done."""
        table = self._tables[calendar]
        return done if table is None else table.first_instant(done, out)

    def last_instant(self, calendar: int, done: Ints32) -> Ints32:
        """Return the last instants before which no more work is done."""
        if self._tables[calendar] is None:
            return done
        return self.first_instant(calendar, done + _ONE) - _ONE


class ByGrain:
    """
    One calendar with an entry for each grain: a look-up is a single step.

    Parameters
    ----------
    worked
        Grains worked on each date, from its start, shape (days,).
    cells
        Grains of a date.
    """

    def __init__(self, worked: Ints, cells: int) -> None:
        days, total = worked.size, int(worked.sum())
        begin = worked.cumsum() - worked
        cell = np.arange(cells)
        done = (np.minimum(cell, worked[:, None]) + begin[:, None]).ravel()
        first = np.arange(total + 2)
        first[1:-1] += np.repeat(cells * np.arange(days) - begin, worked)
        first[-1] = days * cells + 1
        self._done: Ints32 = np.append(done, total).astype(np.int32)
        self._first: Ints32 = first.astype(np.int32)

    def done_before(self, instant: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the work done before instants."""
        return self._done.take(instant, out=out, mode="clip")

    def first_instant(self, done: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the first instants before which so much work is done."""
        return self._first.take(done, out=out, mode="clip")


class ByDate:
    """
    One calendar with an entry for each date: a few steps more, hundreds of times smaller.

    Work is counted in bins no larger than the shortest worked date, so that from the date
    on which a bin begins the wanted one is at most one worked date further. Parameters are
    those of `ByGrain`.
    """

    def __init__(self, worked: Ints, cells: int) -> None:
        date_start = cells * np.arange(worked.size)
        end = worked.cumsum()
        begin = end - worked
        self._cells = cells
        self._ahead: Ints32 = (begin - date_start).astype(np.int32)
        self._most: Ints32 = end.astype(np.int32)
        self._total = np.int32(end[-1])
        self._beyond = np.int32(worked.size * cells + 1)
        dates = np.flatnonzero(worked)
        self._end: Ints32 = end[dates].astype(np.int32)
        self._back: Ints32 = (date_start - begin)[dates].astype(np.int32)
        self._bin = int(worked[dates].min(initial=cells))
        bins = self._bin * np.arange(int(self._total) // self._bin + 1) + 1
        self._date_of_bin: Ints32 = end[dates].searchsorted(bins).astype(np.int32)

    def done_before(self, instant: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the work done before instants."""
        instant = np.maximum(instant, np.int32(0))
        date = instant // self._cells
        most = self._most.take(date, mode="clip")
        ahead = self._ahead.take(date, mode="clip")
        ahead += instant
        return np.minimum(ahead, most, out=out)

    def first_instant(self, done: Ints32, out: Ints32 | None = None) -> Ints32:
        """Return the first instants before which so much work is done."""
        date = self._date_of_bin.take((done - _ONE) // self._bin, mode="clip")
        date += done > self._end.take(date, mode="clip")
        found = np.add(self._back.take(date, mode="clip"), done, out=out)
        np.copyto(found, np.int32(0), where=done <= 0)
        np.copyto(found, self._beyond, where=done > self._total)
        return found


@lru_cache(maxsize=2)
def tables_of(calendars: tuple[Calendar, ...], first: int, days: int, grain: int) -> GrainTables:
    """Return the tables of calendars, made once while they are in use."""
    return GrainTables(calendars, first, days, grain)
