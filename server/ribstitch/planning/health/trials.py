"""Practices 5 and 6: change the plan a little, and see whether the finish answers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.health.check import Found, Offender, in_days
from ribstitch.planning.health.look import Look
from ribstitch.planning.passes import EarlyDates, backward, forward, total_float
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks

_DELAY = 600 * TICKS_PER_DAY
"""As in the DCMA 14-point assessment: more than any float. [ticks]"""
_AT_ONCE = 64
"""So many cases are computed in one pass."""


def try_out(look: Look) -> Iterator[tuple[str, Found]]:
    """Yield what the trials show, by check."""
    yield "slip_moves_finish", _slip(look)
    yield "path_absorbs_delay", _absorbed(look)


def _slip(look: Look) -> Found:
    """
    Start the first task that can be begun later than its float allows, by one tick.

    The finish must move. The float is the one against the project finish, without
    deadlines.
    """
    schedule, prepared = look.schedule, look.schedule.prepared
    waiting = [
        number
        for number in look.open_tasks
        if look.activities[number].work and look.activities[number].started is None
    ]
    if not waiting:
        return Found(0, 0)
    number = min(waiting, key=lambda one: (int(schedule.begin[one]), one))
    rank = prepared.network.rank[[number]]
    early = forward(prepared.network, prepared.values)
    late = backward(prepared.network, prepared.values, early, with_deadlines=False)
    spare = int(total_float(prepared.network, early, late)[rank[0]])
    later = _started_later(prepared, early, rank, spare + 1)
    if forward(prepared.network, replace(prepared.values, floor=later)).finish > early.finish:
        return Found(0, 1)
    note = f"a start after its {in_days(days_from_ticks(spare))} to spare leaves the finish"
    return Found(1, 1, (Offender(look.activities[number].id, note),))


def _absorbed(look: Look) -> Found:
    """
    Make each step of the critical path 600 days longer, and start it 600 days later instead.

    Both must lead to the same finish, whatever calendars follow. Where the longer step
    leads to an earlier one, days on it are lost: nothing waits for its finish, or its start
    is free to move ahead.
    """
    path = [number for number in look.schedule.critical_path if look.activities[number].work]
    offenders: list[Offender] = []
    for first in range(0, len(path), _AT_ONCE):
        some = path[first : first + _AT_ONCE]
        for number, moved in zip(some, _moves(look.schedule.prepared, some), strict=True):
            if moved is not None:
                note = f"600 days more on it move the finish by {in_days(days_from_ticks(moved))}"
                offenders.append(Offender(look.activities[number].id, note))
    return Found(len(offenders), len(path), tuple(offenders))


def _moves(prepared: Prepared, numbers: Sequence[int]) -> list[int | None]:
    """
    Return by how much the finish moves where a delay is lost, and None where it is not.

    On the calendar of the activity that is delayed. [ticks]
    """
    network, values = prepared.network, prepared.values
    rank, count = network.rank[list(numbers)], len(numbers)
    early = forward(network, values)
    work = np.tile(values.work, (count, 1))
    work[np.arange(count), rank] += _DELAY
    longer = forward(network, replace(values, work=work))
    shifted = forward(network, replace(values, floor=_started_later(prepared, early, rank, _DELAY)))
    if not (prepared.fits(longer) and prepared.fits(shifted)):
        return _moves(prepared.wider(), numbers)
    on = network.on[rank]
    moved = network.tables.work_before(on, longer.finish)
    moved -= network.tables.work_before(on, np.broadcast_to(early.finish, (count,)))
    lost = longer.finish < shifted.finish
    return [int(one) if is_lost else None for one, is_lost in zip(moved, lost, strict=True)]


def _started_later(prepared: Prepared, early: EarlyDates, rank: Ints, ticks: int) -> Ints:
    """Return floors that start one activity later in each case. Shape (len(rank), n)."""
    network = prepared.network
    on, case = network.on[rank], np.arange(rank.size)
    begun = network.tables.work_before(on, early.begin[rank])
    floor = np.tile(prepared.values.floor, (rank.size, 1))
    floor[case, rank] = network.tables.latest(on, begun + ticks)
    return floor
