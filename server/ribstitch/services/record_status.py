"""Record where a task stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from ribstitch.planning.model import State, Task, TaskStatus
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    thing_of,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, Person, UnitOfWork


def record_task_status(
    forecasts: Forecasts,
    project_id: int,
    task_id: str,
    status: TaskStatus,
    expected_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Record where a task stands, and reckon the plan anew.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError
        Nothing is stored.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        task: Task = thing_of(current.plan, current.versions, "task", task_id)
        after = replace(task, status=status)
        edit = Edit("task", task_id, task, after)
        return Change("task.status", [edit], told_status(after))

    return change_plan(
        forecasts,
        project_id,
        Author(person, at, reason),
        decide,
        expected=("task", task_id, expected_version),
    )


def told_status(task: Task) -> str:
    """Say where a task stands, for the forecast log."""
    return f"{task.name or task.id}: {_in_words(task.status)}"


def _in_words(status: TaskStatus) -> str:
    """Say a status in a few words."""
    match status.state:
        case State.DONE:
            return f"done on {status.finished}"
        case State.IN_WORK:
            return f"in work since {status.started}"
        case State.HELD:
            return f"held ({status.held_reason})" if status.held_reason else "held"
        case State.DROPPED:
            return "dropped"
        case State.NOT_STARTED:
            return "not started"
