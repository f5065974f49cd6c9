"""How much work each zone may still hide, out of the grades of its findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from ribstitch.planning.drafting.crates import crate_id
from ribstitch.planning.drafting.jobs import Job
from ribstitch.planning.drafting.order import EVERYWHERE, Order
from ribstitch.planning.holding import has_begun
from ribstitch.planning.model import Plan, Zone


def zones_of(
    plan: Plan, jobs: Sequence[Job], order: Order, percent_of_grade: Mapping[int, int]
) -> tuple[Zone, ...]:
    """
    Return the zones, each with its allowance for work not yet found.

    The allowance is the one of the findings' grades, weighted by their likely hours. A
    zone that is opened up is given what it hid before, and the step that shows what is
    there. Any other zone is given what its findings not yet looked into may hide, set
    against all of its work not yet begun. What reaches into every zone hides nothing of
    its own.
    """
    share = _Shares(plan, percent_of_grade)
    by_zone: dict[str | None, list[Job]] = {}
    for job in jobs:
        by_zone.setdefault(job.zone, []).append(job)
    found = []
    for zone in plan.zones:
        opener = order.opener(zone.id)
        own = [job for job in by_zone.get(zone.id, ()) if not order.is_opening(job)]
        hidden = 0
        if zone.id not in EVERYWHERE:
            hidden = share.to_come(own) if opener is None else share.at_first(own)
        opened_by = None if opener is None else opener.works[-1].id
        found.append(replace(zone, hidden_work_percent=float(hidden), opened_by=opened_by))
    return tuple(found)


class _Shares:
    """What part of some work its findings may add."""

    def __init__(self, plan: Plan, percent_of_grade: Mapping[int, int]) -> None:
        self._percent = percent_of_grade
        self._begun = {one.id for one in plan.tasks if has_begun(one)}
        self._back = {one.id for one in plan.send_outs if one.status.accepted}

    def at_first(self, jobs: Sequence[Job]) -> int:
        """Return the allowance before anything is begun. [whole %]"""
        return _percent((_hours(job, set()), self._hides(job)) for job in jobs)

    def to_come(self, jobs: Sequence[Job]) -> int:
        """Return the allowance of what nobody has looked into, of all work to come. [whole %]"""
        seen = {job.finding.id for job in jobs if job.finding and self._is_looked_into(job)}
        return _percent(
            (
                _hours(job, self._begun),
                0 if job.finding and job.finding.id in seen else self._hides(job),
            )
            for job in jobs
        )

    def _hides(self, job: Job) -> int:
        return self._percent.get(job.finding.grade, 0) if job.finding else 0

    def _is_looked_into(self, job: Job) -> bool:
        """Whether the work of a job has begun, or its item is back and accepted."""
        return crate_id(job) in self._back or any(one.id in self._begun for one in job.works)


def _hours(job: Job, begun: set[str]) -> Fraction:
    """Return the likely hours of people in a job, but for what is begun."""
    return sum(
        (one.hours.likely for one in job.works if one.trade and one.id not in begun), Fraction(0)
    )


def _percent(parts: Iterator[tuple[Fraction, int]]) -> int:
    """Return the mean of percentages, weighted by hours. [whole %]"""
    total = hidden = Fraction(0)
    for hours, percent in parts:
        total += hours
        hidden += hours * percent
    return round(hidden / total) if total else 0
