"""What really happens in a made-up restoration, hidden from whoever forecasts it.

Drawn with numpy alone, from spreads that differ from shop to shop and that no forecaster
is told; nothing here is taken from the product's own ways of drawing. The figures are
fixed from common practice (no source), before anything was forecast, and are not to be
tuned to a forecaster:

- work is lognormal about the likely estimate, low and high being passed by some 3 to 20 in
  100 tasks, times a bias of the estimator, a pace of the zone and one of the trade;
- a zone hides nothing in a quarter of the cases, else a lognormal share of its work;
- risks strike somewhat more or less often than feared, and cost somewhat more or less;
- a vendor's time over the quote is lognormal: a level of the kind, a habit of the vendor
  (two fifths of the variance) and chance; vendors promise what they hope for, fall silent
  when a promise has passed, and promise again; items are turned down and go back once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import exp, log, sqrt
from typing import Any

import numpy as np

from ribstitch.planning.model import PastJob, Plan, SendOut, Task, Vendor
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.bench.restorations import KINDS, Draws, Estimate, Kind, eighths, estimate

_Z90 = 1.2815515655446004
_RANGE_Z = 2 * 1.2815515655446004
"""Low to high in standard deviations, if one task in ten passed either."""
_HABIT = 0.4
"""Share of the variance of a vendor's times that is the vendor's own."""

_LEG_SPREADS = {
    "prepare": (0.05, 0.3),
    "ship_out": (0.0, 0.3),
    "customs_out": (0.1, 0.5),
    "approval": (0.1, 0.5),
    "ship_back": (0.0, 0.3),
    "customs_back": (0.1, 0.5),
    "accept": (0.0, 0.2),
}
"""Mean and standard deviation of log(true / planned) of legs that no vendor works on."""


@dataclass(frozen=True, slots=True)
class Shop:
    """How a shop differs from its own estimates."""

    bias: float
    zone_spread: float
    trade_spread: float
    noise: float
    """Standard deviation of a task's noise, over that which its range would stand for."""
    hidden_bias: float


@dataclass(frozen=True, slots=True)
class TrueVendor:
    """How a vendor is. Logarithms of actual over quoted."""

    level: float
    chance: float
    rejected: float
    promises: bool
    hope: float
    """Mean logarithm of promised over true time still to go, once a promise has passed."""


@dataclass(frozen=True, slots=True)
class Promise:
    """What a vendor says. [working days of the vendor from the approval]"""

    given: float
    promised: float


@dataclass(frozen=True)
class Restoration:
    """
    A plan as estimated, and the truth.

    Attributes
    ----------
    plan
        As known on the first day, with the vendors' histories.
    factor
        True over likely work of each task, without growth and risks.
    found
        Share by which the work of each zone grows when it is opened.
    struck
        Extra work of each risk that strikes. [ticks]
    ratio
        True over quoted vendor's work of each send-out, risks aside.
    promises
        What is said of each send-out, in order.
    again
        The second trip of each send-out that is turned down, as planned then.
    true_plan
        The plan with true durations, second trips and all.
    course
        Its schedule: when everything really happens.
    """

    plan: Plan
    factor: dict[str, float]
    found: dict[str, float]
    struck: dict[str, int]
    ratio: dict[str, float]
    promises: dict[str, tuple[Promise, ...]]
    again: dict[str, SendOut]
    true_plan: Plan
    course: Schedule


def draw_restoration(seed: int, number: int) -> Restoration:
    """Draw restoration `number` of a seed: the estimate first, then what really happens."""
    draw = np.random.default_rng([seed, number])
    estimated = estimate(draw)
    plan = estimated.plan
    shop = _shop(draw)
    factor = _task_factors(draw, plan, shop)
    found = {zone.id: _found(draw, zone.hidden_work_percent, shop) for zone in plan.zones}
    struck = dict(_strike(draw, plan))
    kinds = {name: _kind(draw, kind) for name, kind in KINDS.items()}
    true_vendors = {v.id: _vendor(draw, kinds[estimated.vendor_kind[v.id]]) for v in plan.vendors}
    plan = replace(plan, vendors=_with_histories(draw, estimated, true_vendors))
    ratio = {one.id: _ratio(draw, true_vendors[one.vendor]) for one in plan.send_outs}
    true_items: list[SendOut] = []
    again: dict[str, SendOut] = {}
    promises: dict[str, tuple[Promise, ...]] = {}
    for item in plan.send_outs:
        vendor = true_vendors[item.vendor]
        true = _true_legs(draw, item, vendor, ratio[item.id], struck.get(f"R.{item.id}", 0))
        true_items.append(true)
        promises[item.id] = tuple(_promises(draw, item.lead, true.lead, vendor))
        if draw.random() < vendor.rejected:
            again[item.id] = _second_trip(item)
            true_items.append(
                _true_legs(draw, again[item.id], vendor, _ratio(draw, vendor), extra=0)
            )
    tasks = tuple(_true_task(task, factor, found, struck) for task in plan.tasks)
    true_plan = replace(plan, tasks=tasks, send_outs=tuple(true_items), risks=())
    course = schedule(true_plan)
    return Restoration(
        plan, factor, found, struck, ratio, promises, again, true_plan, course
    )  # fmt: skip


def _normal(draw: Draws, mean: float, spread: float) -> float:
    """Draw from a normal distribution."""
    return mean + spread * float(draw.standard_normal())


def _shop(draw: Draws) -> Shop:
    """Draw a shop."""
    return Shop(
        bias=_normal(draw, 0.03, 0.06),
        zone_spread=float(draw.uniform(0.05, 0.18)),
        trade_spread=float(draw.uniform(0.05, 0.18)),
        noise=float(draw.uniform(0.6, 1.0)),
        hidden_bias=_normal(draw, 0, 0.2),
    )


def _task_factors(draw: Draws, plan: Plan, shop: Shop) -> dict[str, float]:
    """Draw what each task takes over its likely estimate."""
    zones = {zone.id: _normal(draw, 0, shop.zone_spread) for zone in plan.zones}
    trades = {
        trade: _normal(draw, 0, shop.trade_spread)
        for trade in dict.fromkeys(task.trade for task in plan.tasks)
    }
    found = {}
    for task in plan.tasks:
        low, _, high = task.duration_range or (0.65 * task.duration, 0, 1.7 * task.duration)
        noise = shop.noise * log(high / low) / _RANGE_Z
        pace = zones.get(task.zone or "", 0.0) + trades[task.trade]
        found[task.id] = exp(shop.bias + pace + _normal(draw, 0, noise))
    return found


def _found(draw: Draws, percent: float, shop: Shop) -> float:
    """Draw the share by which a zone's work grows: none in one zone of four."""
    if draw.random() < 0.25:
        return 0.0
    middle = percent / 100 / 0.75 * exp(shop.hidden_bias)
    return middle * exp(_normal(draw, -0.18, 0.6))


def _strike(draw: Draws, plan: Plan) -> Iterator[tuple[str, int]]:
    """Draw which risks strike, and what each costs. [ticks]"""
    for risk in plan.risks:
        chance = min(risk.probability * exp(_normal(draw, 0, 0.35)), 0.95)
        impact = risk.impact * exp(_normal(draw, 0.05, 0.35))
        if draw.random() < chance:
            yield risk.id, eighths(impact / TICKS_PER_DAY)


def _kind(draw: Draws, kind: Kind) -> tuple[float, float, float]:
    """Draw level, spread and rate of rejection of a kind, about what is said to be usual."""
    spread = log(kind.over_p90 / kind.over_median) / _Z90
    return (
        _normal(draw, log(kind.over_median), 0.08),
        spread * exp(_normal(draw, 0, 0.15)),
        kind.rejected * exp(_normal(draw, 0, 0.4)),
    )


def _vendor(draw: Draws, kind: tuple[float, float, float]) -> TrueVendor:
    """Draw a vendor of a kind."""
    level, spread, rejected = kind
    return TrueVendor(
        level=_normal(draw, level, sqrt(_HABIT) * spread),
        chance=sqrt(1 - _HABIT) * spread,
        rejected=min(rejected, 0.6),
        promises=bool(draw.random() < 0.75),
        hope=_normal(draw, -0.35, 0.2),
    )


def _ratio(draw: Draws, vendor: TrueVendor) -> float:
    """Draw what one job takes over its quote."""
    return exp(_normal(draw, vendor.level, vendor.chance))


def _with_histories(
    draw: Draws, estimated: Estimate, true_vendors: dict[str, TrueVendor]
) -> tuple[Vendor, ...]:
    """Return the vendors with none to six past jobs each."""
    found = []
    for vendor in estimated.plan.vendors:
        count = int(draw.integers(0, 7))
        kind = estimated.vendor_kind[vendor.id]
        jobs = tuple(_past_job(draw, kind, true_vendors[vendor.id]) for _ in range(count))
        found.append(replace(vendor, history=jobs))
    return tuple(found)


def _past_job(draw: Draws, kind: str, vendor: TrueVendor) -> PastJob:
    """Draw a finished job: days are counted until the item came for good."""
    least, most = KINDS[kind].weeks
    quoted = int(draw.integers(5 * least, 5 * most + 1))
    actual = max(round(quoted * _ratio(draw, vendor)), 1)
    said = list(_promises(draw, quoted * TICKS_PER_DAY, actual * TICKS_PER_DAY, vendor))
    promised = max(round(said[-1].promised), 1) if said else None
    if draw.random() >= vendor.rejected:
        return PastJob(kind, quoted, actual, promised_days=promised)
    back = round(0.5 * quoted * _ratio(draw, vendor)) + 5
    return PastJob(kind, quoted, actual + back, trips=2)


def _promises(draw: Draws, quoted: int, true: int, vendor: TrueVendor) -> Iterator[Promise]:
    """
    Draw what a vendor says of a job, the first at the order, in the quoted time.

    Now and then a vendor warns before a promise has passed; mostly there is silence for up
    to two weeks after it, and then a new one, hopeful as before.
    """
    if not vendor.promises:
        return
    left = true / TICKS_PER_DAY
    last = Promise(0.0, quoted / TICKS_PER_DAY * exp(_normal(draw, 0, 0.08)))
    yield last
    while last.promised < left:
        warned = draw.random() < 0.3
        wait = (
            -draw.uniform(0, 0.2) * (last.promised - last.given) if warned else draw.uniform(0, 10)
        )
        given = last.promised + float(wait)
        if given >= left:
            return
        hoped = (left - given) * exp(_normal(draw, vendor.hope, 0.45))
        last = Promise(given, given + max(hoped, 2.0))
        yield last


def _second_trip(item: SendOut) -> SendOut:
    """Return the trip of an item that was turned down, as it is planned then."""
    return replace(
        item,
        id=f"{item.id}-2",
        trip_of=item.id,
        after=(),
        before=(),
        prepare=eighths(1),
        intake=0,
        approval=0,
        lead=eighths(item.lead / TICKS_PER_DAY / 2),
    )


def _true_legs(draw: Draws, item: SendOut, vendor: TrueVendor, ratio: float, extra: int) -> SendOut:
    """Return a send-out with the time that each leg really takes."""
    legs: dict[str, Any] = {
        leg: _stretched(getattr(item, leg), exp(_normal(draw, mean, spread)))
        for leg, (mean, spread) in _LEG_SPREADS.items()
    }
    slow = exp(0.5 * vendor.level + _normal(draw, 0, 0.35))
    return replace(
        item,
        **legs,
        intake=_stretched(item.intake, slow),
        lead=_stretched(item.lead, ratio) + extra,
    )


def _stretched(ticks: int, ratio: float) -> int:
    """Multiply work, to whole eighths of a day; nothing stays nothing."""
    return eighths(ticks / TICKS_PER_DAY * ratio) if ticks else 0


def _true_task(
    task: Task, factor: dict[str, float], found: dict[str, float], struck: dict[str, int]
) -> Task:
    """Return a task with the time that it really takes."""
    grown = 1.0
    if task.zone is not None and not task.id.endswith(".open"):
        grown += found[task.zone]
    work = _stretched(task.duration, factor[task.id] * grown) + struck.get(f"R.{task.id}", 0)
    return replace(task, duration=work, duration_range=None)
