"""Which tasks work not yet found may make longer: those of zones that are not opened yet."""

from __future__ import annotations

import networkx as nx

from ribstitch.planning.model import Plan, State
from ribstitch.planning.prepared import Prepared


def hidden_zones(plan: Plan, prepared: Prepared) -> dict[str, str]:
    """
    Return the tasks that a zone's allowance for hidden work is about, with the zone.

    They are all tasks of the zone, whatever their status, but for the one that opens it
    and what comes before that. Once it is opened there are none: what was found is in
    the plan. A zone whose opening is dropped hides as much as before, and to the end.
    """
    state = {task.id: task.status.state for task in plan.tasks}
    activities = prepared.expansion.activities
    found: dict[str, str] = {}
    for zone in plan.zones:
        opener = zone.opened_by
        if zone.hidden_work_percent == 0:
            continue
        before: set[str] = set()
        if opener is not None and state[opener] is State.DONE:
            continue
        if opener is not None and state[opener] is not State.DROPPED:
            ancestors = nx.ancestors(prepared.network.graph, prepared.number[opener])
            before = {activities[one].id for one in ancestors} | {opener}
        found |= {
            task.id: zone.id
            for task in plan.tasks
            if task.zone == zone.id and task.id not in before
        }
    return found
