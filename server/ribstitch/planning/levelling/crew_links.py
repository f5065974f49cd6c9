"""The levelled order as links: who waits for whom, and for which people or place.

People are handed on from task to task like a current: each task takes as many as it
needs from those that have just become free (C. Artigues, P. Michelon & S. Reusser,
"Insertion techniques for static and dynamic resource-constrained project scheduling",
European Journal of Operational Research 149, 2003). A hand-over between two tasks that
nothing ties yet becomes a finish-start link.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import networkx as nx

from ribstitch.planning.levelling.crew_problem import CrewProblem, Resource
from ribstitch.planning.levelling.level_plan import LevelledPlan
from ribstitch.planning.model import CrewLink, CrewLinkKind


@dataclass(frozen=True, slots=True)
class Handover:
    """What one task waits for the other to give up."""

    kind: str
    """"trade" or "place"."""
    names: tuple[str, ...]
    """The place; or the trade, with others where people have several."""
    units: int
    """How many people (or how much room) go from the one to the other."""


def crew_links(levelled: LevelledPlan) -> tuple[CrewLink, ...]:
    """
    Return the levelled order as links between tasks.

    A schedule of the plan with these links has no activity later than the levelled plan;
    where everybody of a trade works on the calendar of its tasks, it also keeps the
    capacities. What waits for people to come back (and not for another task) gets no link.

    Returns
    -------
    tuple of CrewLink
        By the start of what waits; at most one a pair of tasks.
    """
    problem, finder = levelled.problem, _Finder(levelled)
    for number, limit in enumerate(problem.limits):
        for place, resource in enumerate(limit.resources):
            most = max(units[place] for _, units in limit.steps)
            finder.hand_on(number, place, resource, most)
    return tuple(finder.links())


class _Finder:
    """Collects the hand-overs of a levelled plan."""

    def __init__(self, levelled: LevelledPlan) -> None:
        self._levelled = levelled
        self._problem = levelled.problem
        self._ids = [one.id for one in levelled.planned.activities]
        self._order = sorted(
            range(len(self._ids)), key=lambda n: (levelled.begin[n], levelled.finish[n], n)
        )
        self._found: dict[tuple[int, int], Handover] = {}
        self._ends_before = _ends_before(self._problem, self._order)
        self._graph = _graph_with_leads(self._problem, levelled)

    def hand_on(self, limit: int, place: int, resource: Resource, most: int) -> None:
        """Hand the units of one resource on from task to task."""
        begin, finish = self._levelled.begin, self._levelled.finish
        last: list[int | None] = [None] * most
        for number in self._order:
            needs = sum(
                one.units[place]
                for one in self._problem.rows[number].asking
                if one.timeline == limit
            )
            if not needs:
                continue
            free = [
                unit
                for unit, user in enumerate(last)
                if user is None or finish[user] <= begin[number]
            ]
            free.sort(key=lambda unit: self._preference(last[unit], number))
            givers: dict[int, int] = {}
            for unit in free[:needs]:
                user, last[unit] = last[unit], number
                if user is not None:
                    givers[user] = givers.get(user, 0) + 1
            for user, units in givers.items():
                self._tie(user, number, Handover(resource.kind, resource.names, units))

    def links(self) -> Iterator[CrewLink]:
        """Return what was found, by the start of what waits."""
        place = {number: at for at, number in enumerate(self._order)}
        for (before, after), reason in sorted(
            self._found.items(), key=lambda one: (place[one[0][1]], place[one[0][0]])
        ):
            yield CrewLink(
                self._ids[before],
                self._ids[after],
                CrewLinkKind(reason.kind),
                reason.names,
                reason.units,
            )

    def _preference(self, user: int | None, number: int) -> tuple[int, int]:
        """Take from what must come before anyway, else from what has just ended."""
        if user is None:
            return 1, 0
        if self._is_tied(user, number):
            return 0, -self._levelled.finish[user]
        return 2, -self._levelled.finish[user]

    def _is_tied(self, before: int, after: int) -> bool:
        """Return whether a chain of links makes the one wait for the other's end."""
        return bool(self._ends_before[after] >> before & 1)

    def _tie(self, before: int, after: int, reason: Handover) -> None:
        """Keep a hand-over, unless the plan says so already or it would close a loop."""
        if self._is_tied(before, after) or self._problem.rows[after].deaf:
            return
        if self._graph is not None:
            if nx.has_path(self._graph, after, before):
                return
            self._graph.add_edge(before, after)
        self._found[before, after] = reason
        self._ends_before[after] |= self._ends_before[before] | (1 << before)


def _ends_before(problem: CrewProblem, order: list[int]) -> list[int]:
    """Return for each activity what must end before it begins, as a set of bits."""
    known = [0] * len(problem.rows)
    for number in order:
        for bound in problem.rows[number].bounds:
            if (
                bound.from_finish
                and not bound.to_finish
                and not problem.rows[number].deaf
                and (min(bound.elapsed_lag, bound.work_lag) >= 0)
            ):
                known[number] |= known[bound.before] | (1 << bound.before)
    return known


def _graph_with_leads(problem: CrewProblem, levelled: LevelledPlan) -> nx.DiGraph[int] | None:
    """Return all links as a graph if one of them lets its successor begin first."""
    edges = [
        (bound.before, number) for number, row in enumerate(problem.rows) for bound in row.bounds
    ]
    if all(levelled.begin[before] <= levelled.begin[after] for before, after in edges):
        return None
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(len(problem.rows)))
    graph.add_edges_from(edges)
    return graph
