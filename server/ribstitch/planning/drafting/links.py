"""What waits for what: within cards, after the opening-up, between cards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ribstitch.planning.drafting.jobs import Job
from ribstitch.planning.drafting.order import AIRCRAFT, Order, share_zone

Tie = tuple[str, str, str]
"""The task that comes first, the one that waits, and why."""


def ties_of(jobs: Sequence[Job], order: Order) -> dict[tuple[str, str], str]:
    """Return every pair of tasks of which one waits for the other, with why, each pair once."""
    found: dict[tuple[str, str], str] = {}
    for tie in (*_within(jobs), *_after_opening(jobs, order), *_between(jobs, order)):
        before, after, why = tie
        found.setdefault((before, after), why)
    return found


def _within(jobs: Sequence[Job]) -> Iterator[Tie]:
    """Steps follow the steps that their card names."""
    for job in jobs:
        for work in job.works:
            for number in work.step.after if work.step else ():
                yield job.task(number), work.id, f"order of the steps of {_name(job)}"


def _after_opening(jobs: Sequence[Job], order: Order) -> Iterator[Tie]:
    """Every finding waits for its zone to be opened up, or for the dismantling."""
    for job in jobs:
        if job.finding is not None:
            for before in order.openings(job):
                yield from _pairs(before, job, f"{before.title} first")


def _between(jobs: Sequence[Job], order: Order) -> Iterator[Tie]:
    """
    Cards wait for the cards that come first: in their zone, or everywhere.

    A standing job for which nothing comes first waits like a finding.
    """
    by_card: dict[str, list[tuple[int, Job]]] = {}
    for number, job in enumerate(jobs):
        if job.card is not None:
            by_card.setdefault(job.card.id, []).append((number, job))
    for job in jobs:
        if job.card is None:
            continue
        everywhere = job.card.driver == AIRCRAFT
        earlier = {
            number: before
            for card in job.card.after_cards
            for number, before in by_card.get(card, ())
            if everywhere or share_zone(before.zone, job.zone)
        }
        for number in sorted(earlier):
            yield from _card_pairs(earlier[number], job)
        if not earlier and job.finding is None and not order.is_opening(job):
            for before in order.openings(job):
                yield from _pairs(before, job, f"{before.title} first")


def _card_pairs(before: Job, job: Job) -> Iterator[Tie]:
    """Tie a job to one whose card comes first: whole after whole, or step by step."""
    why = f"{_name(job)} comes after {_name(before)}"
    inside = [one for one in (job.card.inside if job.card else ()) if _is_card(before, one.card)]
    if not inside:
        yield from _pairs(before, job, why)
    for one in inside:
        yield before.task(one.step), job.task(one.before), f"{why}, step by step"


def _pairs(before: Job, after: Job, why: str) -> Iterator[Tie]:
    for one in before.last:
        for other in after.first:
            yield one, other, why


def _is_card(job: Job, card: str) -> bool:
    return job.card is not None and job.card.id == card


def _name(job: Job) -> str:
    return f"card {job.card.id}" if job.card else job.id
