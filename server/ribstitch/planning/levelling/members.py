"""What a search over orders works with: schedules, and how an order becomes one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Member:
    """One feasible schedule: when it ends, and where each activity starts."""

    makespan: int
    starts: tuple[int, ...]


class Decoder(Protocol):
    """Turns orders into schedules; whatever it returns keeps all links and capacities."""

    def priorities(self) -> Mapping[str, list[int]]:
        """Return the keys of each priority rule; the smaller goes first."""
        ...

    def successors(self) -> Sequence[Sequence[int]]:
        """Return for each activity what waits for it."""
        ...

    def decode(self, order: Sequence[int]) -> Member:
        """Place activities in an order, each as early as it can be."""
        ...

    def order_of(self, member: Member) -> list[int]:
        """Return an order that `decode` turns into this schedule, or a better one."""
        ...

    def improve(self, member: Member) -> Member:
        """Return a schedule that ends no later."""
        ...
