"""A population of schedules that breeds: two-point crossing of orders, each child improved.

After S. Hartmann, "A competitive genetic algorithm for resource-constrained project
scheduling", Naval Research Logistics 45, 1998, with forward-backward improvement of
every child as in V. Valls, F. Ballestin & S. Quintanilla, European Journal of
Operational Research 185, 2008.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator, Sequence

import numpy as np

from ribstitch.planning.levelling.members import Decoder, Member
from ribstitch.planning.levelling.ordering import order_by, sampled_order

SIZE = 60
"""Members of a full population."""
_SHIFTED = 0.03
"""Share of activities that a child puts elsewhere in its order."""
_SHIFT = 0.1
"""How far, as a share of all activities (standard deviation)."""


def rule_members(decoder: Decoder) -> dict[str, Member]:
    """Return the schedule of each priority rule, as the rule gives it."""
    successors = decoder.successors()
    return {
        rule: decoder.decode(order_by(keys, successors))
        for rule, keys in decoder.priorities().items()
    }


class Population:
    """
    Schedules of one project, the best first; never loses the best.

    Parameters
    ----------
    decoder
        Turns orders into schedules.
    first
        Members to begin with, at least one.
    draw
        Source of all chance.
    """

    def __init__(
        self, decoder: Decoder, first: Sequence[Member], draw: np.random.Generator
    ) -> None:
        self._decoder = decoder
        self._draw = draw
        self._successors = decoder.successors()
        self._size = len(self._successors)
        self._members: list[Member] = []
        for member in first:
            self.add(member)
        self._keys = list(decoder.priorities().values())
        self._founding = self._founders()

    @property
    def best(self) -> Member:
        """The schedule that ends first."""
        return self._members[0]

    def add(self, member: Member) -> None:
        """Take a schedule in, unless it is there already or worse than all."""
        if any(member == other for other in self._members):
            return
        insort(self._members, member, key=_makespan)
        del self._members[SIZE:]

    def step(self) -> None:
        """Make one more schedule: a founder while there are few, then a child."""
        order = next(self._founding, None)
        if order is None:
            order = self._child()
        self.add(self._decoder.improve(self._decoder.decode(order)))

    def _founders(self) -> Iterator[list[int]]:
        """Draw orders by regret, the best rules in turn."""
        for number in range(SIZE):
            keys = self._keys[number % 2]
            bias = (1.0, 2.0, 4.0)[number % 3]
            yield sampled_order(keys, self._successors, self._draw, bias)

    def _child(self) -> list[int]:
        """Cross two members and shift a few activities."""
        mother, father = self._pick(), self._pick()
        first, last = sorted(self._draw.integers(0, self._size + 1, 2).tolist())
        head = mother[:first]
        taken = set(head)
        middle = [one for one in father if one not in taken][: last - first]
        taken.update(middle)
        order = [*head, *middle, *(one for one in mother if one not in taken)]
        shifted = np.flatnonzero(self._draw.random(self._size) < _SHIFTED).tolist()
        keys = [0.0] * self._size
        for place, number in enumerate(order):
            keys[number] = float(place)
        by = (_SHIFT * self._size * self._draw.standard_normal(len(shifted))).tolist()
        for number, distance in zip(shifted, by, strict=True):
            keys[number] += distance
        return order_by(keys, self._successors)

    def _pick(self) -> list[int]:
        """Return the order of the better of two drawn members."""
        one, other = self._draw.integers(0, len(self._members), 2).tolist()
        return self._decoder.order_of(self._members[min(int(one), int(other))])


def _makespan(member: Member) -> int:
    """Return when a schedule ends."""
    return member.makespan
