"""A scheduled plan as the checks look at it: what is open, what is tied to what."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

import numpy as np

from ribstitch.planning.activities import Activity
from ribstitch.planning.calendars import Ints
from ribstitch.planning.health.rules import limits_of
from ribstitch.planning.health.ties import Ties, ties_of
from ribstitch.planning.model import Plan, Task
from ribstitch.planning.passes import EarlyDates, backward, forward, total_float
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import end_of


class Look:
    """
    What the checks share.

    Milestones take no time and need no crew: they count as what work is tied to, and not
    among the tasks.
    """

    def __init__(self, schedule: Schedule) -> None:
        self.schedule = schedule
        self.plan: Plan = schedule.prepared.plan
        self.activities: tuple[Activity, ...] = schedule.activities
        self.limits: Mapping[str, float | None] = limits_of(dict(self.plan.project.health_limits))

    @cached_property
    def tasks(self) -> tuple[int, ...]:
        """The numbers of all tasks that are not dropped and no milestones."""
        return tuple(
            number
            for number, one in enumerate(self.activities)
            if one.task is not None and not one.dropped and one.milestone is None
        )

    @cached_property
    def open_tasks(self) -> tuple[int, ...]:
        """Those of them that are not done."""
        return tuple(number for number in self.tasks if not self.activities[number].is_done)

    @cached_property
    def ties(self) -> Ties:
        """What is tied to what."""
        return ties_of(self.schedule)

    def task(self, number: int) -> Task:
        """Return the task that an activity is: tasks come first among the activities."""
        return self.plan.tasks[number]

    def name(self, number: int) -> str:
        """Return what to call an activity in a sentence."""
        one = self.activities[number]
        if one.task is None:
            return one.id
        return self.task(number).name or one.id

    @cached_property
    def floats(self) -> Ints:
        """
        Total float by order of entry, against the target finish where that is nearer.

        A deadline counts as it does in the schedule. [ticks of each one's calendar]
        """
        target = self.plan.project.target_finish
        if target is None or end_of(target) >= self.schedule.project_finish:
            return self.schedule.total_float
        prepared, required = reaching(self.schedule.prepared, end_of(target))
        network, values = prepared.network, prepared.values
        early = forward(network, values)
        wanted = EarlyDates(early.begin, early.event, np.array(required - network.origin))
        late = backward(network, values, wanted)
        found: Ints = total_float(network, early, late)[network.rank]
        return found


def reaching(prepared: Prepared, instant: int) -> tuple[Prepared, int]:
    """Return a plan prepared so widely that its calendars have an instant, and the instant."""
    while not 0 <= instant - prepared.network.origin < prepared.network.limit:
        prepared = prepared.wider()
    return prepared, instant
