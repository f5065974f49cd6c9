"""Send-outs: what leaves the shop in which crate, after which work, and what waits for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil

import networkx as nx

from ribstitch.planning.check_values import LONGEST_ID
from ribstitch.planning.drafting.jobs import Job, letters
from ribstitch.planning.drafting.order import Order
from ribstitch.planning.drafting.problems import Problem
from ribstitch.planning.drafting.vendors import Offers
from ribstitch.planning.model import SendOut, Source, Treatment
from ribstitch.planning.ticks import TICKS_PER_DAY

PREPARE_DAYS, ROAD_DAYS, INTAKE_DAYS, APPROVAL_DAYS, ACCEPT_DAYS = 1, 3, 5, 7, 1
"""Until somebody knows better: take off and pack, each way on the road, look inside and
quote, the owner's yes, accept. Common practice, no source."""
EXCHANGE_LEAD_DAYS = 10
"""A unit off the shelf waits for no overhaul. From memory."""

_FITTED = frozenset({Treatment.REPLACE, Treatment.REPRODUCE, Treatment.RESTORE})
"""Treatments of which the shop's own hours come once the item is here: it is fitted."""

_MOST_NAMED = 3
_LONGEST_NAME = 200
"""Several findings in one crate are named as far as a line goes; own choice."""


@dataclass
class _Crate:
    """What leaves in one crate."""

    id: str
    jobs: list[Job] = field(default_factory=list)
    after: list[str] = field(default_factory=list)
    before: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Crates:
    """The send-outs of a draft."""

    send_outs: tuple[SendOut, ...]
    by_job: Mapping[str, str]
    """The send-out of each job that has one."""
    problems: tuple[Problem, ...]


def crates_of(
    jobs: Sequence[Job],
    order: Order,
    offers: Offers,
    ties: Mapping[tuple[str, str], str],
) -> Crates:
    """
    Return what is sent out. Where no task waits for an item, `before` is empty.

    Parameters
    ----------
    jobs
        All jobs.
    order
        Of the cards.
    offers
        Which vendor does what, and how long it takes.
    ties
        Pairs of tasks, the first of which comes first.
    """
    problems: list[Problem] = []
    made: dict[str, tuple[_Crate, SendOut]] = {}
    for crate in _packed(jobs):
        item = _send_out(crate, order, offers)
        if isinstance(item, Problem):
            problems.append(item)
        else:
            made[crate.id] = crate, item
            problems += _at_odds(crate, offers)
    graph: nx.DiGraph[str] = nx.DiGraph(list(ties))
    for item in _without_circles([item for _crate, item in made.values()], graph):
        crate, _item = made.pop(item.id)
        crate_jobs = ", ".join(job.id for job in crate.jobs)
        problems.append(
            Problem(None, f"{item.id}: {crate_jobs} cannot leave in one crate: one of them waits "
                    "for another to be back. Give them send-outs of their own.")
        )  # fmt: skip
    return Crates(
        tuple(item for _crate, item in made.values()),
        {job.id: name for name, (crate, _item) in made.items() for job in crate.jobs},
        tuple(problems),
    )


def crate_id(job: Job) -> str | None:
    """Return the send-out that a job's item leaves with; each unit has one of its own."""
    finding = job.finding
    if finding is None or (finding.send_out_kind is None and finding.send_out is None):
        return None
    name = finding.send_out or f"S-{finding.id}"
    return f"{name}{letters(job.unit)}" if job.unit else name


def _packed(jobs: Sequence[Job]) -> list[_Crate]:
    """Put into crates what leaves the shop."""
    crates: dict[str, _Crate] = {}
    for job in jobs:
        name = crate_id(job)
        if name is None:
            continue
        crate = crates.setdefault(name, _Crate(name))
        crate.jobs.append(job)
        after, before = _around(job)
        crate.after += after
        crate.before += before
    return list(crates.values())


def _around(job: Job) -> tuple[list[str], list[str]]:
    """Return the tasks of a job after which its item leaves, and those that wait for it."""
    if job.card is None:
        return ([], [job.id]) if _is_fitted(job) else ([job.id], [])
    leaves, back = job.card.leaves_after, job.card.back_before
    if leaves is None and back is None:
        return [], list(job.last)
    return (
        [] if leaves is None else [job.task(leaves)],
        [] if back is None else [job.task(back)],
    )


def _is_fitted(job: Job) -> bool:
    """Whether a job of its own hours is done when the item is here, not before it leaves."""
    finding = job.finding
    return finding is not None and (
        finding.treatment in _FITTED or finding.source is not Source.OVERHAUL
    )


def _send_out(crate: _Crate, order: Order, offers: Offers) -> SendOut | Problem:
    """Return the send-out of a crate, or why there is none."""
    findings = [job.finding for job in crate.jobs if job.finding]
    if len(crate.id) > LONGEST_ID:
        return Problem(
            findings[0].id,
            f"{findings[0].id} leaves with {crate.id}, but that id is too long: give its send-out "
            "a shorter one.",
        )
    kind = next((one.send_out_kind for one in findings if one.send_out_kind), None)
    if kind is None:
        return Problem(
            findings[0].id,
            f"{findings[0].id} leaves with {crate.id}, but no finding says for what kind of work.",
        )
    asked = offers.vendor(kind)
    if asked is None:
        return Problem(
            findings[0].id,
            f"{findings[0].id} is to be sent out ({offers.name(kind)}), but no vendor takes that: "
            "add one, or say of one that it does, and draft again.",
            without_vendor=kind,
        )
    source = next((one.source for one in findings if one.source is not Source.OVERHAUL), None)
    openings = [one for job in crate.jobs for before in order.openings(job) for one in before.last]
    item = SendOut(
        id=crate.id,
        vendor=asked.vendor,
        name=_name(crate),
        kind=kind,
        source=source or Source.OVERHAUL,
        after=tuple(dict.fromkeys(crate.after or openings)),
        before=tuple(dict.fromkeys(crate.before)),
        accept=ACCEPT_DAYS * TICKS_PER_DAY,
    )
    return (
        item if source is Source.IN_HAND else _with_legs(item, offers.lead_days(asked.vendor, kind))
    )


def _at_odds(crate: _Crate, offers: Offers) -> Iterator[Problem]:
    """Yield who asks of a crate for another work, or another way back, than the first who asks."""
    findings = [job.finding for job in crate.jobs if job.finding]
    works = [(one.id, offers.name(one.send_out_kind)) for one in findings if one.send_out_kind]
    ways = [
        (one.id, one.source.value.replace("_", " "))
        for one in findings
        if one.source is not Source.OVERHAUL
    ]
    for asked, what in ((works, "for other work"), (ways, "to come back in another way")):
        for finding, said in asked[1:]:
            first, planned = asked[0]
            if said != planned:
                yield Problem(
                    finding,
                    f"{finding} leaves with {crate.id} {what} ({said}) than {first} ({planned}), "
                    "which alone is planned: give it a send-out of its own.",
                )


def _with_legs(item: SendOut, quoted_days: Fraction) -> SendOut:
    """Return a send-out with its usual legs; a lent pattern comes back as well."""
    lead = Fraction(EXCHANGE_LEAD_DAYS) if item.source is Source.EXCHANGE else quoted_days
    road = ROAD_DAYS * TICKS_PER_DAY
    return replace(
        item,
        prepare=PREPARE_DAYS * TICKS_PER_DAY,
        ship_out=road,
        intake=INTAKE_DAYS * TICKS_PER_DAY,
        approval=APPROVAL_DAYS * TICKS_PER_DAY,
        lead=ceil(lead) * TICKS_PER_DAY,
        ship_back=road,
        return_leg=road if item.source is Source.PATTERN else 0,
    )


def _name(crate: _Crate) -> str:
    """Return what is in a crate, in a few words."""
    titles = list(dict.fromkeys(job.title for job in crate.jobs))
    text = "; ".join(titles[:_MOST_NAMED])
    more = len(titles) - _MOST_NAMED
    return (f"{text} and {more} more" if more > 0 else text)[:_LONGEST_NAME]


def _without_circles(items: Sequence[SendOut], graph: nx.DiGraph[str]) -> list[SendOut]:
    """Return the send-outs that would close a circle with those before them."""
    whole = graph.copy()
    for item in items:
        add_item(whole, item)
    if nx.is_directed_acyclic_graph(whole):
        return []
    refused = []
    for item in items:
        add_item(graph, item)
        if not nx.descendants(graph, _node(item)).isdisjoint(item.after):
            graph.remove_node(_node(item))
            refused.append(item)
    return refused


def add_item(graph: nx.DiGraph[str], item: SendOut) -> None:
    """Put a send-out between the tasks that it waits for and those that wait for it."""
    graph.add_edges_from((one, _node(item)) for one in item.after)
    graph.add_edges_from((_node(item), one) for one in item.before)


def _node(item: SendOut) -> str:
    """Return the name of a send-out among tasks: a leg's, which no task can have."""
    return f"{item.id}/accept"
