"""Work that finds nobody although people with several trades are spread as well as can be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise


def unmet(
    asked: Mapping[str, int], there: Mapping[int, int], can: Mapping[str, Sequence[int]]
) -> dict[str, int]:
    """
    Return what cannot be done at best, however the people are spread over their trades.

    A largest flow by augmenting paths (L. R. Ford & D. R. Fulkerson, "Maximal flow through
    a network", Canadian Journal of Mathematics 8, 1956).

    Parameters
    ----------
    asked
        Work by trade; those that come first get their people first. [ticks]
    there
        Time of the people, by their number. [ticks]
    can
        Who has each trade.

    Returns
    -------
    dict
        What finds nobody, by trade; in all as little as can be. [ticks]
    """
    free = dict(there)
    given: dict[tuple[str, int], int] = defaultdict(int)
    missing = {}
    for trade, ticks in asked.items():
        left = ticks
        while left:
            path = _way_to_free(trade, free, given, can)
            if not path:
                break
            step = min(left, free[path[-1][1]])
            step = min([step, *(given[other, n] for (_, n), (other, _) in pairwise(path))])
            for at, (one, n) in enumerate(path):
                given[one, n] += step
                if at + 1 < len(path):
                    given[path[at + 1][0], n] -= step
            free[path[-1][1]] -= step
            left -= step
        missing[trade] = left
    return missing


def _way_to_free(
    trade: str,
    free: Mapping[int, int],
    given: Mapping[tuple[str, int], int],
    can: Mapping[str, Sequence[int]],
) -> list[tuple[str, int]]:
    """Return steps (trade, people it takes), each from the next trade, the last free."""
    ways: dict[str, list[tuple[str, int]]] = {trade: []}
    todo = [trade]
    for one in todo:
        for n in can[one]:
            if free[n]:
                return [*ways[one], (one, n)]
            for other in can:
                if other not in ways and given.get((other, n)):
                    ways[other] = [*ways[one], (one, n)]
                    todo.append(other)
    return []
