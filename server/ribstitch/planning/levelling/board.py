"""Where two searchers of one project meet: the best schedule, the best bound, the clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock

from ribstitch.planning.levelling.members import Member

Clock = Callable[[], float]
"""Tells seconds that only go forward; the core has no clock of its own."""


class ContradictionError(RuntimeError):
    """A solver denies that the schedule at hand can be: one of the two is wrong."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search has come."""

    makespan: int
    bound: int
    seconds: float
    """Since the search began. [s]"""

    @property
    def gap(self) -> float:
        """Return by what share of itself the makespan may still be too long."""
        return (self.makespan - self.bound) / self.makespan if self.makespan else 0.0


class Board:
    """
    The best schedule and bound so far; any thread may read and write.

    Parameters
    ----------
    first
        A feasible schedule.
    bound
        No schedule ends before it.
    seconds
        How long the search may take. [s]
    clock
        Tells the time.
    cancelled
        Asked again and again; once it says yes, the search ends with what it has.
    """

    def __init__(
        self,
        first: Member,
        bound: int,
        seconds: float,
        clock: Clock,
        cancelled: Callable[[], bool],
    ) -> None:
        self._lock = Lock()
        self._clock = clock
        self._began = clock()
        self._deadline = self._began + seconds
        self._cancelled = cancelled
        self._best = first
        self._bound = bound

    @property
    def best(self) -> Member:
        """The schedule that ends first."""
        return self._best

    @property
    def bound(self) -> int:
        """The largest proven bound."""
        return self._bound

    @property
    def seconds_left(self) -> float:
        """Time that is left, 0 or more. [s]"""
        return max(0.0, self._deadline - self._clock())

    @property
    def is_proven(self) -> bool:
        """Whether no schedule can end earlier than the best."""
        return self._bound >= self._best.makespan

    @property
    def is_over(self) -> bool:
        """Whether there is nothing left to do, or no time to do it in."""
        return self.is_proven or self._clock() >= self._deadline or self._cancelled()

    def progress(self) -> Progress:
        """Return how far the search has come."""
        with self._lock:
            return Progress(self._best.makespan, self._bound, self._clock() - self._began)

    def offer(self, member: Member) -> None:
        """Keep a schedule if it ends earlier than the best."""
        with self._lock:
            if member.makespan < self._best.makespan:
                self._best = member

    def raise_bound(self, bound: int) -> None:
        """Keep a proven bound if it is larger."""
        with self._lock:
            self._bound = max(self._bound, bound)
