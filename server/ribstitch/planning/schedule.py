"""The schedule of a plan: dates, floats, what drives what, the critical path.

`schedule(plan)` is the one door to the passes. It widens the calendars' range until
every date fits, so that a caller never meets the edge of a table.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

import numpy as np

from ribstitch.planning.activities import Activity, floor_of
from ribstitch.planning.calendars import Ints
from ribstitch.planning.checks import check_plan
from ribstitch.planning.model import Milestone, Plan
from ribstitch.planning.network import Flags, Network, Values
from ribstitch.planning.passes import (
    EarlyDates,
    LateDates,
    backward,
    finish_at_or_after,
    forward,
    free_float,
    total_float,
)
from ribstitch.planning.prepared import Prepared, prepare
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before


@dataclass(frozen=True)
class Schedule:
    """
    Dates of one plan; arrays by order of entry, shape (n,), instants in ticks.

    `start` and `finish` are actual where known; `begin` is where the remaining work
    begins. `driving` lists for each activity the links (by number) that set its date.
    """

    prepared: Prepared
    start: Ints
    begin: Ints
    finish: Ints
    late_begin: Ints
    late_finish: Ints
    total_float: Ints
    free_float: Ints
    project_finish: int
    driving: Flags = field(repr=False)
    """Which links (in the expansion's order) set their successor's date, shape (m,)."""

    @property
    def activities(self) -> tuple[Activity, ...]:
        """The scheduled activities, in order of entry."""
        return self.prepared.expansion.activities

    @property
    def finish_on(self) -> date:
        """The project's finish date: that of its last worked tick."""
        return self.project_finish_on(self.project_finish)

    def project_finish_on(self, instant: int) -> date:
        """
        Return the date of a project finish at an instant.

        Not before the as-of date, unless all is done; without any work, the start.
        """
        states = [one.is_done for one in self.activities if not one.dropped]
        if not states:
            return self.prepared.plan.project.start
        if all(states):
            return date_before(instant)
        return max(date_before(instant), date_at(floor_of(self.prepared.plan)))

    @cached_property
    def _last(self) -> tuple[int, ...]:
        """The activities that end at the project finish."""
        return tuple(
            place
            for place, one in enumerate(self.activities)
            if not one.dropped and int(self.finish[place]) == self.project_finish
        )

    def number(self, activity_id: str) -> int:
        """Return the order of entry of an activity."""
        return self.prepared.number[activity_id]

    @cached_property
    def drivers(self) -> tuple[tuple[int, ...], ...]:
        """The activities whose links set the date of each; dropped ones pass it on."""
        found: list[list[int]] = [[] for _ in self.activities]
        number = self.prepared.number
        links = self.prepared.expansion.links
        for place in np.flatnonzero(self.driving).tolist():
            found[number[links[place].after]].append(number[links[place].before])
        return tuple(
            tuple(dict.fromkeys(self._behind_dropped(found, drivers))) for drivers in found
        )

    def _behind_dropped(self, found: list[list[int]], drivers: list[int]) -> Iterator[int]:
        """Yield drivers, and in place of a dropped one what sets its date."""
        todo = list(drivers)
        while todo:
            at = todo.pop(0)
            if self.activities[at].dropped:
                todo += found[at]
            else:
                yield at

    def is_critical(self, number: int) -> bool:
        """Return whether an activity has no float and is still to be finished."""
        one = self.activities[number]
        return not one.is_done and not one.dropped and int(self.total_float[number]) <= 0

    def urgency(self, number: int) -> tuple[int, int, int]:
        """
        Return the key that puts first what protects the finish.

        The least total float, then the earliest late start, then the order of entry.
        """
        return int(self.total_float[number]), int(self.late_begin[number]), number

    @cached_property
    def critical_path(self) -> tuple[int, ...]:
        """The unfinished activities that set the project finish, first to last."""
        last = self._last
        inner = {before for place in last for before in self.drivers[place]}
        ends = [place for place in last if place not in inner]
        return self.chain_to(min(ends, key=self._preference)) if ends else ()

    def chain_to(self, number: int) -> tuple[int, ...]:
        """Return the chain of driving links that ends with an activity, first to last."""
        chain: list[int] = []
        at: int | None = number
        while at is not None and not self.activities[at].is_done:
            chain.append(at)
            at = min(self.drivers[at], key=self._preference, default=None)
        return tuple(reversed(chain))

    def near_critical(self, within: int) -> tuple[tuple[int, ...], ...]:
        """
        Return chains that become critical if they slip by no more than `within` ticks.

        Each chain ends where it joins what it does not drive (its last activity has
        free float) and is given from its first activity off the critical path; the
        nearest comes first.
        """
        on_path = set(self.critical_path)
        ends = [
            place
            for place, one in enumerate(self.activities)
            if not one.is_done
            and not one.dropped
            and 0 < int(self.total_float[place]) <= within
            and int(self.free_float[place]) > 0
            and place not in on_path
        ]
        ends.sort(key=lambda place: (int(self.total_float[place]), place))
        return tuple(
            tuple(one for one in self.chain_to(place) if one not in on_path) for place in ends
        )

    def _preference(self, number: int) -> tuple[int, int]:
        """Order tied drivers: least float first, then order of entry."""
        return int(self.total_float[number]), number

    def start_on(self, number: int) -> date:
        """Return the shown start: the date of the first worked tick."""
        return self._shown_start(number, int(self.start[number]))

    def finish_on_of(self, number: int) -> date:
        """Return the shown finish: the date of the last worked tick."""
        return self.shown_finish(number, int(self.finish[number]))

    def late_start_on(self, number: int) -> date:
        """Return the shown late start (of what remains, where work is under way)."""
        return self._shown_start(number, int(self.late_begin[number]))

    def late_finish_on(self, number: int) -> date:
        """Return the shown late finish."""
        return self.shown_finish(number, int(self.late_finish[number]))

    def _shown_start(self, number: int, instant: int) -> date:
        """Show a start, or where a milestone or an idle leg stands."""
        one = self.activities[number]
        network = self.prepared.network
        if one.started is None and one.milestone is Milestone.FINISH:
            return self.shown_finish(number, instant)
        if one.started is None and one.milestone is None and one.work == 0:
            return self.shown_finish(number, instant)
        if one.milestone is Milestone.START and not one.is_done:
            rank = self.prepared.rank(one.id)
            moved = network.tables.next_working(
                network.on[rank : rank + 1], np.array([instant - network.origin])
            )
            instant = int(moved[0]) + network.origin
        return date.fromordinal(instant // TICKS_PER_DAY)

    def shown_finish(self, number: int, instant: int) -> date:
        """Return the date of a finish; on its own floor it is not shown on the date before."""
        one = self.activities[number]
        if one.milestone is Milestone.START and not one.is_done:
            return self._shown_start(number, instant)
        ordinal = (instant - 1) // TICKS_PER_DAY
        floor = floor_of(self.prepared.plan) if one.task is None else one.floor
        if not one.is_done and instant >= floor:
            ordinal = max(ordinal, floor // TICKS_PER_DAY)
        return date.fromordinal(ordinal)


def schedule(
    plan: Plan,
    *,
    delays: Mapping[str, int] | None = None,
    floors: Mapping[str, int] | None = None,
) -> Schedule:
    """
    Compute the schedule of a plan.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    delays
        Activities that take longer than the plan says, by how much. [ticks]
    floors
        Tasks and send-outs that are told as of another instant than the start of the as-of
        date: nothing unfinished of them is planned before it. [ticks]

    Raises
    ------
    PlanError
        If the plan cannot be scheduled: one sentence names the field or the chain.
    """
    check_plan(plan)
    prepared = prepare(plan, delays, floors=floors)
    while True:
        early = forward(prepared.network, prepared.values)
        late = backward(prepared.network, prepared.values, early)
        if prepared.fits(early, late):
            return _collect(prepared, early, late)
        prepared = prepared.wider()


def _collect(prepared: Prepared, early: EarlyDates, late: LateDates) -> Schedule:
    """Put the results of the passes into order of entry."""
    network, values = prepared.network, prepared.values
    rank, origin = network.rank, network.origin
    floor = prepared.plan.project.start.toordinal() * TICKS_PER_DAY

    def by_entry(array: Ints) -> Ints:
        found: Ints = array[rank]
        return found

    finish = int(early.finish) + origin if (~values.dropped).any() else floor
    return Schedule(
        prepared=prepared,
        start=by_entry(early.start) + origin,
        begin=by_entry(early.begin) + origin,
        finish=by_entry(early.end) + origin,
        late_begin=by_entry(late.begin) + origin,
        late_finish=by_entry(late.end) + origin,
        total_float=by_entry(total_float(network, early, late)),
        free_float=by_entry(free_float(network, values, early)),
        project_finish=finish,
        driving=driving_links(network, values, early),
    )


def driving_links(network: Network, values: Values, early: EarlyDates) -> Flags:
    """
    Return which links set their successor's date, shape (m,), for a single case.

    A link drives if the date that it alone asks for is the date that came out; ties all
    drive. What is finished drives only where its link reaches beyond the successor's
    floor; nothing drives what is finished.
    """
    links, tables = network.links, network.tables
    if links.after.size == 0:
        return np.zeros(0, dtype=bool)
    before, after, on = links.before, links.after, links.on
    required = early.event[links.event_before] + links.elapsed_lag
    lagged = links.work_lag != 0
    required = np.where(lagged, tables.add_work(on, required, links.work_lag), required)
    idle = values.work[after] == 0
    start_asked = np.where(idle, required, tables.next_working(on, required))
    end_asked = np.where(idle, required, finish_at_or_after(tables, on, required))
    drives = np.where(
        links.to_finish, end_asked == early.end[after], start_asked == early.begin[after]
    )
    drives &= ~values.done[after]
    drives &= ~values.deaf[after] | links.to_finish
    fixed = values.done[before] | (values.under_way[before] & (links.event_before < network.size))
    result: Flags = drives & (~fixed | (required > values.floor[after]))
    return result
