"""Give a project back as a plan."""

from __future__ import annotations

from ribstitch.planning.model import Plan
from ribstitch.store import Store


def export_plan(store: Store, project_id: int) -> Plan:
    """
    Return the plan of a project as it is now.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as reading:
        return reading.plan(project_id).plan
