"""The order of the crew as the plan stands: which crew links still say something.

A crew link says who goes first, as long as nobody has begun. Once the later of two tasks
has been begun first, the shop has decided otherwise: then the other waits for it, unless
it has to come first anyway; and where both have begun, neither waits.
"""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from ribstitch.planning.model import CrewLink, Plan, State, Task


def crew_links_in_force(plan: Plan) -> tuple[CrewLink, ...]:
    """
    Return the crew links that hold at the as-of date, in order of entry.

    Parameters
    ----------
    plan
        A plan whose links name tasks that are there.

    Returns
    -------
    tuple of CrewLink
        As they stand; turned round where what should wait is in work and the other is not
        begun; without those whose waiting task has begun otherwise.
    """
    tasks = {task.id: task for task in plan.tasks}
    overtaken = {
        number for number, link in enumerate(plan.crew_links) if _has_begun(tasks[link.after])
    }
    if not overtaken:
        return plan.crew_links
    order = _order_of_work(plan, overtaken)
    found = []
    for number, link in enumerate(plan.crew_links):
        if number not in overtaken:
            found.append(link)
        elif _goes_first(tasks[link.after], tasks[link.before]) and not nx.has_path(
            order, link.before, link.after
        ):
            order.add_edge(link.after, link.before)
            found.append(replace(link, before=link.after, after=link.before))
    return tuple(found)


def _has_begun(task: Task) -> bool:
    """Return whether somebody has worked on a task."""
    return task.status.started is not None or task.status.state is State.DONE


def _goes_first(later: Task, earlier: Task) -> bool:
    """Return whether a task keeps its people from the one that should have come first."""
    return later.status.state is State.IN_WORK and not _has_begun(earlier)


def _order_of_work(plan: Plan, overtaken: set[int]) -> nx.DiGraph[str]:
    """Return what waits for what among tasks and send-outs, overtaken crew links aside."""
    order: nx.DiGraph[str] = nx.DiGraph()
    order.add_nodes_from(task.id for task in plan.tasks)
    order.add_edges_from((link.before, link.after) for link in plan.links)
    for number, link in enumerate(plan.crew_links):
        if number not in overtaken:
            order.add_edge(link.before, link.after)
    for item in plan.send_outs:
        away = f"send-out {item.id}"
        order.add_edges_from((task, away) for task in item.after)
        order.add_edges_from((away, task) for task in item.before)
        if item.trip_of is not None:
            order.add_edge(f"send-out {item.trip_of}", away)
            order.add_edge(away, f"send-out {item.trip_of}")
    return order
