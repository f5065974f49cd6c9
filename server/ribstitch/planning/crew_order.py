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
        As they stand; turned round where what should wait is in work and the other is still
        to come; without those whose waiting task has begun otherwise. A link is not turned
        round where that would close a loop: if a plan with all of its crew links has none,
        this order has none either.
    """
    tasks = {task.id: task for task in plan.tasks}
    overtaken, swapped = set(), set()
    for number, link in enumerate(plan.crew_links):
        if _has_begun(tasks[link.after]):
            overtaken.add(number)
            if _keeps_its_people(tasks[link.after], from_task=tasks[link.before]):
                swapped.add(number)
    order = _order_of_work(plan, overtaken) if swapped else None
    found = []
    for number, link in enumerate(plan.crew_links):
        if number not in overtaken:
            found.append(link)
        elif (
            order is not None
            and number in swapped
            and not nx.has_path(order, link.before, link.after)
        ):
            order.add_edge(link.after, link.before)
            found.append(replace(link, before=link.after, after=link.before))
    return tuple(found)


def _has_begun(task: Task) -> bool:
    """Return whether somebody has worked on a task."""
    return task.status.started is not None or task.status.state is State.DONE


def _keeps_its_people(later: Task, *, from_task: Task) -> bool:
    """Return whether a task holds the people of the one that should have come first."""
    waits = not _has_begun(from_task) and from_task.status.state is not State.DROPPED
    return later.status.state is State.IN_WORK and waits


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
