"""Whether starts and finishes are tied to other work, through links and send-outs.

A dropped task is no work, but it passes on what it waits for: a link that leads only into
dropped tasks with nothing beyond them ties nothing. The order of the crew is no tie
either: it says who is busy, and not what the work needs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ribstitch.planning.model import Link, Relation
from ribstitch.planning.network import Flags
from ribstitch.planning.schedule import Schedule

_INTO_START = (Relation.FINISH_START, Relation.START_START)
_FROM_FINISH = (Relation.FINISH_START, Relation.FINISH_FINISH)


@dataclass(frozen=True, slots=True)
class Ties:
    """By order of entry, shape (n,): which events of each activity are tied."""

    start: Flags
    """Something must come before its start."""
    finish: Flags
    """Something must come before its finish."""
    from_start: Flags
    """Something waits for its start."""
    from_finish: Flags
    """Something waits for its finish."""

    @property
    def before(self) -> Flags:
        """Something comes before it."""
        either: Flags = self.start | self.finish
        return either

    @property
    def after(self) -> Flags:
        """Something comes after it."""
        either: Flags = self.from_start | self.from_finish
        return either


def ties_of(schedule: Schedule) -> Ties:
    """Return what is tied; the legs of one send-out among each other do not count."""
    prepared, activities = schedule.prepared, schedule.activities
    size, number = len(activities), prepared.number
    out: list[list[Link]] = [[] for _ in range(size)]
    into: list[list[Link]] = [[] for _ in range(size)]
    for link in _between(schedule):
        out[number[link.before]].append(link)
        into[number[link.after]].append(link)
    flags = [np.zeros(size, dtype=bool) for _ in range(4)]
    start, finish, from_start, from_finish = flags
    order = prepared.network.order.tolist()
    for at in order:
        if not activities[at].dropped or start[at] or finish[at]:
            for link in out[at]:
                side = start if link.relation in _INTO_START else finish
                side[number[link.after]] = True
    for at in reversed(order):
        if not activities[at].dropped or from_start[at] or from_finish[at]:
            for link in into[at]:
                side = from_finish if link.relation in _FROM_FINISH else from_start
                side[number[link.before]] = True
    return Ties(start, finish, from_start, from_finish)


def work_links(schedule: Schedule) -> tuple[Link, ...]:
    """Return the links of the work itself: the plan's own, and those of its send-outs."""
    expansion = schedule.prepared.expansion
    return expansion.links[: len(expansion.links) - len(expansion.crew_links)]


def _between(schedule: Schedule) -> Iterable[Link]:
    """Yield the links that are not inside one send-out."""
    number, activities = schedule.prepared.number, schedule.activities
    for link in work_links(schedule):
        before = activities[number[link.before]].send_out
        if before is None or before != activities[number[link.after]].send_out:
            yield link
