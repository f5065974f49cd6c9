"""Forward and backward pass over a network, for one case or many at once.

With start s and finish f of an activity, and W_c the work before an instant on its
calendar c, a link with lag L demands of its successor

    FS  s >= f' (+) L      SS  s >= s' (+) L      FF  f >= f' (+) L      SF  f >= s' (+) L

where (+) counts L on the successor's calendar or in elapsed time. Starts move up to the
next working tick; a finish that falls outside working time moves up to the end of the
next worked tick; work is not split. The backward pass inverts each of these steps
exactly, so that a late date is the last that changes nothing (own derivation; checked
in tests/property against a re-scheduling oracle).

All arrays are by rank, shape (n,) or, for K cases, (K, n); ticks from the network's
origin. One numpy step a level serves all cases.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribstitch.planning.calendars import Ints, On, WorkTables
from ribstitch.planning.network import FAR, Block, Flags, Level, Network, Values


@dataclass(frozen=True, slots=True)
class EarlyDates:
    """
    Result of the forward pass.

    `begin` is where the remaining work begins, which is the start of work not begun;
    `event` holds starts (actual ones where known) and finishes, 2n along the last axis;
    `finish` is the project finish, shape () or (K,).
    """

    begin: Ints
    event: Ints
    finish: Ints

    @property
    def start(self) -> Ints:
        """Start of each activity: actual where known."""
        return self.event[..., : self.begin.shape[-1]]

    @property
    def end(self) -> Ints:
        """Finish of each activity: actual where known."""
        return self.event[..., self.begin.shape[-1] :]


@dataclass(frozen=True, slots=True)
class LateDates:
    """Result of the backward pass: late begin and late finish."""

    begin: Ints
    end: Ints


def forward(network: Network, values: Values) -> EarlyDates:
    """
    Compute the earliest dates.

    O((n + m) K log D) for m links and D dates.
    """
    size, tables = network.size, network.tables
    shape = np.broadcast_shapes(values.work.shape, values.floor.shape)
    begin = np.empty(shape, dtype=np.int64)
    event = np.empty((*shape[:-1], 2 * size), dtype=np.int64)
    bounds = np.empty(shape, dtype=np.int64)
    bounds[:] = values.floor
    idle_levels = _levels_with(network, values.work == 0)
    known_levels = _levels_with(network, values.started >= 0)
    for level, has_idle, has_known in zip(network.levels, idle_levels, known_levels, strict=True):
        part = level.part
        bound, work = bounds[..., part], values.work[..., part]
        if level.starts is not None:
            _raise_starts(tables, event, level.starts, bound, values.deaf[part])
        starts, ends = tables.run(level.on, bound, work)
        if has_idle:
            idle = work == 0
            starts = np.where(idle, bound, starts)
            ends = np.where(idle, bound, ends)
        if level.finishes is not None:
            _push(tables, event, level.finishes, work, starts, ends)
        begin[..., part] = starts
        if has_known:
            done, known = values.done[part], values.started[part] >= 0
            starts = np.where(known, values.started[part], starts)
            ends = np.where(done, values.finished[part], ends)
            begin[..., part] = np.where(done, starts, begin[..., part])
        event[..., part] = starts
        event[..., level.end_part] = ends
    ends = np.where(values.dropped, -FAR, event[..., size:])
    return EarlyDates(begin, event, ends.max(axis=-1, initial=-FAR))


def backward(
    network: Network, values: Values, early: EarlyDates, *, with_deadlines: bool = True
) -> LateDates:
    """
    Compute the latest dates that leave the project finish (and deadlines) where they are.

    Late dates of what is done or dropped are its early ones: nothing waits for them.
    """
    tables = network.tables
    begin, end = np.empty_like(early.begin), np.empty_like(early.begin)
    event = np.empty_like(early.event)
    latest = np.where(values.dropped, FAR, early.finish[..., None])
    if with_deadlines:
        latest = np.minimum(latest, values.deadline)
    idle_levels = _levels_with(network, values.work == 0)
    deaf_levels = _levels_with(network, values.done | values.deaf)
    for level, has_idle, has_deaf in zip(
        network.levels[::-1], idle_levels[::-1], deaf_levels[::-1], strict=True
    ):
        part = level.part
        bound = latest[..., part]
        starts, ends = _latest_position(tables, event, level, bound, values, has_idle)
        begin[..., part], end[..., part] = starts, ends
        if has_deaf:
            done = values.done[part]
            starts = np.where(done | values.deaf[part], FAR, starts)
            ends = np.where(done, FAR, ends)
        event[..., part] = starts
        event[..., level.end_part] = ends
    settled = values.done | values.dropped
    return LateDates(np.where(settled, early.begin, begin), np.where(settled, early.end, end))


def total_float(network: Network, early: EarlyDates, late: LateDates) -> Ints:
    """
    Return ``W_c(late begin) - W_c(early begin)`` of each activity.

    Exactly the largest delay that leaves the project finish (and deadlines) where they
    are; negative by how much a deadline is missed. [ticks of the activity's calendar]
    """
    tables, on = network.tables, network.on
    return tables.work_before(on, late.begin) - tables.work_before(on, early.begin)


def free_float(network: Network, values: Values, early: EarlyDates) -> Ints:
    """
    Return the largest delay that moves no early date of a successor.

    It is also kept within the project finish. [ticks of the activity's calendar]
    """
    tables, on = network.tables, network.on
    deaf = np.concatenate([values.done | values.deaf, values.done])
    event = np.where(deaf, FAR, np.concatenate([early.begin, early.end], axis=-1))
    latest = np.broadcast_to(early.finish[..., None], early.begin.shape)
    begin = np.empty_like(early.begin)
    idle_levels = _levels_with(network, values.work == 0)
    for level, has_idle in zip(network.levels, idle_levels, strict=True):
        bound = latest[..., level.part]
        begin[..., level.part], _ = _latest_position(tables, event, level, bound, values, has_idle)
    spare = tables.work_before(on, begin) - tables.work_before(on, early.begin)
    return np.where(values.done | values.dropped, 0, spare)


def finish_at_or_after(tables: WorkTables, on: On, required: Ints) -> Ints:
    """Return the first instant not before `required` that ends a worked tick."""
    done = tables.work_before(on, required)
    exact = tables.earliest(on, done)
    return np.where(exact < required, tables.earliest(on, done + 1), exact)


def _levels_with(network: Network, flags: Flags) -> list[bool]:
    """Return which levels have an activity with a flag set (in any case)."""
    if not flags.any():
        return [False] * len(network.levels)
    anywhere = flags.reshape(-1, network.size).any(axis=0)
    first = [level.first for level in network.levels]
    found: list[bool] = np.logical_or.reduceat(anywhere, first).tolist()
    return found


def _raise_starts(tables: WorkTables, event: Ints, block: Block, bound: Ints, deaf: Flags) -> None:
    """Raise the lower bounds on starts to what the links of a block require."""
    required = _required(tables, event, block)
    if deaf.any():
        required = np.where(deaf[block.bounded], -FAR, required)
    if block.bounded.size == bound.shape[-1]:
        np.maximum(bound, required, out=bound)
    else:
        bound[..., block.bounded] = np.maximum(bound[..., block.bounded], required)


def _push(
    tables: WorkTables, event: Ints, block: Block, work: Ints, starts: Ints, ends: Ints
) -> None:
    """Move work as a whole so that it finishes no earlier than links require (in place)."""
    required, where = _required(tables, event, block), block.bounded
    if (required <= ends[..., where]).all():
        return
    amount = work[..., where]
    valid = np.where(amount == 0, required, finish_at_or_after(tables, block.on, required))
    begun = tables.latest(block.on, tables.work_before(block.on, valid) - amount)
    begun = np.where(amount == 0, valid, begun)
    pushed = valid > ends[..., where]
    starts[..., where] = np.where(pushed, begun, starts[..., where])
    ends[..., where] = np.where(pushed, valid, ends[..., where])


def _required(tables: WorkTables, event: Ints, block: Block) -> Ints:
    """Return the latest instant that the links of a block require, by activity."""
    required: Ints = event.take(block.event, axis=-1)
    if block.elapsed_lag is not None:
        required += block.elapsed_lag
    if block.lagged is not None:
        required[..., block.lagged] = tables.add_work(
            block.lag_on, required[..., block.lagged], block.work_lag
        )
    return np.maximum.reduceat(required, block.segments, axis=-1)


def _allowed(tables: WorkTables, event: Ints, block: Block) -> Ints:
    """Return the earliest instant that the links of a block allow, by activity."""
    allowed: Ints = event.take(block.event, axis=-1)
    if block.elapsed_lag is not None:
        allowed -= block.elapsed_lag
    if block.lagged is not None:
        work = tables.work_before(block.lag_on, allowed[..., block.lagged])
        allowed[..., block.lagged] = tables.latest(block.lag_on, work - block.work_lag)
    return np.minimum.reduceat(allowed, block.segments, axis=-1)


def _latest_position(
    tables: WorkTables, event: Ints, level: Level, latest: Ints, values: Values, has_idle: bool
) -> tuple[Ints, Ints]:
    """Return the latest begin and finish that the links out of a level allow."""
    bound, work = latest, values.work[..., level.part]
    if level.late_finishes is not None:
        allowed, where = _allowed(tables, event, level.late_finishes), level.late_finishes.bounded
        if where.size == bound.shape[-1]:
            bound = np.minimum(latest, allowed)
        else:
            bound = latest.copy()
            bound[..., where] = np.minimum(latest[..., where], allowed)
    done = tables.work_before(level.on, bound)
    ends = tables.earliest(level.on, done)
    starts = tables.latest(level.on, done - work)
    if level.late_starts is not None:
        allowed, where = _allowed(tables, event, level.late_starts), level.late_starts.bounded
        allowed = np.where(values.under_way[level.part][where], FAR, allowed)
        _pull(tables, level.late_starts.on, where, allowed, work, starts, ends)
        bound = bound.copy()
        bound[..., where] = np.minimum(bound[..., where], allowed)
    if has_idle:
        idle = work == 0
        starts, ends = np.where(idle, bound, starts), np.where(idle, bound, ends)
    return starts, ends


def _pull(
    tables: WorkTables, on: On, where: Ints, allowed: Ints, work: Ints, starts: Ints, ends: Ints
) -> None:
    """Move work as a whole so that it begins no later than allowed (in place)."""
    early = allowed < starts[..., where]
    if not early.any():
        return
    worked = tables.next_working(on, allowed) == allowed
    before = tables.earliest(on, tables.work_before(on, allowed)) - 1
    begun = np.where(worked, allowed, before)
    over = tables.add_work(on, begun, work[..., where])
    starts[..., where] = np.where(early, begun, starts[..., where])
    ends[..., where] = np.where(early, over, ends[..., where])
