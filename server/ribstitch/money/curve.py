"""Amounts that come evenly over dates, added up by date: what a curve of money is made of.

An amount that comes at once has one date. Each amount comes by its running total, rounded
half up to the minor unit on every date, so that the curve of many ends at their sum to the
last unit and any stretch of it is the difference of its ends.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

_MOST = 2**62
"""Sums beyond it are added up in integers without bounds."""


@dataclass(frozen=True, slots=True)
class Accrual:
    """An amount that comes evenly over the dates from `first` to `last`, both included."""

    units: int
    """[minor units]"""
    first: date
    last: date

    def by(self, day: date) -> int:
        """Return what has come by the end of a date. [minor units]"""
        dates = (self.last - self.first).days + 1
        gone = min(max((day - self.first).days + 1, 0), dates)
        return (2 * self.units * gone + dates) // (2 * dates)


class Curve:
    """
    The running total of accruals by date. [minor units]

    Parameters
    ----------
    parts
        In any order; amounts may be negative.
    """

    def __init__(self, parts: Iterable[Accrual]) -> None:
        self.parts: Sequence[Accrual] = tuple(parts)
        self.total = sum(part.units for part in self.parts)

    @property
    def first(self) -> date | None:
        """The first date on which something comes; None: nothing ever does."""
        return date.fromordinal(self._origin) if self.parts else None

    @property
    def last(self) -> date | None:
        """The date by which all has come."""
        return date.fromordinal(self._origin + len(self.by_date) - 1) if self.parts else None

    def by(self, day: date) -> int:
        """Return what has come by the end of a date."""
        place = day.toordinal() - self._origin
        if not self.parts or place < 0:
            return 0
        return int(self.by_date[min(place, len(self.by_date) - 1)])

    @cached_property
    def by_date(self) -> NDArray[Any]:
        """
        What has come by the end of each date from the first to the last, shape (dates,).

        A part of `a` units over `n` dates has come to floor(a k / n + 1/2) by its k-th. With
        a = q n + r that is q k + floor((2 r k + n) / 2 n), which stays within 64 bits.
        """
        if not self.parts:
            return np.zeros(0, dtype=np.int64)
        first = np.array([part.first.toordinal() for part in self.parts], dtype=np.int64)
        dates = np.array([part.last.toordinal() for part in self.parts], dtype=np.int64)
        dates += 1 - first
        whole = self._units // dates
        rest = self._units - whole * dates
        owner = np.repeat(np.arange(dates.size), dates)
        ends = np.cumsum(dates)
        count = np.arange(owner.size) - np.repeat(ends - dates, dates) + 1
        over = dates[owner]
        run = whole[owner] * count + (2 * rest[owner] * count + over) // (2 * over)
        run[1:] -= np.where(count[1:] == 1, 0, run[:-1])
        found = np.zeros(int((first + dates).max()) - self._origin, dtype=self._units.dtype)
        np.add.at(found, first[owner] + count - 1 - self._origin, run)
        return np.cumsum(found)

    @cached_property
    def _origin(self) -> int:
        """The ordinal of the first date."""
        return min((part.first.toordinal() for part in self.parts), default=0)

    @cached_property
    def _units(self) -> NDArray[Any]:
        """The amounts, shape (parts,): in 64 bits where they and their sum fit in."""
        units = [part.units for part in self.parts]
        fits = sum(map(abs, units)) < _MOST
        return np.array(units, dtype=np.int64 if fits else object)
