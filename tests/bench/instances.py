"""Instances like the published ones, that nobody has solved before.

After the description of the published generator in R. Kolisch, A. Sprecher & A. Drexl,
"Characterization and generation of a general class of resource-constrained project
scheduling problems", Management Science 41, 1995, with the parameters of the library's
sets (R. Kolisch & A. Sprecher, European Journal of Operational Research 96, 1997). A set
is crossed from three parameters; one crossing is a cell:

- **complexity**: links an activity, the dummy first and last ones included. No link
  repeats what others say already; at most three go out of an activity and into one.
- **factor**: the share of the resources that an activity asks for, on average.
- **strength**: where the capacity of a resource stands between the largest single demand
  (0) and the peak of the schedule in which everything starts as early as links let it (1).

Run with ``python -m tests.bench.instances FOLDER`` to write them in the Patterson layout,
named as in the library: set, cell, seed.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from itertools import product
from math import ceil
from pathlib import Path

import numpy as np

RESOURCES = 4
LONGEST = 10
"""Of a duration. [periods]"""
LARGEST = 10
"""Of a demand. [units]"""
ENDS = 3
"""Activities that wait for nothing, and activities that nothing waits for."""
MOST_LINKS = 3
"""Into or out of an activity."""
_DRAWS = 200
"""Networks that are begun before a cell is given up."""


@dataclass(frozen=True)
class Cell:
    """What the instances of a cell have in common."""

    size: int
    """Activities with a duration."""
    complexity: float
    factor: float
    strength: float


@dataclass(frozen=True)
class Instance:
    """Figures of one project; the first and the last activity are dummies."""

    durations: list[int]
    demands: list[list[int]]
    capacities: list[int]
    followers: list[list[int]]
    """From 0."""

    def patterson(self) -> str:
        """Return the instance in the Patterson layout."""
        rows: list[list[int]] = [[len(self.durations), len(self.capacities)], self.capacities]
        for took, asked, after in zip(self.durations, self.demands, self.followers, strict=True):
            rows.append([took, *asked, len(after), *(one + 1 for one in after)])
        return "".join(" ".join(map(str, row)) + "\n" for row in rows)


def cells(size: int) -> list[Cell]:
    """Return the cells of a set in the library's order: 48, or 60 for 120 activities."""
    strengths = (0.1, 0.2, 0.3, 0.4, 0.5) if size >= 120 else (0.2, 0.5, 0.7, 1.0)
    crossed = product((1.5, 1.8, 2.1), (0.25, 0.5, 0.75, 1.0), strengths)
    return [Cell(size, *one) for one in crossed]


def drawn(cell: Cell, seed: int) -> Instance:
    """Return the instance of a cell that belongs to a seed."""
    draw = np.random.default_rng([seed, cell.size, *(round(100 * part) for part in (
        cell.complexity, cell.factor, cell.strength))])  # fmt: skip
    for _ in range(_DRAWS):
        network = _Network(cell, draw)
        if network.draw():
            break
    else:
        raise ValueError(f"no network of {cell} came out")
    durations = [0, *draw.integers(1, LONGEST + 1, cell.size).tolist(), 0]
    demands = _demands(cell, draw)
    followers = [sorted(after) for after in network.after]
    return Instance(durations, demands, _capacities(cell, durations, demands, followers), followers)


def write_set(folder: Path, size: int, seeds: range) -> list[Path]:
    """Write every cell of a set for each seed and return the files."""
    folder.mkdir(parents=True, exist_ok=True)
    files = []
    for number, cell in enumerate(cells(size), start=1):
        for seed in seeds:
            files.append(folder / f"j{size}_{number}_{seed}.rcp")
            files[-1].write_text(drawn(cell, seed).patterson(), encoding="ascii")
    return files


class _Network:
    """Links between activities that are numbered in an order in which they can be done."""

    def __init__(self, cell: Cell, draw: np.random.Generator) -> None:
        self._draw = draw
        self._size = cell.size + 2
        self._wanted = ceil(cell.complexity * self._size)
        self._starting = range(1, 1 + ENDS)
        self._ending = range(self._size - 1 - ENDS, self._size - 1)
        self.after: list[set[int]] = [set() for _ in range(self._size)]
        self.before: list[set[int]] = [set() for _ in range(self._size)]

    def draw(self) -> bool:
        """Draw all links; return whether as many as wanted came out."""
        for number in self._starting:
            self._link(0, number)
        for number in self._ending:
            self._link(number, self._size - 1)
        inner = range(1, self._size - 1)
        for number in inner:
            others = [one for one in inner if one < number and one not in self._ending]
            if number not in self._starting and not self._link_one([(n, number) for n in others]):
                return False
        for number in reversed(inner):
            others = [one for one in inner if one > number and one not in self._starting]
            if (
                number not in self._ending
                and not self.after[number]
                and not self._link_one([(number, n) for n in others])
            ):
                return False
        pairs = [(a, b) for a in inner for b in inner if a < b]
        pairs = [(a, b) for a, b in pairs if a not in self._ending and b not in self._starting]
        while sum(map(len, self.after)) < self._wanted:
            if not self._link_one(pairs):
                return False
        return True

    def _link_one(self, pairs: list[tuple[int, int]]) -> bool:
        """Link one of the pairs by chance; return whether any can be linked."""
        for place in self._draw.permutation(len(pairs)).tolist():
            if self._can_link(*pairs[place]):
                self._link(*pairs[place])
                return True
        return False

    def _link(self, before: int, after: int) -> None:
        self.after[before].add(after)
        self.before[after].add(before)

    def _can_link(self, before: int, after: int) -> bool:
        """Whether there is room for a link, and it says something that no others say."""
        if len(self.after[before]) >= MOST_LINKS or len(self.before[after]) >= MOST_LINKS:
            return False
        behind = _reached(self.after, after) | {after}
        if after in _reached(self.after, before):
            return False
        ahead = _reached(self.before, before) | {before}
        return not any(self.after[one] & behind for one in ahead)


def _reached(links: list[set[int]], number: int) -> set[int]:
    """Return everything that links lead to from an activity."""
    found: set[int] = set()
    wanted = list(links[number])
    while wanted:
        one = wanted.pop()
        if one not in found:
            found.add(one)
            wanted += links[one]
    return found


def _demands(cell: Cell, draw: np.random.Generator) -> list[list[int]]:
    """Draw what each activity asks for: of one resource at least, of more by the factor."""
    asks = np.zeros((cell.size, RESOURCES), dtype=bool)
    asks[np.arange(cell.size), draw.integers(0, RESOURCES, cell.size)] = True
    free = np.flatnonzero(~asks.ravel())
    more = round(cell.factor * asks.size) - cell.size
    asks.ravel()[draw.choice(free, more, replace=False)] = True
    units = draw.integers(1, LARGEST + 1, asks.shape) * asks
    nothing = [0] * RESOURCES
    return [nothing, *units.tolist(), nothing]


def _capacities(
    cell: Cell, durations: list[int], demands: list[list[int]], followers: list[list[int]]
) -> list[int]:
    """Return the capacities between the largest demand and the peak of the early schedule."""
    starts = [0] * len(durations)
    for number, after in enumerate(followers):
        for other in after:
            starts[other] = max(starts[other], starts[number] + durations[number])
    used = np.zeros((sum(durations) + 1, RESOURCES), dtype=int)
    for start, took, asked in zip(starts, durations, demands, strict=True):
        used[start : start + took] += asked
    least, peak = np.array(demands).max(axis=0), used.max(axis=0)
    return [
        round(low + cell.strength * (high - low))
        for low, high in zip(least.tolist(), peak.tolist(), strict=True)
    ]


def main() -> int:
    """Write a set."""
    asked = argparse.ArgumentParser(description="Write instances like the published ones.")
    asked.add_argument("folder", type=Path)
    asked.add_argument("--size", type=int, default=30, help="activities with a duration")
    asked.add_argument("--seeds", type=int, default=1, help="instances a cell")
    asked.add_argument("--first-seed", type=int, default=1)
    options = asked.parse_args()
    seeds = range(options.first_seed, options.first_seed + options.seeds)
    print(f"{len(write_set(options.folder, options.size, seeds))} instances in {options.folder}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
