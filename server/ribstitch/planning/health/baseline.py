"""Practice 10: what was to be finished by now, and what is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from ribstitch.planning.health.check import Found, Offender
from ribstitch.planning.health.look import Look
from ribstitch.planning.model import Plan, Task
from ribstitch.planning.schedule import Schedule


def finishes_of(schedule: Schedule) -> dict[str, date]:
    """Return when each task that is not dropped finishes, by id: a plan that is held against."""
    look = Look(schedule)
    return {look.activities[n].id: schedule.finish_on_of(n) for n in look.tasks}


def approved_finishes(plan: Plan) -> dict[str, date]:
    """Return when each task was to finish by the newest baseline; nothing without one."""
    return {one.id: one.finish for kept in plan.baselines[-1:] for one in kept.packages}


def look_at_baseline(look: Look, baseline: Mapping[str, date]) -> Iterator[tuple[str, Found]]:
    """
    Yield tasks late against the approved plan, and the baseline execution index.

    The index is the number of tasks finished over the number due by the as-of date; of
    tasks that the approved plan does not have, neither is counted. Nothing is due without
    an approved plan.
    """
    due, finished, late = [], 0, []
    for number in look.tasks:
        one, task = look.activities[number], look.task(number)
        wanted = baseline.get(one.id)
        if wanted is None:
            continue
        finished += one.is_done
        if wanted <= look.plan.project.as_of:
            due.append(task)
            if not one.is_done or (task.status.finished or wanted) > wanted:
                late.append(Offender(one.id, _note(task, wanted)))
    yield "late_against_baseline", Found(len(late), len(due), tuple(late))
    still_open = tuple(
        Offender(one.id, f"due {baseline[one.id]}") for one in due if one.status.finished is None
    )
    yield "execution_index", Found(finished if due else 0, len(due), still_open)


def _note(task: Task, wanted: date) -> str:
    """Say when a task was to be finished, and when it was."""
    finished = task.status.finished
    return f"due {wanted}, " + (f"finished {finished}" if finished else "not finished")
