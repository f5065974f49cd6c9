"""The yardstick of the simulation: one run after the other, one activity after the other.

Plain lists, integers and a binary search in each calendar's running totals, the way one
would write it without array arithmetic. It answers what the simulation answers: the
finish of each run, percentiles of the finish of every activity, and how often each is on
a chain that sets the finish. numpy draws the works of a run, all activities at once.
It covers what the benchmark plans hold: tasks that have not begun, finish-start links.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

import numpy as np

from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.model import ELAPSED, Calendar, Plan

DAY = 1440
LEVELS = (10, 50, 80, 90)
GRAIN = 60
"""Drawn work is rounded to a 24th of a day, as the simulation rounds it. [ticks]"""


class PlainCalendar:
    """Work placed by running totals of the ticks worked before each date."""

    def __init__(self, calendar: Calendar, first: int, days: int) -> None:
        self.worked: list[int] = ticks_per_date(calendar, first, days).tolist()
        self.before = [0]
        for worked in self.worked:
            self.before.append(self.before[-1] + worked)

    def place(self, bound: int, work: int) -> tuple[int, int]:
        """Return where work not to begin before an instant begins, and where it is over."""
        before = self.before
        day, offset = divmod(bound, DAY)
        worked = self.worked[day]
        done = before[day] + min(offset, worked)
        if offset >= worked:
            day = bisect_right(before, done) - 1
            bound = DAY * day + done - before[day]
        if work == 0:
            return bound, bound
        over = done + work
        day = bisect_left(before, over, day) - 1
        return bound, DAY * day + over - before[day]


class PlainElapsed:
    """Elapsed time needs no totals."""

    def place(self, bound: int, work: int) -> tuple[int, int]:
        """Return where work not to begin before an instant begins, and where it is over."""
        return bound, bound + work


@dataclass(frozen=True)
class Found:
    """What came out: instants are ticks from the plan's first day."""

    finish: list[int]
    """Project finish of each run."""
    ordered: list[list[int]]
    """Finish of each task, from the earliest run to the latest."""
    percentiles: list[list[int]]
    """Finish of each task at each of `LEVELS`."""
    criticality: list[float]
    """Share of the runs in which each task is on a chain that sets the finish."""


class RunByRun:
    """A plan as plain lists, ready to be run through many times."""

    def __init__(self, plan: Plan, years: int = 12) -> None:
        first = plan.project.start.toordinal()
        calendars: dict[str, PlainCalendar | PlainElapsed] = {ELAPSED.id: PlainElapsed()}
        for calendar in plan.calendars:
            if not calendar.elapsed:
                calendars[calendar.id] = PlainCalendar(calendar, first, 366 * years)
        number = {task.id: place for place, task in enumerate(plan.tasks)}
        self.before: list[list[int]] = [[] for _ in plan.tasks]
        for link in plan.links:
            self.before[number[link.after]].append(number[link.before])
        if any(one >= task for task, some in enumerate(self.before) for one in some):
            raise ValueError("tasks must be given in the order of the work")
        self.calendars = [calendars[plan.calendar_of_task(task)] for task in plan.tasks]
        ranges = np.array([task.duration_range for task in plan.tasks], dtype=float)
        self.low, likely, high = ranges.T
        self.width = high - self.low
        mode = (likely - self.low) / self.width
        self.alpha, self.beta = 1 + 4 * mode, 5 - 4 * mode

    def simulate(self, runs: int, seed: int) -> Found:
        """Run through the plan again and again."""
        draw = np.random.default_rng(seed)
        finishes: list[list[int]] = []
        project: list[int] = []
        counts = [0] * len(self.before)
        for _ in range(runs):
            drawn = self.low + self.width * draw.beta(self.alpha, self.beta)
            works = GRAIN * np.rint(drawn / GRAIN).astype(int)
            begin, finish = self._once(works.tolist())
            last = max(finish)
            for task in self._chain(begin, finish, last):
                counts[task] += 1
            finishes.append(finish)
            project.append(last)
        ordered = [sorted(of_task) for of_task in zip(*finishes, strict=True)]
        places = [-(-level * runs // 100) - 1 for level in LEVELS]
        percentiles = [[of_task[place] for place in places] for of_task in ordered]
        return Found(project, ordered, percentiles, [count / runs for count in counts])

    def _once(self, works: list[int]) -> tuple[list[int], list[int]]:
        """Return where every task begins and finishes in one run."""
        begin: list[int] = []
        finish: list[int] = []
        for work, calendar, before in zip(works, self.calendars, self.before, strict=True):
            bound = max([finish[one] for one in before], default=0)
            begun, over = calendar.place(bound, work)
            begin.append(begun)
            finish.append(over)
        return begin, finish

    def _chain(self, begin: list[int], finish: list[int], last: int) -> set[int]:
        """Return the tasks from which driving links lead to the finish of one run."""
        todo = [task for task, instant in enumerate(finish) if instant == last]
        found = set(todo)
        while todo:
            task = todo.pop()
            for one in self.before[task]:
                if one not in found and self._drives(finish[one], task, begin[task]):
                    found.add(one)
                    todo.append(one)
        return found

    def _drives(self, instant: int, task: int, begun: int) -> bool:
        """Return whether a link that asks for an instant alone makes the task begin so late."""
        return instant == begun or (
            instant < begun and self.calendars[task].place(instant, 0)[0] == begun
        )
