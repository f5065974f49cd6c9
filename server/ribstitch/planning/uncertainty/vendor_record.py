"""What finished jobs tell of vendors: how long against the quote, against the promise, how
dear against the first price, and how often the item was turned down.

Time and price are on the logarithm of a ratio, so that "twice as much" and "half as much"
weigh alike. A vendor is thought of as one of many that do a kind of work, a kind as one of
many of the trade: with little of its own to go by, each is judged by what it is one of.
The days of jobs sent back do not count: they hold a second trip. Their prices do.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import log

import numpy as np

from ribstitch.planning.activities import VENDOR_LEG, Activity
from ribstitch.planning.model import Cost, PastJob, SendOut, SendOutKind, Source
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of, start_of
from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma

TRADE_MEDIAN, TRADE_P90 = 1.25, 1.9
"""Actual over quoted time of work sent out, whatever the kind: the middle, and what nine of
ten jobs keep within. From memory, no source."""
PROMISE_MEDIAN, PROMISE_P90 = 1.05, 1.35
"""Actual time over the time last promised, likewise. From memory, no source."""
GROWTH_MEDIAN, GROWTH_P90 = 1.15, 1.5
"""Final over first price of work sent out, likewise. From memory, no source."""
TRADE_REJECTED = 0.05
"""Share of items turned down on arrival where the plan says nothing of the kind. From memory,
no source."""
KIND_WEIGHT = 6.0
"""The figures given for a kind count like so many finished jobs of it, for their middle."""
KIND_SHAPE = 4.0
"""They count like twice so many jobs, for their spread."""
VENDOR_WEIGHT = 3.0
"""A vendor's own record outweighs that of its kind after so many jobs: vendors differ."""
VENDOR_SHAPE = 4.0
"""The kind's spread counts like twice so many of the vendor's jobs."""
OTHER_KIND_WORTH = 0.5
"""A vendor's job of another kind counts so much: habits carry over, though not all of them."""
REJECTION_WEIGHT = 20.0
"""A kind's rate of rejection counts like so many of the vendor's jobs: it is a rare event."""
LEAST_SPREAD = 1.02
"""P90 over median is never less: no vendor is so regular that a late job is a miracle."""
LEAST_ACTUAL = TICKS_PER_DAY // 2
"""Work over on the date on which it began took at least this. [ticks]"""

PRICED_AFTER_A_LOOK = frozenset({Source.OVERHAUL, Source.PATTERN})
"""Of these the vendor gives the price that holds only with the item, or its pattern, in hand;
an exchange unit and a part on the shelf cost what was agreed."""

_SAME_VENDOR = 1 / (VENDOR_WEIGHT + 1)
"""How alike two jobs of one vendor are (their correlation), before anything is seen of it."""


@dataclass(frozen=True, slots=True)
class FinishedJob:
    """What one finished job tells; None where it tells nothing."""

    vendor: str
    kind: str
    over_quote: float | None
    """log(actual / quoted)"""
    over_promise: float | None
    """log(actual / promised)"""
    growth: float | None
    """log(final price / first price)"""
    rejected: bool | None


@dataclass(frozen=True, slots=True)
class _Ratio:
    """A ratio of which jobs, kinds and the trade tell."""

    seen: Callable[[FinishedJob], float | None]
    """Its logarithm, of one job."""
    given: Callable[[SendOutKind], tuple[float | None, float | None]]
    """Median and P90 that the plan gives for a kind."""
    trade: tuple[float, float]
    """Median and P90 where the plan gives none."""


_OVER_QUOTE = _Ratio(
    lambda job: job.over_quote,
    lambda kind: (kind.over_median, kind.over_p90),
    (TRADE_MEDIAN, TRADE_P90),
)
_GROWTH = _Ratio(
    lambda job: job.growth,
    lambda kind: (kind.growth_median, kind.growth_p90),
    (GROWTH_MEDIAN, GROWTH_P90),
)


@dataclass(frozen=True, slots=True)
class Learned:
    """What is known of a logarithm of a ratio, and from how many jobs."""

    posterior: NormalInverseGamma
    jobs: int
    """Jobs of this vendor."""
    kind_jobs: int = 0
    """Jobs of this kind by other vendors."""


@dataclass(frozen=True)
class VendorRecord:
    """All that finished jobs tell, in any order, and what the plan says of kinds."""

    jobs: tuple[FinishedJob, ...]
    kinds: Mapping[str, SendOutKind]
    _known: dict[tuple[_Ratio, str, str], Learned] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    """What has been worked out of a kind without a vendor."""

    @staticmethod
    def of(prepared: Prepared) -> VendorRecord:
        """Gather what the vendors' histories and the plan's own finished send-outs tell."""
        plan = prepared.plan
        lines: dict[str, list[Cost]] = {}
        for line in plan.costs:
            if line.send_out is not None and line.kind == "vendor":
                lines.setdefault(line.send_out, []).append(line)
        jobs = [_from_history(v.id, job) for v in plan.vendors for job in v.history]
        jobs += [_from_send_out(prepared, item, lines.get(item.id, ())) for item in plan.send_outs]
        return VendorRecord(tuple(jobs), {kind.id: kind for kind in plan.kinds})

    @cached_property
    def _by_vendor(self) -> Mapping[str, tuple[FinishedJob, ...]]:
        """The jobs of each vendor."""
        found: dict[str, list[FinishedJob]] = {}
        for job in self.jobs:
            found.setdefault(job.vendor, []).append(job)
        return {vendor: tuple(jobs) for vendor, jobs in found.items()}

    @cached_property
    def _by_kind(self) -> Mapping[str, Mapping[str, list[FinishedJob]]]:
        """The jobs of each kind, by vendor."""
        found: dict[str, dict[str, list[FinishedJob]]] = {}
        for job in self.jobs:
            found.setdefault(job.kind, {}).setdefault(job.vendor, []).append(job)
        return found

    def over_quote(self, vendor: str, kind: str) -> Learned:
        """Return what is known of log(actual / quoted) of a vendor's next job of a kind."""
        return self._next(_OVER_QUOTE, vendor, kind)

    def growth(self, vendor: str, kind: str) -> Learned:
        """Return what is known of log(final / first price) of a vendor's next job of a kind."""
        return self._next(_GROWTH, vendor, kind)

    def _next(self, ratio: _Ratio, vendor: str, kind: str) -> Learned:
        """Return what is known of a ratio in a vendor's next job of a kind."""
        of_kind = self._kind(ratio, kind, vendor)
        values, worths = [], []
        for job in self._by_vendor.get(vendor, ()):
            seen = ratio.seen(job)
            if seen is None:
                continue
            if job.kind == kind:
                values.append(seen)
                worths.append(1.0)
            else:
                apart = seen - self._kind(ratio, job.kind, vendor).posterior.mean
                values.append(of_kind.posterior.mean + apart)
                worths.append(OTHER_KIND_WORTH)
        prior = NormalInverseGamma.with_quantiles(
            of_kind.posterior.mean, of_kind.posterior.quantile(0.9), VENDOR_WEIGHT, VENDOR_SHAPE
        )
        return Learned(prior.updated(values, worths), len(values), of_kind.kind_jobs)

    def over_promise(self, vendor: str) -> Learned:
        """Return what is known of log(actual / promised) of a vendor's next job."""
        values = [
            job.over_promise
            for job in self._by_vendor.get(vendor, ())
            if job.over_promise is not None
        ]
        prior = _prior(PROMISE_MEDIAN, PROMISE_P90, VENDOR_WEIGHT, VENDOR_SHAPE)
        return Learned(prior.updated(values), len(values))

    def rejected(self, vendor: str, kind: str) -> float:
        """
        Return the chance that a vendor's next item of a kind is turned down on arrival.

        The mean of a beta distribution: the kind's rate with the weight of
        `REJECTION_WEIGHT` jobs, updated by the vendor's jobs.
        """
        rate = self.kinds[kind].rejected if kind in self.kinds else TRADE_REJECTED
        jobs, turned_down = REJECTION_WEIGHT, REJECTION_WEIGHT * rate
        for job in self._by_vendor.get(vendor, ()):
            if job.rejected is not None:
                worth = 1.0 if job.kind == kind else OTHER_KIND_WORTH
                jobs += worth
                turned_down += worth * job.rejected
        return turned_down / jobs

    def _kind(self, ratio: _Ratio, kind: str, vendor: str) -> Learned:
        """
        Return what is known of a ratio in jobs of a kind, this vendor left aside.

        The n jobs of another vendor count for n / (1 + (n - 1) r) jobs, with r the
        correlation of a vendor's jobs: many jobs of one vendor tell of that vendor.
        """
        if (ratio, kind, vendor) not in self._known:
            self._known[ratio, kind, vendor] = self._learn_kind(ratio, kind, vendor)
        return self._known[ratio, kind, vendor]

    def _learn_kind(self, ratio: _Ratio, kind: str, vendor: str) -> Learned:
        """Work out what is known of a kind."""
        median, p90 = ratio.given(self.kinds[kind]) if kind in self.kinds else (None, None)
        if median is None or p90 is None:
            median, p90 = ratio.trade
        values: list[float] = []
        worths: list[float] = []
        for other, jobs in self._by_kind.get(kind, {}).items():
            theirs = [seen for seen in map(ratio.seen, jobs) if seen is not None]
            if other != vendor:
                values += theirs
                worths += [1 / (1 + (len(theirs) - 1) * _SAME_VENDOR)] * len(theirs)
        prior = _prior(median, p90, KIND_WEIGHT, KIND_SHAPE)
        return Learned(prior.updated(values, worths), 0, len(values))


def activity_of(prepared: Prepared, name: str) -> Activity:
    """Return an activity by its id."""
    return prepared.expansion.activities[prepared.number[name]]


def work_between(prepared: Prepared, leg: Activity, begin: int, end: int) -> int:
    """Return what a leg's calendar works between two instants. [ticks]"""
    network = prepared.network
    on = network.on[np.array([prepared.rank(leg.id)])]
    instants = np.array([begin, end], dtype=np.int64) - network.origin
    before, after = network.tables.work_before(on, instants).tolist()
    return int(after - before)


def _prior(median: float, p90: float, weight: float, shape: float) -> NormalInverseGamma:
    """Return what predicts ratios of this median and P90."""
    spread = max(p90 / median, LEAST_SPREAD)
    return NormalInverseGamma.with_quantiles(log(median), log(median * spread), weight, shape)


def _from_history(vendor: str, job: PastJob) -> FinishedJob:
    """Return what a job of the vendor's history tells."""
    growth = None
    if job.quoted_price is not None and job.final_price is not None:
        growth = log(job.final_price / job.quoted_price)
    if job.trips > 1:
        return FinishedJob(vendor, job.kind, None, None, growth, rejected=True)
    promised = job.promised_days
    return FinishedJob(
        vendor,
        job.kind,
        log(job.actual_days / job.quoted_days),
        log(job.actual_days / promised) if promised else None,
        growth,
        rejected=False,
    )


def _from_send_out(prepared: Prepared, item: SendOut, lines: Sequence[Cost]) -> FinishedJob:
    """Return what one of the plan's own send-outs tells so far."""
    status = item.status
    judged = item.trip_of is None and (status.accepted or status.rejected) is not None
    over_quote, over_promise = _ratios(prepared, item)
    return FinishedJob(
        item.vendor,
        item.kind,
        over_quote,
        over_promise,
        _growth_of(item, lines),
        rejected=status.rejected is not None if judged else None,
    )


def _ratios(prepared: Prepared, item: SendOut) -> tuple[float | None, float | None]:
    """Return log(actual / quoted) and log(actual / promised) of work that has left a vendor."""
    status, name = item.status, f"{item.id}/{VENDOR_LEG}"
    began = status.approved or (status.quoted if item.approval == 0 else None)
    if began is None or status.left_vendor is None or name not in prepared.number:
        return None, None
    leg = activity_of(prepared, name)
    start = start_of(began) if leg.started is None else leg.started
    spent = work_between(prepared, leg, start, end_of(status.left_vendor))
    actual = max(spent, LEAST_ACTUAL)
    promised = 0
    if status.promised is not None:
        promised = work_between(prepared, leg, start, end_of(status.promised))
    return (
        log(actual / item.lead) if item.lead > 0 else None,
        log(actual / promised) if promised > 0 else None,
    )


def _growth_of(item: SendOut, lines: Sequence[Cost]) -> float | None:
    """
    Return log(last / first price) of an item that is accepted or paid for.

    None where its lines say nothing of it: none has an earlier step, or they are in
    several currencies.
    """
    moved = [line for line in lines if line.earlier]
    is_over = item.status.accepted is not None or all(line.state == "paid" for line in moved)
    if not is_over or item.source not in PRICED_AFTER_A_LOOK:
        return None
    if len({line.currency for line in moved}) != 1:
        return None
    first = sum(line.earlier[0].amount for line in moved)
    last = sum(line.amount for line in moved)
    return log(last / first) if first > 0 and last > 0 else None
