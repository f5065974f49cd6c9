"""Who can work: people of a plan as groups, and what they can do as capacities.

People with several trades make the trades compete. Some people can be spread over the
tasks of an instant exactly if, for every set of trades, these trades together ask for no
more people than have at least one of them (P. Hall, "On representatives of subsets",
Journal of the London Mathematical Society 10, 1935). So every such set is a resource of
its own; sets that follow from others are left out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import networkx as nx

from ribstitch.planning.crews import people_of
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Crew, Plan

MOST_SHARED_TRADES = 12
"""So many trades may be tied together by people who have several of them."""


@dataclass(frozen=True, slots=True)
class Group:
    """People who are there at the same times and can do the same."""

    trades: frozenset[str]
    people: int
    calendar: str
    label: str = ""


def groups_of(plan: Plan, asked: Collection[str]) -> tuple[Group, ...]:
    """
    Return the people of a plan.

    Parameters
    ----------
    plan
        The plan, whose crews they are.
    asked
        The trades that open tasks ask for.

    Raises
    ------
    InvalidValueError
        If a crew that some open task needs has no calendar.
    """
    found: dict[tuple[object, ...], tuple[set[str], Crew]] = {}
    for number, crew in enumerate(plan.crew):
        if crew.calendar is None:
            if crew.trade in asked and crew.people:
                raise InvalidValueError(
                    f"crew[{number}].calendar",
                    f'nobody knows when the people of "{crew.trade}" work: name their '
                    f'calendar, such as "{plan.project.calendar}"',
                )
            continue
        found.setdefault(people_of(number, crew), (set(), crew))[0].add(crew.trade)
    return tuple(
        Group(frozenset(trades), crew.people, crew.calendar or "", crew.label)
        for trades, crew in found.values()
        if crew.people
    )


@dataclass(frozen=True, slots=True)
class Pool:
    """Groups whose trades are tied together, and the sets of trades that can be short."""

    groups: tuple[Group, ...]
    trades: frozenset[str]
    sets: tuple[frozenset[str], ...]

    def members(self, trades: frozenset[str]) -> tuple[int, ...]:
        """Return which groups have at least one of some trades."""
        return _touched(self.groups, trades)

    def demand(self, trade: str, people: int) -> tuple[int, ...]:
        """Return what people of one trade take from each set."""
        return tuple(people if trade in one else 0 for one in self.sets)


def pools_of(groups: Sequence[Group], asked: Collection[str]) -> tuple[Pool, ...]:
    """
    Sort groups into pools that have nothing to do with each other.

    Parameters
    ----------
    groups
        The people.
    asked
        The trades that tasks ask for; others tie nothing together.

    Raises
    ------
    InvalidValueError
        If more than `MOST_SHARED_TRADES` trades are tied together.
    """
    ties: nx.Graph[str] = nx.Graph()
    for group in groups:
        have = sorted(group.trades & set(asked))
        ties.add_nodes_from(have)
        ties.add_edges_from(pairwise(have))
    pools = []
    for trades_together in nx.connected_components(ties):
        trades = frozenset(trades_together)
        if len(trades) > MOST_SHARED_TRADES:
            raise InvalidValueError(
                "crew",
                f"{len(trades)} trades share people ({', '.join(sorted(trades))}); at most "
                f"{MOST_SHARED_TRADES} can: give some people fewer trades",
            )
        members = tuple(
            Group(group.trades & trades, group.people, group.calendar)
            for group in groups
            if group.trades & trades
        )
        pools.append(Pool(members, trades, tuple(_binding_sets(members, trades))))
    return tuple(sorted(pools, key=lambda pool: min(pool.trades)))


def _binding_sets(groups: Sequence[Group], trades: frozenset[str]) -> Iterable[frozenset[str]]:
    """Return the sets of trades whose limit does not follow from other sets."""
    for count in range(1, len(trades) + 1):
        for chosen in combinations(sorted(trades), count):
            one = frozenset(chosen)
            touched = _touched(groups, one)
            could_grow = any(_touched(groups, one | {more}) == touched for more in trades - one)
            if not could_grow and _hangs_together(groups, one):
                yield one


def _touched(groups: Sequence[Group], trades: frozenset[str]) -> tuple[int, ...]:
    """Return which groups have at least one of some trades."""
    return tuple(number for number, group in enumerate(groups) if group.trades & trades)


def _hangs_together(groups: Sequence[Group], trades: frozenset[str]) -> bool:
    """Return whether a set is no union of two sets without common people."""
    reached = {min(trades)}
    while True:
        more = {
            trade for group in groups if group.trades & reached for trade in group.trades & trades
        }
        if more <= reached:
            return reached == set(trades)
        reached |= more
