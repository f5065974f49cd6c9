"""The structure of a plan as arrays: activities level by level, links by level.

Only ids, calendars and links shape a `Network`; what the work takes and how far it has
come is in `Values`. So a change of status needs new values and no new structure.
networkx holds the graph, names a loop, and gives the levels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.activities import Activity
from ribstitch.planning.calendars import Ints, On, WorkTables
from ribstitch.planning.errors import CycleError
from ribstitch.planning.model import Calendar, LagOn, Link, OutOfSequence, Relation
from ribstitch.planning.ticks import TICKS_PER_DAY

Flags = NDArray[np.bool_]

FAR = np.int64(1 << 50)
"""An instant that bounds nothing. [ticks]"""

_FROM_FINISH = (Relation.FINISH_START, Relation.FINISH_FINISH)
_TO_FINISH = (Relation.FINISH_FINISH, Relation.START_FINISH)


@dataclass(frozen=True, slots=True)
class Block:
    """
    Some m links of one level, grouped by the activity whose event they bound.

    Attributes
    ----------
    event
        Where each link's given event stands among the 2n events: starts, then finishes.
    segments
        Where each bounded activity's links begin, for a grouped reduction.
    bounded
        The bounded activities, each once, by their place in the level.
    on
        Their calendars.
    elapsed_lag
        Lag on elapsed time of each link, shape (m,); None where there is none. [ticks]
    lagged, lag_on, work_lag
        Which k of the links have a lag on working time, on which calendars, how much.
    """

    event: Ints
    segments: Ints
    bounded: Ints
    on: On
    elapsed_lag: Ints | None
    lagged: Ints | None
    lag_on: On
    work_lag: Ints


@dataclass(frozen=True, slots=True)
class Level:
    """Activities that wait for nothing but earlier levels, from rank `first`."""

    first: int
    part: slice
    """Where the level's starts stand among the 2n events."""
    end_part: slice
    """Where its finishes stand."""
    on: On
    starts: Block | None
    """Links that bound the starts of these activities from below."""
    finishes: Block | None
    """Links that bound their finishes from below."""
    late_finishes: Block | None
    """Links that bound their finishes from above."""
    late_starts: Block | None
    """Links that bound their starts from above."""


@dataclass(frozen=True, slots=True)
class LinkArrays:
    """All m links in order of entry; every array of shape (m,)."""

    before: Ints
    after: Ints
    event_before: Ints
    event_after: Ints
    to_finish: Flags
    elapsed_lag: Ints
    work_lag: Ints
    on: On
    """The successors' calendars, on which working lags count."""


class Network:
    """
    n activities in rank order (level by level), with their links.

    Raises
    ------
    CycleError
        If links close a loop; lists every member in order.
    """

    def __init__(
        self,
        ids: tuple[str, ...],
        calendar_of: tuple[str, ...],
        links: tuple[Link, ...],
        calendars: tuple[Calendar, ...],
        first: int,
        days: int,
    ) -> None:
        self.size = len(ids)
        self.origin = TICKS_PER_DAY * first
        self.limit = TICKS_PER_DAY * days
        self.tables = WorkTables(calendars, first, days)
        number = {name: place for place, name in enumerate(ids)}
        self.graph: nx.DiGraph[int] = nx.DiGraph()
        self.graph.add_nodes_from(range(self.size))
        self.graph.add_edges_from((number[link.before], number[link.after]) for link in links)
        levels = self._levels(ids)
        self.order: Ints = np.array([one for level in levels for one in level], dtype=np.int64)
        """Activity number (order of entry) at each rank."""
        self.rank: Ints = np.empty(self.size, dtype=np.int64)
        """Rank of each activity, the inverse of `order`."""
        self.rank[self.order] = np.arange(self.size)
        calendar_number = {calendar.id: place for place, calendar in enumerate(calendars)}
        by_entry = np.array([calendar_number[name] for name in calendar_of], dtype=np.int64)
        self.on: On = self.tables.on(by_entry[self.order])
        """Calendar of each activity by rank."""
        self.links = self._link_arrays(links, number)
        edges = np.cumsum([0] + [len(level) for level in levels])
        self.levels = self._build_levels(edges)

    def _levels(self, ids: Sequence[str]) -> list[list[int]]:
        """Return the activity numbers level by level, or name the loop."""
        try:
            return [sorted(level) for level in nx.topological_generations(self.graph)]
        except nx.NetworkXUnfeasible:
            loop = [edge[0] for edge in nx.find_cycle(self.graph)]
            raise CycleError([ids[one] for one in loop]) from None

    def _link_arrays(self, links: Sequence[Link], number: dict[str, int]) -> LinkArrays:
        """Turn links into arrays, activities by rank."""
        count = len(links)

        def ints(values: list[int]) -> Ints:
            return np.array(values, dtype=np.int64).reshape(count)

        before = self.rank[ints([number[link.before] for link in links])]
        after = self.rank[ints([number[link.after] for link in links])]
        from_finish = np.array([link.relation in _FROM_FINISH for link in links], dtype=bool)
        to_finish = np.array([link.relation in _TO_FINISH for link in links], dtype=bool)
        lag = ints([link.lag for link in links])
        on_work = np.array([link.lag_on is LagOn.WORK for link in links], dtype=bool)
        return LinkArrays(
            before=before,
            after=after,
            event_before=before + self.size * from_finish,
            event_after=after + self.size * to_finish,
            to_finish=to_finish,
            elapsed_lag=np.where(on_work, 0, lag),
            work_lag=np.where(on_work, lag, 0),
            on=self.on[after],
        )

    def _build_levels(self, edges: Ints) -> tuple[Level, ...]:
        """Sort the links into the blocks of each level."""
        links, size = self.links, self.size
        from_finish = links.event_before >= size
        early_start = self._blocks(~links.to_finish, links.after, links.event_before, edges)
        early_finish = self._blocks(links.to_finish, links.after, links.event_before, edges)
        late_finish = self._blocks(from_finish, links.before, links.event_after, edges)
        late_start = self._blocks(~from_finish, links.before, links.event_after, edges)
        blocks = zip(early_start, early_finish, late_finish, late_start, strict=True)
        return tuple(
            Level(
                first, slice(first, last), slice(size + first, size + last),
                self.on[first:last], *four,
            )
            for first, last, four in zip(
                edges[:-1].tolist(), edges[1:].tolist(), blocks, strict=True
            )
        )  # fmt: skip

    def _blocks(self, chosen: Flags, bounded: Ints, event: Ints, edges: Ints) -> list[Block | None]:
        """Group the chosen links by the activity they bound, one block a level."""
        links = self.links
        picked = np.flatnonzero(chosen)
        picked = picked[np.argsort(bounded[picked], kind="stable")]
        cuts = np.searchsorted(bounded[picked], edges)
        blocks: list[Block | None] = []
        for n, first in enumerate(edges[:-1]):
            some = picked[cuts[n] : cuts[n + 1]]
            if some.size == 0:
                blocks.append(None)
                continue
            ranks, segments = np.unique(bounded[some], return_index=True)
            elapsed = links.elapsed_lag[some]
            lagged = np.flatnonzero(links.work_lag[some])
            blocks.append(
                Block(
                    event=event[some],
                    segments=segments.astype(np.int64),
                    bounded=ranks - first,
                    on=self.on[ranks],
                    elapsed_lag=elapsed if elapsed.any() else None,
                    lagged=lagged if lagged.size else None,
                    lag_on=links.on[some[lagged]],
                    work_lag=links.work_lag[some[lagged]],
                )
            )
        return blocks


@lru_cache(maxsize=16)
def network_of(
    ids: tuple[str, ...],
    calendar_of: tuple[str, ...],
    links: tuple[Link, ...],
    calendars: tuple[Calendar, ...],
    first: int,
    days: int,
) -> Network:
    """Return the network of a structure, built once while it is in use."""
    return Network(ids, calendar_of, links, calendars, first, days)


@dataclass(frozen=True, slots=True)
class Values:
    """
    What the work takes and how far it has come; all arrays by rank, shape (n,).

    `work` and `floor` may be (K, n): K cases computed at once. [ticks from the origin]
    """

    work: Ints
    floor: Ints
    started: Ints
    """Actual start; -1 where there is none."""
    finished: Ints
    """Actual finish; -1 where there is none."""
    deadline: Ints
    done: Flags
    under_way: Flags
    deaf: Flags
    """Work begun that does not wait for what should have come first; legs never do."""
    dropped: Flags


def values_of(network: Network, activities: Sequence[Activity], rule: OutOfSequence) -> Values:
    """Gather the values of activities (in order of entry) for their network."""
    count, origin = network.size, network.origin

    def column(entries: list[int]) -> Ints:
        return np.array(entries, dtype=np.int64).reshape(count)[network.order]

    def flags(entries: list[bool]) -> Flags:
        return np.array(entries, dtype=bool).reshape(count)[network.order]

    def instants(entries: list[int | None], missing: int) -> Ints:
        return column([missing if entry is None else entry - origin for entry in entries])

    work = column([one.work for one in activities])
    floor = column([one.floor - origin for one in activities])
    started = instants([one.started for one in activities], -1)
    under_way = flags([one.is_under_way for one in activities])
    goes_on = rule is OutOfSequence.CARRY_ON
    from_start = flags([one.counts_from_start for one in activities])
    if from_start.any():
        tables, on = network.tables, network.on
        gone = tables.work_before(on, floor) - tables.work_before(on, started)
        work = np.where(from_start, np.maximum(work - gone, 0), work)
    return Values(
        work=work,
        floor=floor,
        started=started,
        finished=instants([one.finished for one in activities], -1),
        deadline=instants([one.deadline for one in activities], int(FAR)),
        done=flags([one.is_done for one in activities]),
        under_way=under_way,
        deaf=under_way & flags([goes_on or one.leg is not None for one in activities]),
        dropped=flags([one.dropped for one in activities]),
    )
