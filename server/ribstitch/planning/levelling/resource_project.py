"""A project with limited resources in plain integer time, without calendars.

The classical problem: activities that are not interrupted, each with a duration and a
demand on resources that come back when it ends, tied by minimum time lags; wanted are
starts that keep every capacity and finish early. Times are whole periods from 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import networkx as nx

from ribstitch.planning.errors import CycleError, InvalidValueError

Neighbours = tuple[tuple[int, int], ...]
"""Activities with the lag to each, between starts. [periods]"""


@dataclass(frozen=True)
class StartLag:
    """Activity `after` may start `lag` periods after the start of `before`, not earlier."""

    before: int
    after: int
    lag: int


@dataclass(frozen=True)
class ResourceProject:
    """
    n activities and R resources.

    Attributes
    ----------
    durations
        Shape (n,), 0 or more. [periods]
    demands
        Units of each resource while an activity runs, n rows of R.
    capacities
        Units that there are of each resource, shape (R,).
    lags
        Minimum time lags between starts; a finish-start link has the duration of
        `before` as its lag.
    names, resource_names
        What to call activities and resources in a sentence; numbers from 1 by default.

    Raises
    ------
    InvalidValueError
        If numbers are negative, rows are of the wrong length, a link names an activity
        that is not there, or an activity asks for more than there is of a resource.
    CycleError
        If the lags close a loop.
    """

    durations: tuple[int, ...]
    demands: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]
    lags: tuple[StartLag, ...]
    names: tuple[str, ...] = ()
    resource_names: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        size = len(self.durations)
        names = self.names or tuple(str(number + 1) for number in range(size))
        resources = self.resource_names or tuple(str(n + 1) for n in range(len(self.capacities)))
        object.__setattr__(self, "names", names)
        object.__setattr__(self, "resource_names", resources)
        if len(self.demands) != size:
            raise InvalidValueError("demands", f"{len(self.demands)} rows for {size} activities")
        for number in range(size):
            self._check(number)
        for lag in self.lags:
            if not (0 <= lag.before < size and 0 <= lag.after < size):
                raise InvalidValueError("lags", f"{lag} names an activity that is not there", lag)
        _ = self.topological

    @property
    def size(self) -> int:
        """Number of activities, n."""
        return len(self.durations)

    @cached_property
    def topological(self) -> tuple[int, ...]:
        """The activities in an order in which nothing comes before what it waits for."""
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from(range(self.size))
        graph.add_edges_from((lag.before, lag.after) for lag in self.lags)
        try:
            return tuple(nx.lexicographical_topological_sort(graph))
        except nx.NetworkXUnfeasible:
            loop = [edge[0] for edge in nx.find_cycle(graph)]
            raise CycleError([self.names[one] for one in loop]) from None

    @cached_property
    def has_leads(self) -> bool:
        """Whether something may start before what it waits for starts."""
        return any(lag.lag < 0 for lag in self.lags)

    @cached_property
    def before(self) -> tuple[Neighbours, ...]:
        """For each activity what it waits for, as (activity, lag)."""
        return self._grouped((lag.after, lag.before, lag.lag) for lag in self.lags)

    @cached_property
    def after(self) -> tuple[Neighbours, ...]:
        """For each activity what waits for it, as (activity, lag)."""
        return self._grouped((lag.before, lag.after, lag.lag) for lag in self.lags)

    @cached_property
    def horizon(self) -> int:
        """Periods in which everything can be done one after the other."""
        slack = sum(max(0, lag.lag - self.durations[lag.before]) for lag in self.lags)
        return sum(self.durations) + slack

    @cached_property
    def mirrored(self) -> ResourceProject:
        """
        The same project with time reversed.

        With starts s and makespan T of the one, T - s - d are starts of the other.
        """
        took = self.durations
        lags = tuple(
            StartLag(one.after, one.before, one.lag + took[one.after] - took[one.before])
            for one in self.lags
        )
        return ResourceProject(
            took, self.demands, self.capacities, lags, self.names, self.resource_names
        )

    def makespan(self, starts: Sequence[int]) -> int:
        """Return when the last activity ends. [periods]"""
        ends = (start + took for start, took in zip(starts, self.durations, strict=True))
        return max(ends, default=0)

    def _grouped(self, rows: Iterable[tuple[int, int, int]]) -> tuple[Neighbours, ...]:
        """Group (activity, other, lag) by activity, the longest lag of a pair only."""
        found: list[dict[int, int]] = [{} for _ in range(self.size)]
        for one, other, lag in rows:
            found[one][other] = max(lag, found[one].get(other, lag))
        return tuple(tuple(others.items()) for others in found)

    def _check(self, number: int) -> None:
        """Refuse an activity that makes no sense or can never be done."""
        name, row = self.names[number], self.demands[number]
        if self.durations[number] < 0:
            raise InvalidValueError(
                f"activity {name}", f"a duration of {self.durations[number]} cannot be"
            )
        if len(row) != len(self.capacities):
            raise InvalidValueError(
                f"activity {name}",
                f"asks for {len(row)} resources where there are {len(self.capacities)}",
            )
        for asked, there, resource in zip(row, self.capacities, self.resource_names, strict=True):
            if asked < 0:
                raise InvalidValueError(f"activity {name}", f"a demand of {asked} cannot be")
            if asked > there and self.durations[number]:
                raise InvalidValueError(
                    f"activity {name}",
                    f"needs {asked} of resource {resource} at once and there are {there}: "
                    f"it takes a capacity of {asked}, or a smaller demand",
                    asked,
                )
