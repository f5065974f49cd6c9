"""Refuse what a plan says of its own uncertainty where that makes no sense."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from ribstitch.planning.check_values import (
    check_between,
    check_date,
    check_duration,
    check_known,
    check_range,
)
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import PastJob, Plan, Project, Risk, SendOutKind, Vendor, Zone

MOST_HIDDEN_PERCENT = 500
"""Hidden work can make the work of a zone at most six times as much."""


def check_uncertain(plan: Plan, tasks: set[str], send_outs: set[str]) -> None:
    """
    Check spreads, hidden work, histories, kinds, risks, rates; given the ids there are.

    Raises
    ------
    InvalidValueError, UnknownReferenceError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    _check_spreads(plan.project)
    for number, zone in enumerate(plan.zones):
        _check_zone(zone, tasks, f"zones[{number}]")
    for number, kind in enumerate(plan.kinds):
        _check_kind(kind, f"kinds[{number}]")
    for number, vendor in enumerate(plan.vendors):
        _check_history(vendor, f"vendors[{number}]")
    for number, crew in enumerate(plan.crew):
        _not_negative(crew.rate, f"crew[{number}].rate")
    for number, risk in enumerate(plan.risks):
        _check_risk(risk, tasks, send_outs, f"risks[{number}]")
    _check_exchange_rates(plan)


def _check_spreads(project: Project) -> None:
    """Check what holds for the whole project."""
    check_between(project.zone_spread, 0, 1, "project.zone_spread")
    check_between(project.trade_spread, 0, 1, "project.trade_spread")
    _not_negative(project.standing_per_month, "project.standing_per_month")


def _check_zone(zone: Zone, tasks: set[str], where: str) -> None:
    """Check a zone's allowance for work not yet found."""
    percent = f"{where}.hidden_work_percent"
    check_between(zone.hidden_work_percent, 0, MOST_HIDDEN_PERCENT, percent)
    check_known(zone.opened_by, tasks, f"{where}.opened_by", "task")


def _check_kind(kind: SendOutKind, where: str) -> None:
    """Check what is known of a kind of send-out."""
    _check_ratios(where, "over", kind.over_median, kind.over_p90, "the quote")
    check_between(kind.rejected, 0, 1, f"{where}.rejected")
    if kind.quoted_days is not None and not kind.quoted_days > 0:
        raise InvalidValueError(
            f"{where}.quoted_days", f"a job cannot take {kind.quoted_days:g} days", kind.quoted_days
        )
    median, p90 = kind.growth_median, kind.growth_p90
    if median is not None and p90 is not None:
        _check_ratios(where, "growth", median, p90, "the first price")
    elif median is not None or p90 is not None:
        lacking = "growth_median" if median is None else "growth_p90"
        raise InvalidValueError(
            f"{where}.{lacking}", "growth_median and growth_p90 are given together", None
        )


def _check_ratios(where: str, what: str, median: float, p90: float, of: str) -> None:
    """Check a median and what nine of ten keep within, as multiples of something."""
    for key, ratio in ((f"{what}_median", median), (f"{what}_p90", p90)):
        if not ratio > 0:
            raise InvalidValueError(f"{where}.{key}", f"{ratio:g} times {of} cannot be", ratio)
    if p90 < median:
        raise InvalidValueError(
            f"{where}.{what}_p90", f"{p90:g} is less than {what}_median, {median:g}", p90
        )


def _check_history(vendor: Vendor, where: str) -> None:
    """Check a vendor's past jobs: how late they came is a ratio of days, so none can be 0."""
    for number, job in enumerate(vendor.history):
        _check_past_job(job, f"{where}.history[{number}]")


def _check_past_job(job: PastJob, where: str) -> None:
    for key in ("quoted_days", "actual_days", "promised_days"):
        days: float | None = getattr(job, key)
        if days is not None and not days > 0:
            raise InvalidValueError(f"{where}.{key}", f"a job cannot take {days:g} days", days)
    for key in ("quoted_price", "final_price"):
        price: Decimal | None = getattr(job, key)
        if price is not None and not price > 0:
            raise InvalidValueError(f"{where}.{key}", f"a price cannot be {price:f}", price)
    if job.trips < 1:
        raise InvalidValueError(f"{where}.trips", f"{job.trips} trips cannot be", job.trips)


def _check_risk(risk: Risk, tasks: set[str], send_outs: set[str], where: str) -> None:
    """Check a risk; one that is closed need not say any more what it would have hit."""
    check_between(risk.probability, 0, 1, f"{where}.probability")
    check_duration(risk.impact, f"{where}.impact_days")
    check_range(risk.impact_range, f"{where}.impact_days_range")
    check_known(risk.task, tasks, f"{where}.task", "task")
    check_known(risk.send_out, send_outs, f"{where}.send_out", "send-out")
    if risk.task is not None and risk.send_out is not None:
        raise InvalidValueError(
            f"{where}.send_out",
            f'"{risk.id}" names both the task "{risk.task}" and the send-out "{risk.send_out}"',
            risk.send_out,
        )
    if risk.task is None and risk.send_out is None and not risk.closed:
        raise InvalidValueError(
            f"{where}.task", f'"{risk.id}" names neither a task nor a send-out', None
        )


def _check_exchange_rates(plan: Plan) -> None:
    """Check what other currencies are worth."""
    seen: set[tuple[str, date]] = set()
    for number, one in enumerate(plan.exchange_rates):
        where = f"exchange_rates[{number}]"
        check_date(one.on, f"{where}.on")
        if not one.rate > 0:
            raise InvalidValueError(
                f"{where}.rate", f"{one.rate} for one {one.currency} cannot be", one.rate
            )
        if (one.currency, one.on) in seen:
            raise InvalidValueError(
                f"{where}.on", f"{one.currency} has a rate from {one.on} already", one.on
            )
        seen.add((one.currency, one.on))


def _not_negative(amount: Decimal | None, where: str) -> None:
    """Refuse money below zero; nothing is fine, and so is not known."""
    if amount is not None and amount < 0:
        raise InvalidValueError(where, f"{amount} is less than nothing", amount)
