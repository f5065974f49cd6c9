"""Jobs and their work: what findings and standing jobs ask for.

A job is one finding (or one unit of it, where its card goes unit by unit) or one standing
job. Each of its steps becomes one piece of work, one task.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import ceil

from ribstitch.planning.drafting.hours import Hours, hours_of
from ribstitch.planning.drafting.problems import Problem
from ribstitch.planning.model import CardStep, Finding, MethodCard, Plan, Treatment

START, FINISH = "work_begins", "handed_over"
"""The ids of the milestones that a draft begins and ends with."""

LONGEST_JOB_ID = 60
"""So that ids made of it stay within what a plan file takes."""
MOST_UNITS = 200
"""Of a finding whose card goes unit by unit."""

_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Work:
    """One task to be: hours of one trade, or time that passes."""

    id: str
    job: str
    name: str
    trade: str | None
    people: int
    hours: Hours
    step: CardStep | None = None


@dataclass(frozen=True)
class Job:
    """Pieces of work that belong together."""

    id: str
    title: str
    zone: str | None
    chapter: str | None
    works: tuple[Work, ...]
    card: MethodCard | None = None
    finding: Finding | None = None
    """None: a standing job."""
    quantity: Decimal = Decimal(1)
    """In driver units of the card, without needless zeros."""
    unit: int = 0
    """Which unit of the finding, from 0, where its card goes unit by unit."""

    @cached_property
    def first(self) -> tuple[str, ...]:
        """The ids of the tasks that wait for what comes before the job."""
        return tuple(one.id for one in self.works if one.step is None or not one.step.after)

    @cached_property
    def last(self) -> tuple[str, ...]:
        """The ids of the tasks that end the job: no other step of it follows them."""
        followed = {number for one in self.works if one.step for number in one.step.after}
        return tuple(
            one.id for one in self.works if one.step is None or one.step.number not in followed
        )

    def task(self, step: int) -> str:
        """Return the id of the task of a step."""
        return f"{self.id}.{step}"


def list_jobs(plan: Plan) -> tuple[tuple[Job, ...], tuple[Problem, ...]]:
    """Return every job of a plan, standing jobs first, and what stands in the way of others."""
    cards = {card.id: card for card in plan.cards}
    jobs: dict[str, Job] = {}
    problems: list[Problem] = []
    taken = {START, FINISH}
    for wanted in (*_standing_jobs(plan, cards), *_all_findings(plan, cards)):
        if isinstance(wanted, Problem):
            problems.append(wanted)
            continue
        ids = {one.id for one in wanted.works}
        if wanted.id in jobs or ids & taken:
            finding = wanted.finding.id if wanted.finding else None
            problems.append(Problem(finding, f"{wanted.id}: other work has this id already."))
            continue
        jobs[wanted.id] = wanted
        taken |= ids
    return tuple(jobs.values()), tuple(problems)


def is_decided(finding: Finding) -> bool:
    """Whether a finding that still stands has a treatment."""
    return finding.treatment is not None and not finding.dropped


def _standing_jobs(plan: Plan, cards: dict[str, MethodCard]) -> Iterator[Job | Problem]:
    """Return the work that the aircraft needs whatever is found."""
    for one in plan.standing_jobs:
        if len(one.id) > LONGEST_JOB_ID:
            yield Problem(None, f"{one.id}: the id is too long to make others of it.")
            continue
        card = cards[one.card]
        title = one.title or card.name
        works = _works(one.id, title, card, one.quantity)
        quantity = _plain_number(one.quantity)
        yield Job(one.id, title, one.zone, one.chapter, works, card, None, quantity)


def _all_findings(plan: Plan, cards: dict[str, MethodCard]) -> Iterator[Job | Problem]:
    """Return what the findings lead to."""
    for finding in plan.findings:
        if is_decided(finding):
            yield from _finding_jobs(finding, cards)


def _finding_jobs(finding: Finding, cards: dict[str, MethodCard]) -> Iterator[Job | Problem]:
    """Return the job of one finding; several where its card goes unit by unit."""
    if len(finding.id) > LONGEST_JOB_ID:
        yield Problem(finding.id, f"{finding.id}: the id is too long to make others of it.")
    elif finding.card is not None:
        yield from _card_jobs(finding, cards[finding.card])
    elif finding.own_hours is not None:
        title = _title(finding, "")
        hours = hours_of(finding.own_hours)
        work = Work(finding.id, finding.id, title, finding.own_trade, 1, hours)
        yield Job(finding.id, title, finding.zone, finding.chapter, (work,), None, finding)
    elif finding.treatment is not Treatment.KEEP:
        yield Problem(
            finding.id,
            f"{finding.id} is to be treated ({treatment_word(finding.treatment)}), but neither a "
            "method card nor hours say what work that is.",
        )


def _card_jobs(finding: Finding, card: MethodCard) -> Iterator[Job | Problem]:
    """Return the job or jobs that carry a finding out by a card."""
    title = _title(finding, card.name)
    zone, chapter = finding.zone, finding.chapter
    if not card.one_by_one:
        works = _works(finding.id, title, card, finding.quantity)
        quantity = _plain_number(finding.quantity)
        yield Job(finding.id, title, zone, chapter, works, card, finding, quantity)
        return
    if finding.quantity > MOST_UNITS:
        yield Problem(
            finding.id,
            f"{finding.id}: card {card.id} goes {card.driver} by {card.driver}, "
            f"{MOST_UNITS} at most and not {finding.quantity:f}.",
        )
        return
    for unit in range(ceil(finding.quantity)):
        job, name = f"{finding.id}{letters(unit)}", f"{title} {unit + 1}"
        quantity = _plain_number(min(Decimal(1), finding.quantity - unit))
        works = _works(job, name, card, quantity)
        yield Job(job, name, zone, chapter, works, card, finding, quantity, unit)


def _works(job: str, title: str, card: MethodCard, quantity: Decimal) -> tuple[Work, ...]:
    """Turn the steps of a card into work; what only takes time takes no longer for more units."""
    units = Fraction(quantity)
    return tuple(
        Work(
            id=f"{job}.{step.number}",
            job=job,
            name=f"{title}: {_lower_first(step.name)}",
            trade=step.trade,
            people=step.people,
            hours=hours_of(step.hours).times(Fraction(1) if step.trade is None else units),
            step=step,
        )
        for step in card.steps
    )


def letters(number: int) -> str:
    """Return a, b, ... z, aa, ab, ... for 0, 1, ..."""
    text = ""
    while number >= 0:
        number, letter = divmod(number, len(_LETTERS))
        text, number = _LETTERS[letter] + text, number - 1
    return text


def _title(finding: Finding, otherwise: str) -> str:
    """Return what to call the work of a finding."""
    return finding.title or otherwise or finding.seen.partition("\n")[0][:60].strip()


def _plain_number(quantity: Decimal) -> Decimal:
    """Return a quantity as one writes it: 1.50 as 1.5, 10.0 as 10."""
    return Decimal(f"{quantity.normalize():f}")


def treatment_word(treatment: Treatment | None) -> str:
    """Return a treatment as one writes it: ``re-cover``."""
    return "" if treatment is None else treatment.value.replace("_", "-")


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]
