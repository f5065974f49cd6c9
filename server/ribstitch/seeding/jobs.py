"""The jobs of a scenario: what its evaluation asks for, and what came over and above."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from ribstitch.planning import drafting
from ribstitch.planning.drafting import Job, Work
from ribstitch.planning.drafting.hours import Hours
from ribstitch.planning.model import Plan
from ribstitch.seeding.csv_rows import rows


def list_jobs(survey: Plan, texts: Mapping[str, str]) -> tuple[Job, ...]:
    """
    Return every job of a scenario: standing jobs, findings, extra work.

    Raises
    ------
    ValueError
        If something stands in the way of a job.
    """
    jobs, problems = drafting.list_jobs(survey)
    if problems:
        raise ValueError(problems[0].sentence)
    return (*jobs, *extra_jobs(texts["over_and_above"]))


def extra_tasks(over_and_above: str) -> frozenset[str]:
    """Return the over-and-above items that became tasks."""
    return frozenset(row["ref"] for row in rows(over_and_above) if row["trade"] and row["approved"])


def extra_jobs(over_and_above: str) -> Iterator[Job]:
    """Return the over-and-above items that are hours, and that the owners agreed to."""
    for row in rows(over_and_above):
        ref, hours = row["ref"], Fraction(row["hours"])
        if ref in extra_tasks(over_and_above):
            work = Work(ref, ref, row["title"], row["trade"], 1, Hours(hours, hours, hours))
            yield Job(ref, row["title"], row["zone"], row["chapter"], (work,))


def is_extra(job: Job) -> bool:
    """Whether a job is over and above the first plan: no finding and no card asks for it."""
    return job.finding is None and job.card is None


def hours_by_trade(jobs: Sequence[Job]) -> dict[str, Fraction]:
    """Return the likely hours of the first plan (nothing over and above) by trade."""
    totals: dict[str, Fraction] = {}
    for job in jobs:
        for work in () if is_extra(job) else job.works:
            if work.trade is not None:
                totals[work.trade] = totals.get(work.trade, Fraction(0)) + work.hours.likely
    return totals
