"""Who keeps whom waiting: tasks that could begin, but for people or room that others have."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.model import CrewLink
from ribstitch.planning.network import FAR
from ribstitch.planning.passes import finish_at_or_after
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at


@dataclass(frozen=True, slots=True)
class CrewWait:
    """
    A task whose start is set by a crew link.

    Attributes
    ----------
    link
        The crew link, as it is in force (`planning.crew_order`).
    since
        Where the task would begin by everything that it waits for but the crew. [ticks]
    until
        Where it begins. [ticks]
    on_path
        Whether the link is one of those that set the project finish.
    """

    link: CrewLink
    since: int
    until: int
    on_path: bool

    @property
    def days(self) -> int:
        """Elapsed dates from the one to the other; 0 within one date."""
        return (date_at(self.until) - date_at(self.since)).days

    @property
    def weeks(self) -> float:
        """The same in weeks."""
        return (self.until - self.since) / (7 * TICKS_PER_DAY)


def crew_waits(schedule: Schedule) -> tuple[CrewWait, ...]:
    """
    Return the crew links that make a task begin later than it could, longest wait first.

    A task that waits for several at once has one wait for each, all of the same length:
    it begins no earlier while one of them is left.

    Parameters
    ----------
    schedule
        The plan as it stands.
    """
    prepared = schedule.prepared
    expansion = prepared.expansion
    first = len(expansion.links) - len(expansion.crew_links)
    since = _begins_without_crew(schedule, first)
    path = set(pairwise(schedule.critical_path))
    found = []
    for place in np.flatnonzero(schedule.driving[first:]).tolist():
        link = expansion.crew_links[place]
        before, after = prepared.number[link.before], prepared.number[link.after]
        until = int(schedule.begin[after])
        if int(since[after]) < until and not schedule.activities[after].dropped:
            found.append(CrewWait(link, int(since[after]), until, (before, after) in path))
    return tuple(sorted(found, key=lambda one: one.since - one.until))


def _begins_without_crew(schedule: Schedule, first: int) -> Ints:
    """
    Return where each activity would begin by its other links, all else as scheduled.

    Parameters
    ----------
    schedule
        The plan as it stands.
    first
        The number of the first crew link.

    Returns
    -------
    array
        By order of entry, shape (n,). [ticks]
    """
    network, values = schedule.prepared.network, schedule.prepared.values
    tables, links, on = network.tables, network.links, network.on
    starts, ends = (side[network.order] for side in (schedule.start, schedule.finish))
    event = np.concatenate([starts, ends])[links.event_before[:first]] - network.origin
    required = event + links.elapsed_lag[:first]
    lagged = np.flatnonzero(links.work_lag[:first])
    required[lagged] = tables.add_work(links.on[lagged], required[lagged], links.work_lag[lagged])
    to_finish, after = links.to_finish[:first], links.after[:first]
    from_start = ~to_finish & ~values.deaf[after]
    bound, finish = values.floor.copy(), np.full(network.size, -FAR)
    np.maximum.at(bound, after[from_start], required[from_start])
    np.maximum.at(finish, after[to_finish], required[to_finish])
    begin, end = tables.run(on, bound, values.work)
    idle = values.work == 0
    begin, end = np.where(idle, bound, begin), np.where(idle, bound, end)
    asked = np.where(idle, finish, finish_at_or_after(tables, on, finish))
    pushed = tables.latest(on, tables.work_before(on, asked) - values.work)
    begin = np.where(asked > end, np.where(idle, asked, pushed), begin)
    found: Ints = begin[network.rank] + network.origin
    return found
