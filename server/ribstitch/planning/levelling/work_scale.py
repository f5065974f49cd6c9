"""One calendar for one instant at a time: plain lists and a binary search.

The same arithmetic as `planning.calendars.WorkTables`, which serves whole arrays; a
search that places activities one by one is several times faster on plain integers.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from ribstitch.planning.ticks import TICKS_PER_DAY


class OutOfRangeError(Exception):
    """An instant after the last date of the calendars; the caller takes more dates."""


class WorkScale:
    """
    Ticks worked before an instant, and back.

    Parameters
    ----------
    worked
        Ticks worked on each date of the range, from its start, shape (D,).

    Notes
    -----
    Instants count from the start of the range. [ticks]
    """

    def __init__(self, worked: Sequence[int]) -> None:
        self.worked = list(worked)
        self.before = [0]
        for ticks in self.worked:
            self.before.append(self.before[-1] + ticks)
        self.total = self.before[-1]

    def work_before(self, instant: int) -> int:
        """
        Return the ticks worked before an instant.

        Raises
        ------
        OutOfRangeError
            If the instant is after the range.
        """
        date, offset = divmod(instant, TICKS_PER_DAY)
        if date < 0:
            return 0
        if date >= len(self.worked):
            raise OutOfRangeError
        ticks = self.worked[date]
        return self.before[date] + min(offset, ticks)

    def earliest(self, work: int) -> int:
        """
        Return the first instant before which so much is worked.

        Raises
        ------
        OutOfRangeError
            If it is not worked within the range.
        """
        if work > self.total:
            raise OutOfRangeError
        date = bisect_left(self.before, work) - 1
        return TICKS_PER_DAY * date + work - self.before[date] if date >= 0 else 0

    def latest(self, work: int) -> int:
        """
        Return the last such instant: where the next tick is worked.

        Raises
        ------
        OutOfRangeError
            If no further tick is worked within the range.
        """
        if work >= self.total:
            raise OutOfRangeError
        date = bisect_right(self.before, work) - 1
        return TICKS_PER_DAY * date + work - self.before[date]

    def stretches(self, begin: int, end: int) -> list[tuple[int, int, int]]:
        """Return (date, first, last offset) of what is worked between two amounts of work."""
        found = []
        date = bisect_right(self.before, begin) - 1
        while begin < end:
            until = min(end, self.before[date + 1])
            if until > begin:
                base = self.before[date]
                found.append((date, begin - base, until - base))
                begin = until
            date += 1
        return found
