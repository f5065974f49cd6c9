"""Forward and backward pass over a network, for one case or many at once.

With start s and finish f of an activity, and W_c the work before an instant on its
calendar c, a link with lag L demands of its successor

    FS  s >= f' (+) L      SS  s >= s' (+) L      FF  f >= f' (+) L      SF  f >= s' (+) L

where (+) counts L on the successor's calendar or in elapsed time. Starts move up to the
next working tick; a finish that falls outside working time moves up to the end of the
next worked tick; work is not split. The backward pass inverts each of these steps
exactly, so that a late date is the last that changes nothing (own derivation; checked
in tests/property against a re-scheduling oracle).

All arrays are by rank, shape (n, K), in ticks from the network's origin.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribstitch.planning.calendars import Ints, WorkTables
from ribstitch.planning.network import FAR, Block, Level, Network, Values


@dataclass(frozen=True, slots=True)
class EarlyDates:
    """
    Result of the forward pass.

    `begin` is where the remaining work begins, which is the start of work not begun;
    `event` holds starts (actual ones where known) and finishes, shape (2n, K);
    `finish` is the project finish, shape (K,).
    """

    begin: Ints
    event: Ints
    finish: Ints

    @property
    def start(self) -> Ints:
        """Start of each activity: actual where known."""
        return self.event[: len(self.begin)]

    @property
    def end(self) -> Ints:
        """Finish of each activity: actual where known."""
        return self.event[len(self.begin) :]


@dataclass(frozen=True, slots=True)
class LateDates:
    """Result of the backward pass: late begin and late finish."""

    begin: Ints
    end: Ints


def forward(network: Network, values: Values) -> EarlyDates:
    """
    Compute the earliest dates.

    O((n + m) K log D) for m links and D dates; one numpy step per level.
    """
    size, tables = network.size, network.tables
    columns = max(values.work.shape[1], values.floor.shape[1])
    begin = np.empty((size, columns), dtype=np.int64)
    event = np.empty((2 * size, columns), dtype=np.int64)
    for level in network.levels:
        part = slice(level.first, level.last)
        calendar, work = network.calendar[part], values.work[part]
        bound = np.empty((level.last - level.first, columns), dtype=np.int64)
        bound[:] = values.floor[part]
        if level.starts is not None:
            required = _required(tables, event, level.starts)
            where = level.starts.bounded
            deaf = values.deaf[part][where]
            if deaf.any():
                required = np.where(deaf, -FAR, required)
            if where.size == len(bound):
                np.maximum(bound, required, out=bound)
            else:
                bound[where] = np.maximum(bound[where], required)
        starts, ends = tables.run(calendar, bound, work)
        idle = work == 0
        if idle.any():
            starts = np.where(idle, bound, starts)
            ends = np.where(idle, bound, ends)
        if level.finishes is not None:
            where = level.finishes.bounded
            required = _required(tables, event, level.finishes)
            starts[where], ends[where] = _pushed(
                tables, calendar[where], np.broadcast_to(work, starts.shape)[where],
                starts[where], ends[where], required,
            )  # fmt: skip
        begin[part] = starts
        known, done = values.started[part] >= 0, values.done[part]
        if known.any():
            starts = np.where(known, values.started[part], starts)
        if done.any():
            starts = np.where(done, values.started[part], starts)
            ends = np.where(done, values.finished[part], ends)
            begin[part] = np.where(done, starts, begin[part])
        event[part] = starts
        event[size + level.first : size + level.last] = ends
    counted = np.where(values.dropped, -FAR, event[size:])
    finish = counted.max(axis=0) if size else np.full(columns, -FAR, dtype=np.int64)
    return EarlyDates(begin, event, finish)


def backward(
    network: Network, values: Values, early: EarlyDates, *, with_deadlines: bool = True
) -> LateDates:
    """
    Compute the latest dates that leave the project finish (and deadlines) where they are.

    Late dates of finished work are its actual ones.
    """
    size, tables = network.size, network.tables
    columns = early.begin.shape[1]
    begin = np.empty((size, columns), dtype=np.int64)
    end = np.empty((size, columns), dtype=np.int64)
    event = np.empty((2 * size, columns), dtype=np.int64)
    latest = np.where(values.dropped, FAR, early.finish[None, :])
    if with_deadlines:
        latest = np.minimum(latest, values.deadline)
    for level in reversed(network.levels):
        part = slice(level.first, level.last)
        finish_bound, start_bound = _late_bounds(tables, event, level, latest[part])
        if start_bound is not None:
            start_bound = np.where(values.under_way[part], FAR, start_bound)
        starts, ends = _latest_position(
            tables, network.calendar[part], values.work[part], finish_bound, start_bound
        )
        done, deaf = values.done[part], values.deaf[part]
        event[part], event[size + level.first : size + level.last] = starts, ends
        if done.any() or deaf.any():
            event[part] = np.where(done | deaf, FAR, starts)
            event[size + level.first : size + level.last] = np.where(done, FAR, ends)
            starts = np.where(done, early.begin[part], starts)
            ends = np.where(done, early.end[part], ends)
        begin[part], end[part] = starts, ends
    return LateDates(begin, end)


def total_float(network: Network, early: EarlyDates, late: LateDates) -> Ints:
    """
    Return ``W_c(late begin) - W_c(early begin)`` of each activity, shape (n, K).

    Exactly the largest delay that leaves the project finish (and deadlines) where they
    are; negative by how much a deadline is missed. [ticks of the activity's calendar]
    """
    tables, calendar = network.tables, network.calendar
    return tables.work_before(calendar, late.begin) - tables.work_before(calendar, early.begin)


def free_float(network: Network, values: Values, early: EarlyDates) -> Ints:
    """
    Return the largest delay that moves no early date of a successor, shape (n, K).

    It is also kept within the project finish. [ticks of the activity's calendar]
    """
    size, tables = network.size, network.tables
    event = np.concatenate([early.begin, early.end])
    unbound = np.concatenate([values.done | values.deaf, values.done])
    if unbound.any():
        event = np.where(unbound, FAR, event)
    latest = np.empty_like(early.begin)
    latest[:] = early.finish[None, :]
    begin = np.empty((size, event.shape[1]), dtype=np.int64)
    for level in network.levels:
        part = slice(level.first, level.last)
        finish_bound, start_bound = _late_bounds(tables, event, level, latest[part])
        if start_bound is not None:
            start_bound = np.where(values.under_way[part], FAR, start_bound)
        begin[part], _ = _latest_position(
            tables, network.calendar[part], values.work[part], finish_bound, start_bound
        )
    calendar = network.calendar
    spare = tables.work_before(calendar, begin) - tables.work_before(calendar, early.begin)
    return np.where(values.done | values.dropped, 0, spare)


def _required(tables: WorkTables, event: Ints, block: Block) -> Ints:
    """Return the latest instant that the links of a block require, by activity."""
    return np.maximum.reduceat(link_instants(tables, event, block), block.segments, axis=0)


def link_instants(tables: WorkTables, event: Ints, block: Block) -> Ints:
    """Return the instant that each link of a block requires."""
    required: Ints = event[block.event]
    if block.elapsed_lag is not None:
        required += block.elapsed_lag
    if block.lagged is not None:
        required[block.lagged] = tables.add_work(
            block.lag_calendar, required[block.lagged], block.work_lag
        )
    return required


def _pushed(
    tables: WorkTables, calendar: Ints, work: Ints, starts: Ints, ends: Ints, required: Ints
) -> tuple[Ints, Ints]:
    """Move work as a whole so that it finishes at or after a required instant."""
    idle = work == 0
    valid = finish_at_or_after(tables, calendar, required)
    valid = np.where(idle, required, valid)
    pushed = valid > ends
    begun = tables.latest(calendar, tables.work_before(calendar, valid) - work)
    begun = np.where(idle, valid, begun)
    return np.where(pushed, begun, starts), np.where(pushed, valid, ends)


def finish_at_or_after(tables: WorkTables, calendar: Ints, required: Ints) -> Ints:
    """Return the first instant not before `required` that ends a worked tick."""
    done = tables.work_before(calendar, required)
    exact = tables.earliest(calendar, done)
    return np.where(exact < required, tables.earliest(calendar, done + 1), exact)


def _late_bounds(
    tables: WorkTables, event: Ints, level: Level, latest: Ints
) -> tuple[Ints, Ints | None]:
    """Return the upper bounds on the finishes and, where there are any, the starts."""
    finish_bound = latest
    if level.late_finishes is not None:
        where = level.late_finishes.bounded
        allowed = _allowed(tables, event, level.late_finishes)
        finish_bound = latest.copy()
        finish_bound[where] = np.minimum(latest[where], allowed)
    if level.late_starts is None:
        return finish_bound, None
    start_bound = np.full_like(latest, FAR)
    start_bound[level.late_starts.bounded] = _allowed(tables, event, level.late_starts)
    return finish_bound, start_bound


def _allowed(tables: WorkTables, event: Ints, block: Block) -> Ints:
    """Return the earliest of the instants that the links of a block allow."""
    allowed: Ints = event[block.event]
    if block.elapsed_lag is not None:
        allowed -= block.elapsed_lag
    if block.lagged is not None:
        calendar = block.lag_calendar
        work = tables.work_before(calendar, allowed[block.lagged])
        allowed[block.lagged] = tables.latest(calendar, work - block.work_lag)
    return np.minimum.reduceat(allowed, block.segments, axis=0)


def _latest_position(
    tables: WorkTables, calendar: Ints, work: Ints, finish_bound: Ints, start_bound: Ints | None
) -> tuple[Ints, Ints]:
    """Return the latest begin and finish within bounds on both."""
    done = tables.work_before(calendar, finish_bound)
    ends = tables.earliest(calendar, done)
    starts = tables.latest(calendar, done - work)
    idle = work == 0
    bound = finish_bound
    if start_bound is not None:
        bound = np.minimum(finish_bound, start_bound)
        early = start_bound < starts
        if early.any():
            worked = tables.next_working(calendar, start_bound) == start_bound
            before = tables.earliest(calendar, tables.work_before(calendar, start_bound)) - 1
            begun = np.where(worked, start_bound, before)
            starts = np.where(early, begun, starts)
            ends = np.where(early, tables.add_work(calendar, begun, work), ends)
    if idle.any():
        starts = np.where(idle, bound, starts)
        ends = np.where(idle, bound, ends)
    return starts, ends
