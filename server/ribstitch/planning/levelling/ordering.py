"""Orders out of keys: strictly, or by chance with a bias towards the smaller key."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heapify, heappop, heappush

import numpy as np


def order_by(keys: Sequence[float], successors: Sequence[Sequence[int]]) -> list[int]:
    """
    Return the activities, the smallest key first among those whose turn can be.

    Parameters
    ----------
    keys
        One for each activity; ties go by number.
    successors
        For each activity what waits for it; without loops.
    """
    waiting = _waiting(successors)
    ready = [(key, number) for number, key in enumerate(keys) if not waiting[number]]
    heapify(ready)
    order = []
    while ready:
        _, number = heappop(ready)
        order.append(number)
        for other in successors[number]:
            waiting[other] -= 1
            if not waiting[other]:
                heappush(ready, (keys[other], other))
    return order


def sampled_order(
    keys: Sequence[int],
    successors: Sequence[Sequence[int]],
    draw: np.random.Generator,
    bias: float = 1.0,
) -> list[int]:
    """
    Return an order drawn by regret: the worse a key would be to pass over, the likelier.

    Among the activities whose turn can be, one is drawn with a probability proportional
    to (r + 1) ** bias, r the distance of its key from the largest among them.

    References
    ----------
    .. [1] A. Drexl, "Scheduling of project networks by job assignment", Management
       Science 37, 1991.
    """
    waiting = _waiting(successors)
    ready = [number for number in range(len(keys)) if not waiting[number]]
    chances: list[float] = draw.random(len(keys)).tolist()
    order = []
    for chance in chances:
        worst = max(keys[number] for number in ready)
        weights = [float(worst - keys[number] + 1) ** bias for number in ready]
        left = chance * sum(weights)
        place = 0
        while place < len(ready) - 1 and left >= weights[place]:
            left -= weights[place]
            place += 1
        number = ready.pop(place)
        order.append(number)
        for other in successors[number]:
            waiting[other] -= 1
            if not waiting[other]:
                ready.append(other)
    return order


def _waiting(successors: Sequence[Sequence[int]]) -> list[int]:
    """Return for how many others each activity waits."""
    waiting = [0] * len(successors)
    for others in successors:
        for other in others:
            waiting[other] += 1
    return waiting
