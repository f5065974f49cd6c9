"""Find the plan as it was before a date, to say what has changed since."""

from __future__ import annotations

from datetime import date

from ribstitch.planfile import parse_plan
from ribstitch.planning.model import Plan
from ribstitch.store import Store


def plan_before(store: Store, project_id: int, day: date) -> Plan | None:
    """
    Return the last plan that was kept with a forecast whose as-of date is before a day.

    None if none was kept.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as look:
        look.plan_version(project_id)
        kept = {one.plan_version for one in look.spreads(project_id)}
        earlier = [
            one.plan_version
            for one in look.forecasts(project_id)
            if one.as_of < day and one.plan_version in kept
        ]
        plan_file = look.snapshot(project_id, earlier[-1]) if earlier else None
    return None if plan_file is None else parse_plan(plan_file, f"plan version {earlier[-1]}")
