"""The shop's method cards: steps, who uses them, what finished work makes of their hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ribstitch.planning.drafting.card_history import (
    ENOUGH_JOBS,
    Proposal,
    StepHistory,
    StepKey,
    card_history,
)
from ribstitch.planning.model import CardStep, MethodCard, Plan
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE, cautions
from ribstitch.store.kinds import METHOD_CARD

_DIGITS = 3
"""Of figures that are only looked at."""


@dataclass(frozen=True, slots=True)
class ProposedHours:
    """Better hours for a step, from the shop's own work."""

    hours: tuple[str, str, str]
    """Low, likely, high person-hours for each driver unit; decimal strings."""
    basis: str
    """Whose finished tasks: "step", "card" or "trade"."""
    jobs: int
    """How many of them."""
    ratio: float | None
    """Hours worked for each hour on the cards; None for "step"."""
    is_taken: bool
    """The card says so already."""


@dataclass(frozen=True, slots=True)
class StepLine:
    """What finished work tells of one step."""

    number: int
    jobs: int
    """Finished tasks with hours worked."""
    average: float | None
    """Mean person-hours for each driver unit."""
    proposal: ProposedHours | None


@dataclass(frozen=True, slots=True)
class CardLine:
    """One method card."""

    key: str
    version: int
    card: dict[str, Any]
    """As in the plan file: what stands at its default is left out."""
    findings: int
    """That are to be treated by it; withdrawn ones do not count."""
    standing_jobs: int
    steps: list[StepLine]
    """In the order of the card's steps."""


@dataclass(frozen=True, slots=True)
class MethodCards:
    """All method cards, and what there is to choose from."""

    cards: list[CardLine]
    """By name."""
    from_memory: int
    """Cards whose hours nobody has replaced yet, retired ones left out."""
    enough_jobs: int
    """With fewer finished tasks a step is judged by its card, or by its trade."""
    trades: list[str]
    hazards: list[str]
    """Tags with a caution of their own."""
    standing_line: str


def method_cards(current: CurrentPlan) -> MethodCards:
    """Return the method cards of a plan."""
    plan = current.plan
    trades = {step.trade for card in plan.cards for step in card.steps if step.trade}
    return MethodCards(
        cards=_lines(current, card_history(plan)),
        from_memory=sum(card.from_memory and not card.retired for card in plan.cards),
        enough_jobs=ENOUGH_JOBS,
        trades=sorted(trades | {one.trade for one in plan.crew}),
        hazards=list(cautions()),
        standing_line=STANDING_LINE,
    )


def _lines(current: CurrentPlan, history: Mapping[StepKey, StepHistory]) -> list[CardLine]:
    """Return the cards by name."""
    plan, versions = current.plan, current.versions[METHOD_CARD.name]
    found, standing = _uses(plan)
    return [
        CardLine(
            key=card.id,
            version=versions[card.id],
            card=METHOD_CARD.document(card) or {},
            findings=found[card.id],
            standing_jobs=standing[card.id],
            steps=[_step(card, place, history) for place in range(len(card.steps))],
        )
        for card in sorted(plan.cards, key=lambda one: (one.name.casefold(), one.id))
    ]


def _uses(plan: Plan) -> tuple[Counter[str | None], Counter[str]]:
    """Return how many findings, and how many standing jobs, are worked by each card."""
    findings = Counter(one.card for one in plan.findings if not one.dropped)
    return findings, Counter(job.card for job in plan.standing_jobs)


def _step(card: MethodCard, place: int, history: Mapping[StepKey, StepHistory]) -> StepLine:
    """Return what is told of one step."""
    step = card.steps[place]
    known = history[card.id, step.number]
    average = None if known.average is None else round(float(known.average), _DIGITS)
    return StepLine(step.number, known.jobs, average, _proposed(known.proposal, step))


def _proposed(proposal: Proposal | None, step: CardStep) -> ProposedHours | None:
    if proposal is None:
        return None
    is_taken = proposal.hours == step.hours
    low, likely, high = (f"{one:f}" for one in proposal.hours)
    ratio = None if proposal.ratio is None else round(float(proposal.ratio), _DIGITS)
    return ProposedHours((low, likely, high), proposal.basis, proposal.jobs, ratio, is_taken)
