"""A plan made ready for levelling: plain rows to place activities by, and what limits them.

Instants count from the start of the calendars' range, as in the plan's network. [ticks]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.levelling.people import Pool, groups_of, pools_of
from ribstitch.planning.levelling.timeline import Timeline
from ribstitch.planning.levelling.work_scale import OutOfRangeError, WorkScale
from ribstitch.planning.model import LagOn, Relation, Task
from ribstitch.planning.prepared import Prepared, calendars_of
from ribstitch.planning.ticks import days_from_ticks

_FROM_FINISH = (Relation.FINISH_START, Relation.FINISH_FINISH)
_TO_FINISH = (Relation.FINISH_FINISH, Relation.START_FINISH)


@dataclass(frozen=True, slots=True)
class Bound:
    """What one link asks of its successor."""

    before: int
    from_finish: bool
    to_finish: bool
    elapsed_lag: int
    work_lag: int


@dataclass(frozen=True, slots=True)
class Asking:
    """What an activity takes from one timeline while it is worked (or stands there)."""

    timeline: int
    demand: int
    """Packed, as the timeline counts."""
    units: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Resource:
    """A set of trades, or a place, that can be short."""

    kind: str
    """"trade" or "place"."""
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Limit:
    """
    A timeline with its scale.

    People are counted along the time in which anybody of their pool works; a place
    along elapsed time.
    """

    resources: tuple[Resource, ...]
    scale: WorkScale | None
    """None: elapsed time."""
    timeline: Timeline
    steps: tuple[tuple[int, tuple[int, ...]], ...]
    """Breakpoints with the units that there are from them on."""


@dataclass(frozen=True, slots=True)
class Row:
    """One activity, ready to be placed."""

    scale: WorkScale
    work: int
    floor: int
    started: int | None
    finished: int | None
    deaf: bool
    under_way: bool
    dropped: bool
    bounds: tuple[Bound, ...]
    asking: tuple[Asking, ...]


class CrewProblem:
    """
    n activities of a plan, the people and places that they share.

    Parameters
    ----------
    prepared
        The plan, made ready for the passes.

    Raises
    ------
    InvalidValueError
        If a task needs more people or room than there ever is, or people who are never
        there when it is worked.
    """

    def __init__(self, prepared: Prepared) -> None:
        self.prepared = prepared
        self.plan = prepared.plan
        network, values = prepared.network, prepared.values
        self.first = network.tables.first
        self.limit = network.limit
        self._scales = {
            calendar.id: WorkScale(
                ticks_per_date(calendar, self.first, network.tables.days).tolist()
            )
            for calendar in calendars_of(self.plan)
        }
        work = values.work[network.rank].tolist()
        asking = {
            one.task: number
            for number, one in enumerate(prepared.expansion.activities)
            if one.task is not None and work[number] and not one.is_done and not one.dropped
        }
        asked = {task.trade for task in self.plan.tasks if task.id in asking and task.people}
        trades = {trade for trade in asked if trade}
        self.pools = pools_of(groups_of(self.plan, trades), trades)
        self.limits = [self._limit_of_pool(pool) for pool in self.pools]
        self._limit_of_trade = {
            trade: number for number, pool in enumerate(self.pools) for trade in pool.trades
        }
        self._limit_of_place: dict[str, int] = {}
        for place in self.plan.places:
            self._limit_of_place[place.id] = len(self.limits)
            resource = Resource("place", (place.id,))
            self.limits.append(_limit((resource,), None, [(0, (place.capacity,))]))
        bounds = self._bounds()
        demands = {
            asking[task.id]: self._asking(place, task)
            for place, task in enumerate(self.plan.tasks)
            if task.id in asking
        }
        self.rows: list[Row] = []
        for number, one in enumerate(prepared.expansion.activities):
            rank = int(network.rank[number])
            self.rows.append(
                Row(
                    scale=self._scales[one.calendar],
                    work=work[number],
                    floor=int(values.floor[rank]),
                    started=None if one.started is None else one.started - network.origin,
                    finished=None if one.finished is None else one.finished - network.origin,
                    deaf=bool(values.deaf[rank]),
                    under_way=bool(values.under_way[rank]),
                    dropped=one.dropped,
                    bounds=tuple(bounds[number]),
                    asking=demands.get(number, ()),
                )
            )
        self.aligned = self._aligned()

    def scale(self, calendar: str) -> WorkScale:
        """Return the calendar of an id."""
        return self._scales[calendar]

    @cached_property
    def successors(self) -> list[list[int]]:
        """What waits for each activity."""
        found: list[list[int]] = [[] for _ in self.rows]
        for number, row in enumerate(self.rows):
            for before in dict.fromkeys(bound.before for bound in row.bounds):
                found[before].append(number)
        return found

    def _bounds(self) -> list[list[Bound]]:
        """Return the links by successor."""
        number = self.prepared.number
        found: list[list[Bound]] = [[] for _ in self.prepared.expansion.activities]
        for link in self.prepared.expansion.links:
            on_work = link.lag_on is LagOn.WORK
            found[number[link.after]].append(
                Bound(
                    before=number[link.before],
                    from_finish=link.relation in _FROM_FINISH,
                    to_finish=link.relation in _TO_FINISH,
                    elapsed_lag=0 if on_work else link.lag,
                    work_lag=link.lag if on_work else 0,
                )
            )
        return found

    def _asking(self, place: int, task: Task) -> tuple[Asking, ...]:
        """Return what a task takes; refuse what can never be."""
        found = []
        if task.trade and task.people:
            number = self._limit_of_trade.get(task.trade)
            there = 0
            if number is not None:
                pool = self.pools[number]
                there = sum(one.people for one in pool.groups if task.trade in one.trades)
            if number is None or there < task.people:
                raise InvalidValueError(
                    f"tasks[{place}].people",
                    f'"{task.id}" needs {_people(task.people)} of "{task.trade}" at once and the '
                    f"crew has {there}: it takes more people of this trade, or fewer for the task",
                    task.people,
                )
            units = self.pools[number].demand(task.trade, task.people)
            found.append(Asking(number, self.limits[number].timeline.packed(units), units))
        for name in dict.fromkeys(task.places):
            number = self._limit_of_place[name]
            if not self.limits[number].steps[0][1][0]:
                raise InvalidValueError(
                    f"tasks[{place}].places",
                    f'"{task.id}" takes the place "{name}", which has room for nothing: '
                    "it takes a capacity of 1",
                    name,
                )
            found.append(Asking(number, self.limits[number].timeline.packed((1,)), (1,)))
        return tuple(found)

    def _limit_of_pool(self, pool: Pool) -> Limit:
        """Lay out how many people of each set of trades are there, along their own time."""
        scales = [self._scales[group.calendar] for group in pool.groups]
        days = len(scales[0].worked)
        common = WorkScale([max(scale.worked[day] for scale in scales) for day in range(days)])
        members = [pool.members(one) for one in pool.sets]
        steps: list[tuple[int, tuple[int, ...]]] = []
        known: dict[tuple[int, ...], list[tuple[int, tuple[int, ...]]]] = {}
        for day in range(days):
            worked = tuple(scale.worked[day] for scale in scales)
            if worked not in known:
                known[worked] = [
                    (
                        offset,
                        tuple(
                            sum(pool.groups[n].people for n in some if worked[n] > offset)
                            for some in members
                        ),
                    )
                    for offset in sorted({0, *worked} - {max(worked)})
                ]
            for offset, units in known[worked]:
                if not steps or steps[-1][1] != units:
                    steps.append((common.before[day] + offset, units))
        most = tuple(sum(pool.groups[n].people for n in some) for some in members)
        steps.append((common.total, most))
        resources = tuple(Resource("trade", tuple(sorted(one))) for one in pool.sets)
        return _limit(resources, common, steps or [(0, most)])

    def _aligned(self) -> dict[tuple[int, int], bool]:
        """Return whether a scale works exactly when the people of a limit do, by both."""
        found: dict[tuple[int, int], bool] = {}
        for row in self.rows:
            for one in row.asking:
                common = self.limits[one.timeline].scale
                key = (id(row.scale), one.timeline)
                if common is not None and key not in found:
                    found[key] = row.scale.worked == common.worked
        return found

    def check_alone(self) -> None:
        """
        Refuse a task whose people are never there for all of its working time.

        Raises
        ------
        InvalidValueError
            Names the task, the trade and both calendars.
        """
        from ribstitch.planning.levelling.placing import find_place

        seen: set[tuple[object, ...]] = set()
        for number, row in enumerate(self.rows):
            key = (id(row.scale), row.work, row.asking)
            if not row.asking or key in seen:
                continue
            seen.add(key)
            timelines = [limit.timeline for limit in self.limits]
            try:
                find_place(self, timelines, number, row.scale.work_before(row.floor))
            except OutOfRangeError:
                self._blame(number)

    def _blame(self, number: int) -> None:
        """Say which task finds no people, and what would help."""
        one = self.prepared.expansion.activities[number]
        place = next(n for n, task in enumerate(self.plan.tasks) if task.id == one.task)
        task = self.plan.tasks[place]
        theirs = sorted(
            {
                group.calendar
                for pool in self.pools
                for group in pool.groups
                if task.trade in group.trades
            }
        )
        days = days_from_ticks(self.rows[number].work)
        named = ", ".join(f'"{name}"' for name in theirs)
        raise InvalidValueError(
            f"tasks[{place}].calendar",
            f'"{task.id}" is {days:g} days of work on the calendar "{one.calendar}", and '
            f'{_people(task.people)} of "{task.trade}" are never there for all of them '
            f"(they work on {named}): put the task on their calendar, or them on the task's",
            one.calendar,
        )


def _limit(
    resources: tuple[Resource, ...],
    scale: WorkScale | None,
    steps: Sequence[tuple[int, tuple[int, ...]]],
) -> Limit:
    """Make a limit out of its steps."""
    most = np.array([units for _, units in steps]).max(axis=0).tolist()
    timeline = Timeline.of([at for at, _ in steps], [units for _, units in steps], most)
    return Limit(resources, scale, timeline, tuple(steps))


def _people(count: int) -> str:
    """Return a number of people in words."""
    return "1 person" if count == 1 else f"{count} people"
