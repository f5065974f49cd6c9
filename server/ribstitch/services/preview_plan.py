"""Look at what planning a task anew would move, before anything is kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from ribstitch.charts.bars import name_of
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.services.change_plan import plan_with
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.holds import refuse_blocked
from ribstitch.services.plan_task import TaskPlan, edits_of, links_named
from ribstitch.store import Store

MOST_NAMED = 12
"""How many of a sort are named; the others are counted."""


@dataclass(frozen=True, slots=True)
class FinishMoved:
    """The project finish as it is and as it would be."""

    before: date
    after: date
    moved_days: int
    """Calendar days later; negative: earlier."""


@dataclass(frozen=True, slots=True)
class MovedActivity:
    """An activity whose finish would be another date."""

    id: str
    name: str
    is_task: bool
    """Otherwise it is a leg of a send-out."""
    before: date
    after: date
    moved_days: int
    """Calendar days later; negative: earlier."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What would move."""

    count: int
    later: int
    """How many of them would finish later."""
    largest: list[MovedActivity]
    """Those that would move most; of as many days, in the plan's order."""


@dataclass(frozen=True, slots=True)
class PathActivity:
    """An activity that sets the finish in one of the two plans only."""

    id: str
    name: str
    is_task: bool


@dataclass(frozen=True, slots=True)
class PathChange:
    """Activities that begin or cease to set the finish."""

    count: int
    first: list[PathActivity]


@dataclass(frozen=True, slots=True)
class MissedDeadline:
    """A task that would miss its deadline, and keeps it now."""

    id: str
    name: str
    deadline: date
    finish: date
    missed_days: int
    """Calendar days."""


@dataclass(frozen=True, slots=True)
class PlanPreview:
    """What planning a task anew would do; nothing is kept."""

    plan_version: int
    """Of the plan that it was held beside."""
    finish: FinishMoved
    moved: Moved
    newly_on_path: PathChange
    no_longer_on_path: PathChange
    newly_missed: list[MissedDeadline]


def preview_task_plan(store: Store, current: CurrentPlan, asked: TaskPlan) -> PlanPreview:
    """
    Schedule a plan with a task planned anew, and hold it beside the plan as it is.

    Raises
    ------
    UnknownThingError, StaleEditError, PlanError, CheckHoldsError
        As saving the same would.
    """
    with store.reading() as look:
        edits = edits_of(current, asked, look)
    plan = plan_with(current, edits)
    refuse_blocked(current.plan, plan)
    with links_named(asked):
        then = schedule(plan)
    now = current.schedule
    days = (then.finish_on - now.finish_on).days
    return PlanPreview(
        plan_version=current.plan_version,
        finish=FinishMoved(now.finish_on, then.finish_on, days),
        moved=_moved(now, then),
        newly_on_path=_path_change(then, now),
        no_longer_on_path=_path_change(now, then),
        newly_missed=_newly_missed(now, then),
    )


def _moved(now: Schedule, then: Schedule) -> Moved:
    """Return what finishes on another date; what is dropped in one of the plans has none."""
    days: dict[int, int] = {}
    for number in np.flatnonzero(now.finish != then.finish).tolist():
        is_dropped = now.activities[number].dropped or then.activities[number].dropped
        moved = (then.finish_on_of(number) - now.finish_on_of(number)).days
        if moved and not is_dropped:
            days[number] = moved
    largest = sorted(days, key=lambda number: -abs(days[number]))[:MOST_NAMED]
    return Moved(
        count=len(days),
        later=sum(moved > 0 for moved in days.values()),
        largest=[
            MovedActivity(
                id=then.activities[number].id,
                name=name_of(then, number),
                is_task=then.activities[number].task is not None,
                before=now.finish_on_of(number),
                after=then.finish_on_of(number),
                moved_days=days[number],
            )
            for number in largest
        ],
    )


def _path_change(path_of: Schedule, other: Schedule) -> PathChange:
    """Return what sets the finish in one schedule and not in the other."""
    known = set(other.critical_path)
    numbers = [number for number in path_of.critical_path if number not in known]
    first = [
        PathActivity(one.id, name_of(path_of, number), one.task is not None)
        for number in numbers[:MOST_NAMED]
        for one in (path_of.activities[number],)
    ]
    return PathChange(len(numbers), first)


def _newly_missed(now: Schedule, then: Schedule) -> list[MissedDeadline]:
    """Return the tasks that keep their deadline as the plan is, and then would not."""
    found = []
    old = now.prepared.plan.tasks
    for number, task in enumerate(then.prepared.plan.tasks):
        if task.deadline is None or then.activities[number].dropped:
            continue
        finish, was = then.finish_on_of(number), old[number].deadline
        kept = was is None or now.finish_on_of(number) <= was
        if finish > task.deadline and kept:
            days = (finish - task.deadline).days
            found.append(MissedDeadline(task.id, task.name, task.deadline, finish, days))
    return found
