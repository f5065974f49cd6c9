"""A plan with its dates, scheduled or levelled: what is worked on which date, and by whom.

One arithmetic for everything that lays work on dates: loads, the week of the crew, and
the hours of plan health.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ribstitch.planning.calendars import Ints, ticks_per_date
from ribstitch.planning.levelling.level_plan import LevelledPlan
from ribstitch.planning.levelling.people import Group, groups_of
from ribstitch.planning.model import Calendar, Plan, Task
from ribstitch.planning.prepared import Prepared, calendars_of
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY

Source = Schedule | LevelledPlan
"""The plan as it stands, its crew links kept; or a levelled plan."""


@dataclass(frozen=True, slots=True)
class OpenWork:
    """A task that somebody still has to work on."""

    number: int
    """Its order of entry."""
    task: Task
    begin: int
    """Where it, or what remains of it, begins. [ticks]"""
    finish: int
    """Where it ends. [ticks]"""


@dataclass(frozen=True)
class Dated:
    """
    A plan with its dates.

    Instants by order of entry of the activities, shape (n,). [ticks]
    """

    prepared: Prepared
    begin: Ints
    finish: Ints

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.prepared.plan

    def open_work(self) -> Iterator[OpenWork]:
        """Yield the tasks that are not over and take time, in order of entry."""
        begin, finish = self.begin.tolist(), self.finish.tolist()
        for number, task in enumerate(self.plan.tasks):
            one = self.prepared.expansion.activities[number]
            if not one.is_done and not one.dropped and finish[number] > begin[number]:
                yield OpenWork(number, task, begin[number], finish[number])

    def worked_by_date(self, number: int) -> tuple[int, Ints]:
        """
        Return what is worked on an activity on each date.

        Returns
        -------
        tuple
            The ordinal of its first date, and the ticks from there on, shape (dates,).
        """
        network = self.prepared.network
        begin = int(self.begin[number]) - network.origin
        finish = int(self.finish[number]) - network.origin
        first, last = begin // TICKS_PER_DAY, (finish - 1) // TICKS_PER_DAY
        rank = int(network.rank[number])
        edges: Ints = TICKS_PER_DAY * np.arange(first, last + 2, dtype=np.int64)
        work = network.tables.work_before(network.on[rank : rank + 1], edges.clip(begin, finish))
        return first + network.tables.first, np.diff(work)

    @cached_property
    def calendars(self) -> dict[str, Calendar]:
        """The plan's calendars by id, elapsed time among them."""
        return {one.id: one for one in calendars_of(self.plan)}

    def there_by_date(self, calendar: str, first: int, days: int) -> Ints:
        """Return how long somebody on a calendar is there on dates from an ordinal on. [ticks]"""
        return ticks_per_date(self.calendars[calendar], first, days)

    def day_hours(self, calendar: str) -> float:
        """Return the hours of a working day of a calendar. [h]"""
        return self.calendars[calendar].day_hours


def dated(source: Source) -> Dated:
    """Return the dates of a schedule or of a levelled plan."""
    if isinstance(source, Schedule):
        return Dated(source.prepared, source.begin, source.finish)
    begin, finish = (np.array(side, dtype=np.int64) for side in (source.begin, source.finish))
    return Dated(source.problem.prepared, begin, finish)


def people_of(plan: Plan, wanted: Callable[[str], bool] = lambda _: True) -> tuple[Group, ...]:
    """
    Return everybody who can work, in order of entry.

    People whose calendar nobody has named count on the project's: dates can be shown for
    a plan that cannot be levelled yet.

    Parameters
    ----------
    plan
        The plan.
    wanted
        Which trades matter; people without any of them are left out.
    """
    crew = tuple(
        replace(one, calendar=one.calendar or plan.project.calendar)
        for one in plan.crew
        if wanted(one.trade)
    )
    return groups_of(replace(plan, crew=crew), ())
