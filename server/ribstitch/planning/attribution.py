"""How much of a change each of its causes has brought about, whatever order they are told in.

A change is walked in steps, one cause after another, and each cause is given what its step
moved. That depends on the order. So each cause is given the mean over all orders that can be
walked: its Shapley value. Shapley (1953), "A value for n-person games", in Kuhn and Tucker,
*Contributions to the Theory of Games II*, shows that no other way of sharing gives away all
of it, gives nothing to what moves nothing, treats alike what acts alike, and adds up over
sums. Where some orders cannot be walked, because one cause needs another to come first, the
mean is over those that can: Faigle and Kern (1992), "The Shapley value for cooperative games
under precedence constraints", *International Journal of Game Theory* 21.

Up to `MOST_EXACT` causes the mean is exact. Beyond that it is over orders drawn at random
from a seed, each with its reverse (Castro, Gómez and Tejada, 2009, *Computers & Operations
Research* 36, for the sampling). Each order gives away all of the change, so their mean does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from math import floor

import numpy as np

MOST_EXACT = 7
"""So many causes are told apart exactly: at most 128 half-way states are looked at."""
MOST_ASKED = 160
"""Beyond that, about so many half-way states are looked at."""

Worth = tuple[int, ...]
Ask = Callable[[frozenset[str]], Worth | None]
"""What some causes together lead to, one number for each thing that is measured; None where
they cannot stand without others."""


@dataclass(frozen=True, slots=True)
class Share:
    """
    What one cause moved.

    Attributes
    ----------
    causes
        Mostly one; several where none of them can ever stand without the others.
    parts
        What it moved of each thing that is measured; over all shares they add up to what
        all causes together moved.
    """

    causes: tuple[str, ...]
    parts: tuple[Fraction, ...]


class _Stuck(Exception):  # noqa: N818 - not a fault: the causes are joined, and it goes on
    """From here no order goes on one cause at a time."""

    def __init__(self, at: int) -> None:
        super().__init__(at)
        self.at = at


class _Asked:
    """What was asked so far, by the causes that are in; groups are numbered by place."""

    def __init__(self, ask: Ask, on_progress: Callable[[int], None]) -> None:
        self._ask = ask
        self._known: dict[frozenset[str], Worth | None] = {}
        self._on_progress = on_progress
        self.groups: tuple[tuple[str, ...], ...] = ()

    def __call__(self, mask: int) -> Worth | None:
        inside = frozenset(
            one for place, group in enumerate(self.groups) if mask >> place & 1 for one in group
        )
        if inside not in self._known:
            self._known[inside] = self._ask(inside)
            self._on_progress(len(self._known))
        return self._known[inside]


def attribute(
    causes: Iterable[str],
    ask: Ask,
    *,
    seed: int = 0,
    most_exact: int = MOST_EXACT,
    most_asked: int = MOST_ASKED,
    on_progress: Callable[[int], None] = lambda _: None,
) -> tuple[Share, ...]:
    """
    Share out what all causes together moved.

    Parameters
    ----------
    causes
        Their names; the order in which they are given plays no part.
    ask
        Says what some of them lead to; with none and with all of them it must not be None.
    seed
        Of the orders that are drawn where there are too many.
    most_exact, most_asked
        Up to how many causes all orders count; how many states are looked at beyond.
    on_progress
        Told after each state how many were looked at.

    Returns
    -------
    tuple of Share
        By the names of the causes.

    Raises
    ------
    ValueError
        If nothing is known of none of them, or of all.
    """
    asked = _Asked(ask, on_progress)
    asked.groups = tuple((one,) for one in sorted(set(causes)))
    if asked(0) is None or asked((1 << len(asked.groups)) - 1) is None:
        raise ValueError("without its causes, and with all of them, a plan has to stand")
    while True:
        count = len(asked.groups)
        try:
            if count <= most_exact:
                parts = _over_all_orders(asked)
            else:
                parts = _over_drawn_orders(asked, seed, max(most_asked // (2 * count), 1))
        except _Stuck as stuck:
            asked.groups = _joined(asked, stuck.at)
            continue
        return tuple(
            Share(group, tuple(part)) for group, part in zip(asked.groups, parts, strict=True)
        )


def whole_parts(parts: Sequence[Fraction]) -> tuple[int, ...]:
    """
    Round parts so that they still add up, by largest remainder.

    Parameters
    ----------
    parts
        Whose sum is a whole number.

    Returns
    -------
    tuple of int
        Each is a neighbour of its part; nothing stays nothing.
    """
    rounded = [floor(part) for part in parts]
    missing = int(sum(parts)) - sum(rounded)
    ahead = sorted(
        range(len(parts)),
        key=lambda place: (rounded[place] - parts[place], parts[place], place),
    )
    for place in ahead[:missing]:
        rounded[place] += 1
    return tuple(rounded)


def _over_all_orders(asked: _Asked) -> list[list[Fraction]]:
    """Return the mean over all orders that can be walked, counting orders instead of walking."""
    count = len(asked.groups)
    everything = (1 << count) - 1
    levels = [{0: 1}]
    for _ in range(count):
        following: dict[int, int] = {}
        for at, ways in levels[-1].items():
            for to in _steps(at, count):
                if asked(to) is not None:
                    following[to] = following.get(to, 0) + ways
        if not following:
            raise _Stuck(min(levels[-1]))
        levels.append(following)
    onward = {everything: 1}
    for level in reversed(levels[:-1]):
        for at in level:
            onward[at] = sum(onward.get(to, 0) for to in _steps(at, count))
    parts = _nothing(asked)
    for level in levels[:-1]:
        for at, ways in level.items():
            for to in _steps(at, count):
                if onward.get(to):
                    weight = Fraction(ways * onward[to], onward[0])
                    _add(parts, asked, at, to, weight)
    return parts


def _over_drawn_orders(asked: _Asked, seed: int, pairs: int) -> list[list[Fraction]]:
    """Return the mean over drawn orders and their reverses."""
    drawing = np.random.default_rng(seed)
    parts = _nothing(asked)
    for _ in range(pairs):
        order = drawing.permutation(len(asked.groups)).tolist()
        for wanted in (order, order[::-1]):
            at = 0
            for _step in order:
                to = _first_that_stands(asked, at, wanted)
                _add(parts, asked, at, to, Fraction(1, 2 * pairs))
                at = to
    return parts


def _first_that_stands(asked: _Asked, at: int, wanted: Sequence[int]) -> int:
    """Return the state after the first wanted cause that can stand now."""
    for place in wanted:
        to = at | 1 << place
        if to != at and asked(to) is not None:
            return to
    raise _Stuck(at)


def _joined(asked: _Asked, at: int) -> tuple[tuple[str, ...], ...]:
    """Return the groups, the first pair that can go on together joined; else all that are left."""
    left = [place for place in range(len(asked.groups)) if not at >> place & 1]
    together = next(
        (pair for pair in combinations(left, 2) if asked(at | 1 << pair[0] | 1 << pair[1])),
        tuple(left),
    )
    joined = tuple(sorted(one for place in together for one in asked.groups[place]))
    others = [group for place, group in enumerate(asked.groups) if place not in together]
    return tuple(sorted([*others, joined]))


def _steps(at: int, count: int) -> list[int]:
    """Return the states that are one cause further."""
    return [at | 1 << place for place in range(count) if not at >> place & 1]


def _nothing(asked: _Asked) -> list[list[Fraction]]:
    """Return a part of nothing of each thing that is measured, for each group."""
    begin = asked(0)
    measured = 0 if begin is None else len(begin)
    return [[Fraction(0)] * measured for _ in asked.groups]


def _add(parts: list[list[Fraction]], asked: _Asked, at: int, to: int, weight: Fraction) -> None:
    """Give a cause what its step moved, as often as the step counts."""
    before, after = asked(at), asked(to)
    if before is None or after is None:
        raise _Stuck(at)
    mine = parts[(at ^ to).bit_length() - 1]
    for number, (old, new) in enumerate(zip(before, after, strict=True)):
        mine[number] += weight * (new - old)
