"""What pulling in answers: which expedites, the finish they reach, what they cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.planning.whatif import ExpediteTaken


class DisagreementError(RuntimeError):
    """The schedule of an answer is not what was computed: one of the two is wrong."""


@dataclass(frozen=True, slots=True)
class Taken:
    """So much of one expedite."""

    expedite: str
    name: str
    days: float
    """How much it takes off. [days of the calendar of the task or leg]"""
    cost: Decimal
    """In the project's currency, not rounded."""


@dataclass(frozen=True, slots=True)
class PulledIn:
    """The expedites to take for a finish; `apply_changes(plan, changes)` gives the case."""

    finish_on: date
    """The finish date that they reach."""
    cost: Decimal
    """Of all of them, in the project's currency, not rounded."""
    bound: Decimal
    """No expedites reach the finish for less: proven."""
    taken: tuple[Taken, ...]
    """In the order of the plan's expedites."""
    is_soonest: bool = True
    """False where a sum was given, and time ran out before it was clear that it buys no
    earlier finish."""

    @property
    def is_proven(self) -> bool:
        """Whether no better answer can be."""
        return self.bound >= self.cost and self.is_soonest

    @property
    def gap(self) -> Decimal:
        """What a cheaper answer could save at most, in the project's currency."""
        return max(Decimal(0), self.cost - self.bound)

    @property
    def changes(self) -> tuple[ExpediteTaken, ...]:
        """The same as changes of a what-if case."""
        return tuple(ExpediteTaken(one.expedite, one.days) for one in self.taken)
