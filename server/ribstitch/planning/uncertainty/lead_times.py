"""How long vendors still take over what they have been sent, with its chances.

The time from the start of the vendor's work to the item's leaving is a reference (the
quoted lead time, or the time promised) times a ratio whose logarithm follows Student's t
(`VendorRecord`). What is known today cuts it off from below: a job that has been out for t
days takes more than t.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property
from math import exp, inf, log

import numpy as np

from ribstitch.planning.activities import VENDOR_LEG, Activity, OpenLegs, floor_of
from ribstitch.planning.model import Plan, SendOut
from ribstitch.planning.passes import EarlyDates, forward
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks, end_of
from ribstitch.planning.uncertainty.normal_gamma import Floats, NormalInverseGamma
from ribstitch.planning.uncertainty.vendor_record import (
    Learned,
    VendorRecord,
    activity_of,
    work_between,
)

GIVEN_UP = 10.0
"""No job takes more than so many times its reference: by then it is taken elsewhere."""
GIVEN_UP_LATE = 3.0
"""Nor, where it has been out long, more than so many times what it has taken already."""

LEAST_PROMISED = TICKS_PER_DAY
"""A promise for a date before the work begins is taken for one of this, where nothing is
quoted. [ticks]"""

PROMISE_BEATEN = 0.02
"""A promise tells the earliest that is to be expected: what 2 jobs in 100 of this vendor
would take who keeps promises as this one has. How late it will be, the record over quotes
tells better: a promise often only repeats the quote. Own choice, no source; checked by
tests/bench/calibration.py."""


class Basis(StrEnum):
    """What a lead time is measured against."""

    QUOTE = "quote"
    PROMISE = "promise"


@dataclass(frozen=True, slots=True)
class Stay:
    """
    Time that the vendor takes over something, on the vendor's calendar.

    The time is `reference_ticks` times a ratio, which is the exponential of a value of
    the posterior's predictive distribution, known to be more than `elapsed_ticks`. That
    distribution has no mean worth the name: only its quantiles are used.
    """

    posterior: NormalInverseGamma
    reference_ticks: int
    """What the ratio 1 means."""
    elapsed_ticks: int
    """Worked on the vendor's calendar since it began, 0 if it has not."""
    least_ticks: int = 0
    """What it takes at least, by a promise that is in force."""

    @property
    def ratio(self) -> float:
        """Median of time over reference, before what is known today."""
        return exp(self.posterior.mean)

    def remaining_quantiles(self, levels: Floats | Sequence[float]) -> Floats:
        """
        Return what remains from the as-of date on at chances `levels`, at least a tick.

        Parameters
        ----------
        levels
            Chances strictly between 0 and 1, any shape.
        """
        reference, elapsed = self.reference_ticks, self.elapsed_ticks
        least = max(elapsed, self.least_ticks)
        low = log(least / reference) if least else -inf
        high = log(max(GIVEN_UP, GIVEN_UP_LATE * least / reference))
        ratios = np.exp(self.posterior.quantiles_between(levels, low, high))
        remaining: Floats = np.maximum(reference * ratios - elapsed, 1.0)
        return remaining

    def total_quantiles(self, levels: Floats | Sequence[float]) -> Floats:
        """Return the time from its beginning at chances `levels`, in ticks."""
        return self.elapsed_ticks + self.remaining_quantiles(levels)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadTime(Stay):
    """The vendor's work on one open send-out, and what is known of the vendor."""

    leg: str
    """The activity that this is about: the vendor's work, or the intake if nothing else
    is left to the vendor."""
    quoted_ticks: int
    """Its planned duration, whatever has been promised."""
    basis: Basis
    jobs: int
    """Finished jobs of this vendor that this rests on."""
    kind_jobs: int
    """Finished jobs of this kind by other vendors that this rests on."""
    rejected: float
    """Chance that the item is turned down on arrival and makes a second trip; 0 for what
    is a second trip already."""
    promised_ticks: int | None
    """From the beginning of the work to the date promised, if any is."""
    intake: Stay | None
    """The intake before the work, if it is not over: its ratio is that of the work to the
    quote."""

    @property
    def shared_share(self) -> float:
        """Correlation of the logarithms of two future jobs of this vendor."""
        return self.posterior.likeness

    @property
    def figures(self) -> LeadFigures:
        """What a page says of it."""
        p10, p50, p80, p90 = np.ceil(self.total_quantiles((0.1, 0.5, 0.8, 0.9)) / TICKS_PER_DAY)
        promised = None if self.promised_ticks is None else days_from_ticks(self.promised_ticks)
        return LeadFigures(
            quoted_days=days_from_ticks(self.quoted_ticks),
            promised_days=promised,
            ratio=self.ratio,
            jobs=self.jobs,
            kind_jobs=self.kind_jobs,
            p10_days=int(p10),
            p50_days=int(p50),
            p80_days=int(p80),
            p90_days=int(p90),
            elapsed_days=days_from_ticks(self.elapsed_ticks),
            basis=self.basis,
            rejected=self.rejected,
            sentence=self._sentence(int(p80)),
        )

    def _sentence(self, p80_days: int) -> str:
        """Say what it means."""
        is_quote = self.basis is Basis.QUOTE
        takes = f"{self.ratio:.1f} times the {'quote' if is_quote else 'time promised'}"
        if self.jobs:
            record = f"jobs of this vendor take {takes} ({_jobs(self.jobs)} seen)"
        elif self.kind_jobs:
            record = f"jobs of this kind take {takes} ({_jobs(self.kind_jobs)} of others seen)"
        else:
            record = f"such jobs usually take {takes} (none of this vendor seen yet)"
        elapsed = days_from_ticks(self.elapsed_ticks)
        within = _days(p80_days)
        if elapsed:
            within = f"{within}, {elapsed:.3g} of them gone"
        return f"{self._given()}; {record}; 8 chances in 10 to be done within {within}."

    def _given(self) -> str:
        """Say what the vendor said itself."""
        quoted = _days(days_from_ticks(self.quoted_ticks))
        if self.promised_ticks is None:
            return f"Quoted {quoted}"
        promised = _days(days_from_ticks(self.promised_ticks))
        if not self.quoted_ticks:
            return f"Promised within {promised}"
        return f"Quoted {quoted}, promised within {promised}"


@dataclass(frozen=True, slots=True)
class LeadFigures:
    """A lead time for people: working days of the vendor since its work began."""

    quoted_days: float
    promised_days: float | None
    """What the vendor's last word means; None without one."""
    ratio: float
    """Median of actual over quoted (or promised) time."""
    jobs: int
    """Finished jobs of this vendor that this rests on."""
    kind_jobs: int
    """Finished jobs of this kind by other vendors that this rests on."""
    p10_days: int
    """Full days, rounded up, like the three below."""
    p50_days: int
    p80_days: int
    p90_days: int
    elapsed_days: float
    basis: Basis
    rejected: float
    """Chance that the item is turned down on arrival and goes back."""
    sentence: str
    """What all of it means."""


def _days(days: float) -> str:
    """Return a number of days in words."""
    return f"{days:g} day" if days == 1 else f"{days:.4g} days"


def _jobs(count: int) -> str:
    """Return a number of jobs in words."""
    return "1 job" if count == 1 else f"{count} jobs"


def lead_times(plan: Plan, prepared: Prepared) -> Mapping[str, LeadTime]:
    """
    Return the lead time of each open send-out whose vendor has work to finish.

    Parameters
    ----------
    plan
        A plan that `check_plan` accepts.
    prepared
        The same plan made ready.
    """
    vendors = _Vendors(prepared)
    by_id = {item.id: item for item in plan.send_outs}
    return {
        name: vendors.lead_time(by_id[name], legs)
        for name, legs in prepared.expansion.open_legs.items()
        if legs.at_vendor
    }


class _Vendors:
    """What is known of the vendors of one plan."""

    def __init__(self, prepared: Prepared) -> None:
        self.prepared = prepared
        self.record = VendorRecord.of(prepared)
        self.now = floor_of(prepared.plan)

    @cached_property
    def early(self) -> EarlyDates:
        """Early dates of the plan as written."""
        return forward(self.prepared.network, self.prepared.values)

    def lead_time(self, item: SendOut, legs: OpenLegs) -> LeadTime:
        """Return the lead time of one open send-out."""
        leg = activity_of(self.prepared, legs.slip)
        learned, basis = self.record.over_quote(item.vendor, item.kind), Basis.QUOTE
        intake = self._intake(item, learned)
        quoted = reference = item.lead
        promised, least = self._promise(item, leg), 0
        if leg.leg != VENDOR_LEG:
            quoted = reference = item.intake
            intake = None
        elif promised is not None:
            kept = self.record.over_promise(item.vendor)
            if quoted == 0:
                learned, basis = kept, Basis.PROMISE
                reference = max(promised, LEAST_PROMISED)
            else:
                least = round(promised * exp(kept.posterior.quantile(PROMISE_BEATEN)))
        first_trip = item.trip_of is None
        return LeadTime(
            posterior=learned.posterior,
            reference_ticks=reference,
            elapsed_ticks=self._elapsed(leg),
            least_ticks=least,
            leg=leg.id,
            quoted_ticks=quoted,
            promised_ticks=promised,
            basis=basis,
            jobs=learned.jobs,
            kind_jobs=learned.kind_jobs,
            rejected=self.record.rejected(item.vendor, item.kind) if first_trip else 0.0,
            intake=intake,
        )

    def _promise(self, item: SendOut, leg: Activity) -> int | None:
        """
        Return the time from the beginning of the vendor's work to the date promised.

        None where nothing is promised, or only a date before the work could begin. [ticks]
        """
        if leg.leg != VENDOR_LEG or item.status.promised is None:
            return None
        promised = self._promised_ticks(leg, item.status.promised)
        return max(promised, 0) if promised > 0 or item.lead == 0 else None

    def _intake(self, item: SendOut, by_quote: Learned) -> Stay | None:
        """Return the intake of an item, if it is still to be finished."""
        if item.intake == 0:
            return None
        leg = activity_of(self.prepared, f"{item.id}/intake")
        return None if leg.is_done else Stay(by_quote.posterior, item.intake, self._elapsed(leg))

    def _elapsed(self, leg: Activity) -> int:
        """Return what has been worked since a leg began. [ticks]"""
        if leg.started is None:
            return 0
        return max(work_between(self.prepared, leg, leg.started, self.now), 0)

    def _promised_ticks(self, leg: Activity, promised: date) -> int:
        """
        Return the time from the beginning of the vendor's work to a promised date.

        Where it has not begun, from when it could begin as the plan is written; 0 or less
        if that is after the promise. [ticks]
        """
        begin = leg.started
        if begin is None:
            prepared = self.prepared
            ends = [
                int(self.early.end[prepared.rank(link.before)]) + prepared.network.origin
                for link in prepared.expansion.links
                if link.after == leg.id
            ]
            begin = max([self.now, *ends])
        return work_between(self.prepared, leg, begin, end_of(promised))
