"""Calendars as arrays: instants to work done and back, for many activities at once.

``W_c(t)`` is the number of ticks that calendar c works before instant t. It is kept as
two tables per calendar (ticks worked on a date, ticks worked before it); the way back
is a binary search. All calendars stand in one flat array, so that activities with
different calendars are computed in one step.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.errors import EmptyCalendarError, InvalidValueError
from ribstitch.planning.model import ELAPSED, Calendar
from ribstitch.planning.ticks import TICKS_PER_DAY

Ints = NDArray[np.int64]

_CODE = re.compile("[A-Z]{2}(-[A-Z0-9]+)?")
"""A country (ISO 3166-1), perhaps with a part of it (ISO 3166-2)."""
_BOUNDLESS = 1 << 40
"""Ticks credited to the dates before and after a table, so that arithmetic that leaves
it goes on in elapsed time instead of failing; the caller checks and widens. [ticks]"""
_APART = 1 << 44
"""Distance between two calendars in the flat search array. [ticks]"""


def ticks_for_hours(hours: float, day_hours: float) -> int:
    """Return the ticks that `hours` are worth where `day_hours` are one day (rounded)."""
    return round(Fraction(hours) / Fraction(day_hours) * TICKS_PER_DAY)


@lru_cache(maxsize=512)
def public_holidays(code: str, year: int) -> frozenset[date]:
    """
    Return the public holidays of a country (``IE``) or of a part of one (``GB-ENG``).

    Raises
    ------
    KeyError
        If the country or its part is not known.
    """
    import holidays

    if not _CODE.fullmatch(code):
        raise KeyError(code)
    country, _, part = code.partition("-")
    try:
        found = holidays.country_holidays(country, subdiv=part or None, years=year)
    except NotImplementedError as unknown:
        raise KeyError(code) from unknown
    return frozenset(found)


def ticks_per_date(calendar: Calendar, first: int, days: int) -> Ints:
    """
    Count the ticks a calendar works on each of `days` dates from ordinal `first`.

    A closure overrides the week and holidays; an opening overrides all of them.
    Shape (days,). [ticks]
    """
    if calendar.elapsed:
        return np.full(days, TICKS_PER_DAY, dtype=np.int64)
    week = [ticks_for_hours(hours, calendar.day_hours) for hours in calendar.week_hours]
    weekday = (first - 1) % 7
    worked = np.resize(np.roll(np.array(week, dtype=np.int64), -weekday), days)
    if calendar.holidays:
        last_year = date.fromordinal(first + days - 1).year
        for year in range(date.fromordinal(first).year, last_year + 1):
            for holiday in public_holidays(calendar.holidays, year):
                place = holiday.toordinal() - first
                if 0 <= place < days:
                    worked[place] = 0
    for begin, end in calendar.closed:
        worked[max(begin.toordinal() - first, 0) : max(end.toordinal() + 1 - first, 0)] = 0
    for day, hours in calendar.opened:
        place = day.toordinal() - first
        if 0 <= place < days:
            worked[place] = ticks_for_hours(hours, calendar.day_hours)
    return worked


def check_calendar(calendar: Calendar, where: str) -> None:
    """
    Refuse a calendar that cannot be used.

    Raises
    ------
    InvalidValueError, EmptyCalendarError
        With `where` as the key path of the calendar.
    """
    if calendar.elapsed:
        return
    if calendar.id == ELAPSED.id:
        raise InvalidValueError(
            f"{where}.id", f'the id "{ELAPSED.id}" is kept for elapsed time', calendar.id
        )
    if not 0 < calendar.day_hours <= 24:
        raise InvalidValueError(
            f"{where}.day_hours",
            f"{calendar.day_hours:g} is not between 0 and 24 hours",
            calendar.day_hours,
        )
    if len(calendar.week_hours) != 7:
        raise InvalidValueError(
            f"{where}.week", "a week has seven days, Monday to Sunday", calendar.week_hours
        )
    named = [(f"{where}.week[{n}]", hours) for n, hours in enumerate(calendar.week_hours)]
    named += [(f"{where}.open[{n}].hours", hours) for n, (_, hours) in enumerate(calendar.opened)]
    for path, hours in named:
        if not 0 <= hours <= calendar.day_hours:
            raise InvalidValueError(
                path,
                f"{hours:g} hours do not fit into the calendar's day of "
                f"{calendar.day_hours:g} hours",
                hours,
            )
    for number, (begin, end) in enumerate(calendar.closed):
        if end < begin:
            raise InvalidValueError(
                f"{where}.closed[{number}]",
                f"the closed range ends ({end}) before it begins ({begin})",
                (begin, end),
            )
    if calendar.holidays:
        try:
            public_holidays(calendar.holidays, 2026)
        except KeyError:
            raise InvalidValueError(
                f"{where}.holidays",
                f'"{calendar.holidays}" is not a country whose holidays are known',
                calendar.holidays,
            ) from None
    if not any(ticks_for_hours(hours, calendar.day_hours) for _, hours in named):
        raise EmptyCalendarError(f"{where}.week", calendar.id)


@dataclass(frozen=True, slots=True)
class On:
    """Which calendars some activities work on, as offsets into the flat tables."""

    row: Ints
    """Where each one's calendar begins in the flat tables."""
    apart: Ints
    """How far each one's calendar is set apart in the search array. [ticks]"""

    def __getitem__(self, index: slice | Ints) -> On:
        """Pick some of the activities."""
        return On(self.row[index], self.apart[index])


class WorkTables:
    """
    All calendars of a plan over one range of dates.

    Instants are counted from the start of date `first` (tick 0), so that every array
    below holds small numbers. Outside the range, arithmetic goes on as if every date
    were worked in full. Functions take arrays whose last axis runs over activities.

    Parameters
    ----------
    calendars
        C calendars; their order is their number.
    first
        Ordinal of the first date.
    days
        Number of dates, D.

    Notes
    -----
    With b_k the work before date k, W(t) = min(t + (b_k - 1440 k), b_{k+1}) on date k:
    two look-ups; back from work to an instant is a binary search and one. Each
    calendar's row has D + 2 entries: its dates, one that stands for all dates after
    them, and a rank that no work reaches.
    """

    def __init__(self, calendars: Sequence[Calendar], first: int, days: int) -> None:
        self.first = first
        self.days = days
        count, row = len(calendars), days + 2
        worked = np.zeros((count, row), dtype=np.int64)
        for number, calendar in enumerate(calendars):
            worked[number, :days] = ticks_per_date(calendar, first, days)
        worked[:, days] = _BOUNDLESS
        before = np.zeros((count, row), dtype=np.int64)
        np.cumsum(worked[:, :-1], axis=1, out=before[:, 1:])
        date_start = TICKS_PER_DAY * np.arange(row, dtype=np.int64)
        apart = _APART * np.arange(count, dtype=np.int64)[:, None]
        ahead = before - date_start
        back = date_start - before - apart
        self._ahead: Ints = ahead.ravel()
        self._most: Ints = (before + worked).ravel()
        self._gap_end: Ints = _next_starts(worked, date_start).ravel()
        ranks = before + apart
        ranks[:, -1] += _APART // 2
        self._ranks: Ints = ranks.ravel()
        self._back: Ints = np.concatenate([back[:, :1], back[:, :-1]], axis=1).ravel()
        self._row: Ints = row * np.arange(count, dtype=np.int64)
        self._apart: Ints = apart[:, 0]

    def on(self, calendar: Ints) -> On:
        """Return where the calendars with these numbers stand in the tables."""
        return On(self._row[calendar], self._apart[calendar])

    def _place(self, on: On, instant: Ints) -> Ints:
        """Return the flat index of the date of each instant."""
        number: Ints = instant // TICKS_PER_DAY
        np.maximum(number, 0, out=number)
        np.minimum(number, self.days, out=number)
        return number + on.row

    def work_before(self, on: On, instant: Ints) -> Ints:
        """Return W_c(t), the ticks worked before each instant."""
        place = self._place(on, instant)
        done: Ints = np.minimum(instant + self._ahead.take(place), self._most.take(place))
        return done

    def earliest(self, on: On, work: Ints) -> Ints:
        """Return the smallest t with W_c(t) >= `work`."""
        rank = work + on.apart
        return rank + self._back.take(self._ranks.searchsorted(rank))

    def latest(self, on: On, work: Ints) -> Ints:
        """Return the largest t with W_c(t) <= `work`: where the next tick is worked."""
        rank = work + on.apart
        return rank + self._back.take(self._ranks.searchsorted(rank, side="right"))

    def next_working(self, on: On, instant: Ints) -> Ints:
        """Move each instant up to the first one that begins a worked tick."""
        place = self._place(on, instant)
        worked = instant + self._ahead.take(place) < self._most.take(place)
        return np.where(worked, instant, self._gap_end.take(place))

    def add_work(self, on: On, instant: Ints, work: Ints) -> Ints:
        """Return when `work` ticks counted from an instant are over (or were begun)."""
        return self.earliest(on, self.work_before(on, instant) + work)

    def run(self, on: On, bound: Ints, work: Ints) -> tuple[Ints, Ints]:
        """Return where work not to begin before `bound` begins, and where it is over."""
        place = self._place(on, bound)
        done, most = bound + self._ahead.take(place), self._most.take(place)
        begin = np.where(done < most, bound, self._gap_end.take(place))
        return begin, self.earliest(on, np.minimum(done, most) + work)


def _next_starts(worked: Ints, date_start: Ints) -> Ints:
    """Return for each date the start of the next one that is worked at all."""
    starts = np.where(worked > 0, date_start, np.iinfo(np.int64).max)
    following = np.minimum.accumulate(starts[:, ::-1], axis=1)[:, ::-1]
    result = np.full_like(following, _BOUNDLESS)
    result[:, :-2] = following[:, 1:-1]
    return result
