"""The order of the crew as the plan stands: which crew links still say something.

A crew link says who goes first, as long as nobody has begun. Once the later of two tasks
has been begun first, the shop has decided otherwise: then the other waits for it, and so
does whatever would have had the same hands before; unless that has to come first anyway.
Where both have begun, neither waits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
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
        to come; without those whose waiting task has begun otherwise. A link that was turned
        round is followed by links to what would have handed on the same people or place
        earlier, for as many of them as the task in work has taken. No link is turned round
        where that would close a loop: if a plan with all of its crew links has none, this
        order has none either.
    """
    tasks = {task.id: task for task in plan.tasks}
    overtaken = {
        number for number, link in enumerate(plan.crew_links) if _has_begun(tasks[link.after])
    }
    jumped = {
        number
        for number in overtaken
        if tasks[plan.crew_links[number].after].status.state is State.IN_WORK
        and not _has_begun(tasks[plan.crew_links[number].before])
    }
    standing = [link for number, link in enumerate(plan.crew_links) if number not in overtaken]
    if not jumped:
        return tuple(standing)
    order = _order_of_work(plan, standing)
    into: dict[str, list[CrewLink]] = defaultdict(list)
    for link in standing:
        into[link.after].append(link)
    found: dict[tuple[str, str], CrewLink] = {}
    for number, link in enumerate(plan.crew_links):
        if number not in overtaken:
            found[link.before, link.after] = link
        elif number in jumped:
            comes_first = nx.ancestors(order, link.after)
            for giver in _givers(link, into, tasks):
                ends = link.after, giver.before
                if ends not in found and giver.before not in comes_first:
                    order.add_edge(*ends)
                    found[ends] = replace(giver, before=link.after, after=giver.before)
    return tuple(found.values())


def _givers(
    link: CrewLink, into: Mapping[str, Sequence[CrewLink]], tasks: Mapping[str, Task]
) -> Iterator[CrewLink]:
    """
    Yield the links by which the hands of a link would have come from work still to come.

    First the link itself, then those into its earlier task, and so on; no more of them than
    it takes to find as many hands. What is dropped only hands on.
    """
    seen = {link.before}
    to_follow = [link]
    while to_follow:
        one = to_follow.pop()
        if tasks[one.before].status.state is not State.DROPPED:
            yield one
        units = one.units
        for earlier in into[one.before]:
            taken = min(units, earlier.units)
            same = earlier.kind is link.kind and not set(earlier.names).isdisjoint(link.names)
            if not (same and taken):
                continue
            units -= taken
            if earlier.before not in seen and not _has_begun(tasks[earlier.before]):
                seen.add(earlier.before)
                to_follow.append(replace(earlier, units=taken))


def _has_begun(task: Task) -> bool:
    """Return whether somebody has worked on a task."""
    return task.status.started is not None or task.status.state is State.DONE


def _order_of_work(plan: Plan, crew_links: Sequence[CrewLink]) -> nx.DiGraph[str]:
    """Return what waits for what among tasks and send-outs, with some crew links."""
    order: nx.DiGraph[str] = nx.DiGraph()
    order.add_nodes_from(task.id for task in plan.tasks)
    order.add_edges_from((link.before, link.after) for link in plan.links)
    order.add_edges_from((link.before, link.after) for link in crew_links)
    for item in plan.send_outs:
        away = f"send-out {item.id}"
        order.add_edges_from((task, away) for task in item.after)
        order.add_edges_from((away, task) for task in item.before)
        if item.trip_of is not None:
            order.add_edge(f"send-out {item.trip_of}", away)
            order.add_edge(away, f"send-out {item.trip_of}")
    return order
