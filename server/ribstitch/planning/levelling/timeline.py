"""What is free of some resources along one scale, as steps between breakpoints."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence


class Timeline:
    """
    Free units of R resources that are looked at together.

    Notes
    -----
    A row is one Python integer, a bit field a resource with a guard bit above it, so that
    all are compared in one step (`planning.levelling.serial`).
    """

    def __init__(self, at: list[int], free: list[int], width: int, guards: int) -> None:
        self._at, self._free, self._width, self._guards = at, free, width, guards

    @classmethod
    def of(cls, at: Sequence[int], free: Sequence[Sequence[int]], most: Sequence[int]) -> Timeline:
        """
        Return a timeline of steps.

        Parameters
        ----------
        at
            Breakpoints, rising; the first is 0.
        free
            Units of each resource from each breakpoint on, rows of R; the last row holds
            for ever.
        most
            Largest number of units that a resource ever has.
        """
        width = max(most, default=0).bit_length() + 1
        guards = sum(1 << (width * place + width - 1) for place in range(len(most)))
        line = cls(list(at), [], width, guards)
        line._free.extend(guards + line.packed(row) for row in free)
        return line

    def packed(self, row: Sequence[int]) -> int:
        """Return units of each resource as one demand."""
        return sum(units << (self._width * place) for place, units in enumerate(row))

    def fresh(self) -> Timeline:
        """Return a copy that can be taken from."""
        return Timeline(self._at.copy(), self._free.copy(), self._width, self._guards)

    def earliest(self, begin: int, length: int, demand: int) -> int:
        """Return the first place at or after `begin` where a demand fits for a length."""
        at, free, guards = self._at, self._free, self._guards
        count = len(at)
        step = bisect_right(at, begin) - 1
        end = begin + length
        while step < count and at[step] < end:
            if (free[step] - demand) & guards != guards:
                begin = at[step + 1]
                end = begin + length
            step += 1
        return begin

    def latest(self, end: int, length: int, demand: int) -> int:
        """Return the last place to begin so that a demand fits and ends by `end`; 0 if none."""
        at, free, guards = self._at, self._free, self._guards
        step = bisect_left(at, end) - 1
        begin = end - length
        while step >= 0:
            if (free[step] - demand) & guards != guards:
                begin = at[step] - length
            if at[step] <= begin:
                return begin
            step -= 1
        return 0

    def conflict(self, begin: int, end: int, demand: int) -> int | None:
        """Return where the first step that is too low for a demand ends, or None."""
        at, free, guards = self._at, self._free, self._guards
        step = bisect_right(at, begin) - 1
        while step < len(at) and at[step] < end:
            if (free[step] - demand) & guards != guards:
                return at[step + 1]
            step += 1
        return None

    def take(self, begin: int, end: int, demand: int) -> None:
        """Take units away between two places."""
        first, last = self._cut(begin), self._cut(end)
        self._free[first:last] = [left - demand for left in self._free[first:last]]

    def _cut(self, place: int) -> int:
        """Make sure that a breakpoint stands at a place and return its number."""
        step = bisect_left(self._at, place)
        if step == len(self._at) or self._at[step] != place:
            self._at.insert(step, place)
            self._free.insert(step, self._free[step - 1])
        return step
