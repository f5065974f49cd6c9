"""When something happens in each run, in whatever terms it is asked for.

A calendar counts time as the work done before an instant. Between activities of one
calendar nothing else is needed, so that an event is kept as it was found and turned into
an instant, or into another calendar's work, only when asked for, and once.
"""

from __future__ import annotations

from typing import cast

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.grains import GrainTables, Ints32

Flags = NDArray[np.bool_]

_ROWS_AT_ONCE = 64


class Room:
    """
    Where the events of R runs are kept: rows cut from a few large arrays, used again.

    Thousands of small arrays that live for one simulation would cost the operating system
    more time than all arithmetic.
    """

    def __init__(self, runs: int) -> None:
        self.runs = runs
        self._free: list[Ints32] = []
        self._flags: list[Flags] = []

    def row(self) -> Ints32:
        """Return a row to fill in."""
        if not self._free:
            self._free = list(np.empty((_ROWS_AT_ONCE, self.runs), dtype=np.int32))
        return self._free.pop()

    def give_back(self, row: Ints32) -> None:
        """Take back a row that nobody reads any more."""
        self._free.append(row)

    def reaches(self, asked: Ints32, bound: Ints32) -> Flags:
        """Return in which runs `asked` is not before `bound`."""
        if asked.size != self.runs or bound.size != self.runs:
            return asked >= bound
        if not self._flags:
            self._flags = list(np.empty((8 * _ROWS_AT_ONCE, self.runs), dtype=bool))
        return np.greater_equal(asked, bound, out=self._flags.pop())


class Event:
    """
    The start or the finish of a step in each run. [grains]

    Parameters
    ----------
    tables
        The calendars.
    room
        Where other terms of the event are kept.
    calendar
        The number of the calendar that `done` counts on.
    done
        Work done on that calendar before the event, shape (R,) or (1,): the event is the
        first such instant, or with `begins` the last, where work goes on.
    instant
        The instant, where it is not given by `done`.
    """

    __slots__ = ("_begins", "_calendar", "_done", "_instant", "_lent", "_on", "_room", "_tables")

    def __init__(
        self,
        tables: GrainTables,
        room: Room,
        calendar: int,
        *,
        done: Ints32 | None = None,
        instant: Ints32 | None = None,
        begins: bool = False,
    ) -> None:
        if done is None and instant is None:
            raise ValueError("an event is given by work done or by an instant")
        self._tables = tables
        self._room = room
        self._calendar = calendar
        self._done = done
        self._instant = instant
        self._begins = begins
        self._on: dict[int, Ints32] = {}
        self._lent: list[Ints32] = []

    def ends_work_of(self, calendar: int) -> bool:
        """Return whether it is known to end worked time of a calendar."""
        return self._done is not None and calendar == self._calendar and not self._begins

    @property
    def instant(self) -> Ints32:
        """The instant of the event."""
        if self._instant is None and self._done is not None:
            if self._begins:
                self._instant = self._tables.last_instant(self._calendar, self._done)
            else:
                out = self._borrow(self._done.size)
                self._instant = self._tables.first_instant(self._calendar, self._done, out)
        return cast("Ints32", self._instant)

    def on(self, calendar: int) -> Ints32:
        """Return the work that a calendar does before the event."""
        if self._done is not None and calendar == self._calendar:
            return self._done
        known = self._on.get(calendar)
        if known is None:
            instant = self.instant
            out = self._borrow(instant.size)
            known = self._on[calendar] = self._tables.done_before(calendar, instant, out)
        return known

    def release(self) -> None:
        """Give back the rows of an event that nobody will ask for any more."""
        while self._lent:
            self._room.give_back(self._lent.pop())

    def owns(self, row: Ints32) -> None:
        """Let the event keep a row that is its own, until it is released."""
        self._lent.append(row)

    def _borrow(self, size: int) -> Ints32 | None:
        """Take a row to fill in, if the values fill one."""
        if size != self._room.runs:
            return None
        row = self._room.row()
        self._lent.append(row)
        return row
