"""Which work comes before which, from the method cards alone.

Cards fall into three stages: what opens the aircraft up (for the whole of it, before any
treatment, or bay by bay), treatments, and what the whole aircraft needs after them. All
links of a draft lead from a card to one of a higher rank, so that no draft has a circle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property

import networkx as nx

from ribstitch.planning.drafting.jobs import Job
from ribstitch.planning.model import MethodCard, Plan

AIRCRAFT, BAY = "aircraft", "bay"
"""Driver units with a meaning: once for the whole aircraft; opens its zone up."""

EVERYWHERE = (None, "whole", "systems")
"""Zones that reach into every other zone."""


class Order:
    """The cards of a plan in an order, and the standing jobs that open up and that gather."""

    def __init__(self, plan: Plan, jobs: Sequence[Job]) -> None:
        self._cards = {card.id: card for card in plan.cards}
        self._graph: nx.DiGraph[str] = nx.DiGraph()
        self._graph.add_nodes_from(self._cards)
        self._graph.add_edges_from(
            (before, card.id) for card in plan.cards for before in card.after_cards
        )
        standing = [job for job in jobs if job.finding is None]
        self._first = [job for job in standing if _is_for_all(job) and self._opens(_card(job))]
        self._openers = [job for job in standing if _card(job).driver == BAY]
        self._opening_ids = {job.id for job in (*self._first, *self._openers)}
        opening = self._closed(
            {_card(job).id for job in (*self._first, *self._openers)}, nx.ancestors
        )
        late = [job for job in standing if _is_for_all(job) and _card(job).id not in opening]
        closing = self._closed({_card(job).id for job in late}, nx.descendants) - opening
        stage = {one: 0 if one in opening else 2 if one in closing else 1 for one in self._cards}
        place = {one: number for number, one in enumerate(self._cards)}
        ordered = nx.lexicographical_topological_sort(
            self._graph, key=lambda one: (stage[one], place[one])
        )
        self._rank = {one: float(number) for number, one in enumerate(ordered)}
        self._own_hours = len(opening) - 0.5
        self._late = late

    def rank(self, job: Job) -> tuple[float, bool]:
        """Return the place of a job; work of its own hours comes first among treatments."""
        card = self._own_hours if job.card is None else self._rank[job.card.id]
        return card, job.finding is not None

    @cached_property
    def dismantling(self) -> tuple[Job, ...]:
        """The last of what is done for the whole aircraft before anything is treated."""
        followed = {
            before for job in self._first for before in nx.ancestors(self._graph, _card(job).id)
        }
        return tuple(job for job in self._first if _card(job).id not in followed)

    @cached_property
    def gathering(self) -> Job | None:
        """The first of what the whole aircraft needs after treatments, such as assembly."""
        return min(self._late, key=self.rank, default=None)

    @cached_property
    def _opened_by(self) -> dict[str | None, list[Job]]:
        found: dict[str | None, list[Job]] = {}
        for job in self._openers:
            found.setdefault(job.zone, []).append(job)
        return found

    def opener(self, zone: str) -> Job | None:
        """Return the job that opens a zone up; the last one where there are several."""
        return self._opened_by.get(zone, [None])[-1]

    def openings(self, job: Job) -> tuple[Job, ...]:
        """Return what opens the way to a job: its zone's opening, else the dismantling."""
        opened = self._before(job, self._opened_by.get(job.zone, ()))
        return opened or self._before(job, self.dismantling)

    def is_opening(self, job: Job) -> bool:
        """Whether a standing job is itself one of those that open the aircraft up."""
        return job.id in self._opening_ids

    def _before(self, job: Job, others: Iterable[Job]) -> tuple[Job, ...]:
        return tuple(one for one in others if self.rank(one) < self.rank(job))

    def _opens(self, card: MethodCard) -> bool:
        """Whether nothing but work for the whole aircraft comes before a card."""
        return all(
            self._cards[one].driver == AIRCRAFT for one in nx.ancestors(self._graph, card.id)
        )

    def _closed(self, cards: set[str], reached: Callable[..., set[str]]) -> set[str]:
        """Return cards with all that is reached from them: before them, or after them."""
        return cards.union(*(reached(self._graph, one) for one in cards))


def _card(job: Job) -> MethodCard:
    """Return the card of a standing job: each has one."""
    if job.card is None:
        raise ValueError(f"{job.id} has no method card")
    return job.card


def _is_for_all(job: Job) -> bool:
    return _card(job).driver == AIRCRAFT


def share_zone(one: str | None, other: str | None) -> bool:
    """Whether work in one zone is also work in another."""
    return one == other or one in EVERYWHERE or other in EVERYWHERE
