"""What nothing waits for, and what waits for nothing: tied to the rest of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import networkx as nx

from ribstitch.planning.drafting.crates import add_item
from ribstitch.planning.drafting.jobs import FINISH, START, Job
from ribstitch.planning.drafting.order import Order
from ribstitch.planning.model import Link, Milestone, SendOut, Task


@dataclass(frozen=True, slots=True)
class ByHand:
    """What somebody tied together beside the draft."""

    links: tuple[Link, ...]
    send_outs: tuple[SendOut, ...]


@dataclass(frozen=True, slots=True)
class Ends:
    """What ties the loose ends of a draft."""

    milestones: tuple[Task, ...]
    ties: Mapping[tuple[str, str], str]
    send_outs: tuple[SendOut, ...]
    """Those of the draft; something waits for each of them."""


def tie_ends(
    jobs: Sequence[Job],
    order: Order,
    ties: Mapping[tuple[str, str], str],
    send_outs: Sequence[SendOut],
    by_hand: ByHand,
) -> Ends:
    """
    Give every task of a draft something that comes before it and something that waits for it.

    What nothing waits for is waited for by the job that gathers the aircraft (assembly, as
    a rule), unless it comes after that itself: then by the last milestone. Where several
    tasks wait for nothing, they wait for a first milestone.
    """
    if not jobs:
        return Ends((), {}, tuple(send_outs))
    graph = _graph(ties, (*send_outs, *by_hand.send_outs), by_hand.links)
    tasks = [work.id for job in jobs for work in job.works]
    gather = order.gathering
    first = gather.first if gather else ()
    beyond = set(first).union(*(nx.descendants(graph, one) for one in first if one in graph))
    found: dict[tuple[str, str], str] = {}
    for task in tasks:
        if task not in graph or not graph.out_degree(task):
            if task in beyond or gather is None:
                found[task, FINISH] = "nothing else waits for it"
            else:
                found |= {(task, one): f"{gather.title}: nothing else waits" for one in first}
    closed = tuple(
        item if item.before else replace(item, before=_waiting(item, first, beyond))
        for item in send_outs
    )
    milestones = [Task(FINISH, 0, "Handed over", milestone=Milestone.FINISH)]
    starts = [one for one in tasks if one not in graph or not graph.in_degree(one)]
    if len(starts) > 1:
        milestones.append(Task(START, 0, "Work begins", milestone=Milestone.START))
        found |= {(START, one): "nothing else comes before it" for one in starts}
    return Ends(tuple(milestones), found, closed)


def _waiting(item: SendOut, first: tuple[str, ...], beyond: set[str]) -> tuple[str, ...]:
    """Return what waits for an item for which nothing else does."""
    return first if first and not beyond.intersection(item.after) else (FINISH,)


def _graph(
    ties: Iterable[tuple[str, str]], send_outs: Iterable[SendOut], links: Iterable[Link]
) -> nx.DiGraph[str]:
    """Return what comes before what; a send-out goes by the name of its last leg."""
    graph: nx.DiGraph[str] = nx.DiGraph(list(ties))
    graph.add_edges_from((one.before, one.after) for one in links)
    for item in send_outs:
        add_item(graph, item)
    return graph
