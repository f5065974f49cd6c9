"""Take a plan into the store as a new project."""

from __future__ import annotations

from datetime import datetime

from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.store import Person, Store


def import_plan(store: Store, plan: Plan, person: Person, at: datetime) -> int:
    """
    Store a plan as a new project; return the project's number.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled; nothing is stored.
    """
    finish = schedule(plan).finish_on
    with store.begin(person, at) as work:
        project_id = work.add_plan(plan)
        work.log_forecast(project_id, 1, plan.project.as_of, finish, "Plan taken in")
    return project_id
