"""Look at a levelled project from outside: shares no code with what made it.

It reads the text of an instance itself and counts, period by period.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class PlainInstance:
    """An instance as it stands in its file: rows of numbers."""

    capacities: list[int]
    durations: list[int]
    demands: list[list[int]]
    followers: list[list[int]]
    """From 0."""


def read_instance(text: str) -> PlainInstance:
    """Read the Patterson layout line by line, as it is published."""
    rows = [[int(word) for word in line.split()] for line in text.splitlines() if line.strip()]
    resources = rows[0][1]
    body = rows[2:]
    return PlainInstance(
        capacities=rows[1],
        durations=[row[0] for row in body],
        demands=[row[1 : 1 + resources] for row in body],
        followers=[[after - 1 for after in row[2 + resources :]] for row in body],
    )


def faults(instance: PlainInstance, starts: Sequence[int]) -> list[str]:
    """Return every link and every capacity that a schedule breaks, in words."""
    found = [f"activity {n} starts at {start}" for n, start in enumerate(starts) if start < 0]
    for n, followers in enumerate(instance.followers):
        end = starts[n] + instance.durations[n]
        found += [f"{after} does not wait for {n}" for after in followers if starts[after] < end]
    used: Counter[tuple[int, int]] = Counter()
    for n, start in enumerate(starts):
        for period in range(start, start + instance.durations[n]):
            for place, units in enumerate(instance.demands[n]):
                used[period, place] += units
    found += [
        f"{units} of resource {place} in period {period}"
        for (period, place), units in used.items()
        if units > instance.capacities[place]
    ]
    return found


def ends(instance: PlainInstance, starts: Sequence[int]) -> int:
    """Return when the last activity is over."""
    return max(start + took for start, took in zip(starts, instance.durations, strict=True))


def least(instance: PlainInstance) -> int:
    """Return the larger of the longest chain and the work of each resource over its capacity."""
    early: list[int] = [0] * len(instance.durations)
    changed = True
    while changed:
        changed = False
        for n, followers in enumerate(instance.followers):
            end = early[n] + instance.durations[n]
            for after in followers:
                if early[after] < end:
                    early[after], changed = end, True
    loads = [
        sum(
            took * row[place]
            for took, row in zip(instance.durations, instance.demands, strict=True)
        )
        for place in range(len(instance.capacities))
    ]
    by_work = [
        -(-load // there) for load, there in zip(loads, instance.capacities, strict=True) if there
    ]
    return max(ends(instance, early), *by_work, 0)
