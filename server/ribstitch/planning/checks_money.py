"""Refuse costs, hours, funding, baselines and over-and-above items that make no sense."""

from __future__ import annotations

from decimal import Decimal

from ribstitch.planning.check_values import check_date, check_known, check_unique
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    Baseline,
    Cost,
    Crew,
    Decision,
    Due,
    DueAt,
    Funding,
    HoursWorked,
    OverAndAbove,
    Plan,
)

MOST_HOURS = 24
"""Nobody works more hours on one date."""


def check_money(plan: Plan, tasks: set[str], send_outs: set[str]) -> None:
    """
    Check all that is about money; given the ids that there are.

    Raises
    ------
    InvalidValueError, DuplicateIdError, UnknownReferenceError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    for name, kind in (
        ("hours", "entry of hours"),
        ("funding", "funding"),
        ("baselines", "baseline"),
        ("over_and_above", "over-and-above item"),
    ):
        check_unique(getattr(plan, name), name, kind)
    check_date(plan.project.balance_on, "project.balance_on")
    if plan.project.balance is not None and plan.project.balance_on is None:
        raise InvalidValueError(
            "project.balance_on", "a balance needs the date for which it holds", None
        )
    for number, crew in enumerate(plan.crew):
        _check_rates(crew, f"crew[{number}].rates")
    for number, cost in enumerate(plan.costs):
        check_known(cost.task, tasks, f"costs[{number}].task", "task")
        check_known(cost.send_out, send_outs, f"costs[{number}].send_out", "send-out")
        _check_cost(cost, f"costs[{number}]")
    for number, hours in enumerate(plan.hours):
        check_known(hours.task, tasks, f"hours[{number}].task", "task")
        _check_hours(hours, plan, f"hours[{number}]")
    for number, funding in enumerate(plan.funding):
        _check_funding(funding, f"funding[{number}]")
    for number, baseline in enumerate(plan.baselines):
        _check_baseline(baseline, f"baselines[{number}]")
    for number, item in enumerate(plan.over_and_above):
        where = f"over_and_above[{number}]"
        check_known(item.task, tasks, f"{where}.task", "task")
        check_known(item.send_out, send_outs, f"{where}.send_out", "send-out")
        _check_over_and_above(item, plan, where)


def _check_rates(crew: Crew, where: str) -> None:
    """Check that later rates rise by date and are no less than nothing."""
    for number, one in enumerate(crew.rates):
        check_date(one.on, f"{where}[{number}].on")
        _not_negative(one.rate, f"{where}[{number}].rate")
        if number and one.on <= crew.rates[number - 1].on:
            raise InvalidValueError(
                f"{where}[{number}].on", f"{one.on} is not after the rate before it", one.on
            )


def _check_cost(cost: Cost, where: str) -> None:
    """Check a cost line's dates, payments and dues; money may come back, so any sign will do."""
    check_date(cost.on, f"{where}.on")
    for number, step in enumerate(cost.earlier):
        check_date(step.on, f"{where}.earlier[{number}].on")
    for number, payment in enumerate(cost.payments):
        check_date(payment.on, f"{where}.payments[{number}].on")
        if payment.amount == 0:
            raise InvalidValueError(
                f"{where}.payments[{number}].amount", "a payment of nothing is none", 0
            )
        if payment in cost.payments[:number]:
            raise InvalidValueError(
                f"{where}.payments[{number}]",
                f'"{cost.id}" has a payment of {payment.amount} on {payment.on} already',
                payment.amount,
            )
    total = Decimal(0)
    for number, due in enumerate(cost.dues):
        _check_due(due, f"{where}.dues[{number}]")
        total += due.percent
    if cost.dues and total != 100:
        raise InvalidValueError(
            f"{where}.dues", f'the parts of "{cost.id}" add up to {total:f} %, not 100', total
        )


def _check_due(due: Due, where: str) -> None:
    """Check one part of a price that falls due."""
    check_date(due.on, f"{where}.on")
    if not 0 < due.percent <= 100:
        raise InvalidValueError(
            f"{where}.percent", f"{due.percent:f} % is no part of a price", due.percent
        )
    if (due.at is DueAt.DATE) != (due.on is not None):
        reason = (
            "needs a date" if due.at is DueAt.DATE else f'falls due at "{due.at}", not on a date'
        )
        raise InvalidValueError(f"{where}.on", f"this part {reason}", due.on)


def _check_hours(hours: HoursWorked, plan: Plan, where: str) -> None:
    """Check one entry of the timesheet."""
    check_date(hours.on, f"{where}.on")
    if not 0 < hours.hours <= MOST_HOURS:
        raise InvalidValueError(
            f"{where}.hours", f"{hours.hours:f} hours on one date cannot be", hours.hours
        )
    if hours.on > plan.project.as_of:
        raise InvalidValueError(
            f"{where}.on", f"{hours.on} is after the as-of date {plan.project.as_of}", hours.on
        )


def _check_funding(funding: Funding, where: str) -> None:
    """Check money that is planned to come in."""
    check_date(funding.on, f"{where}.on")
    check_date(funding.until, f"{where}.until")
    _not_negative(funding.amount, f"{where}.amount")
    if funding.until is not None and funding.until < funding.on:
        raise InvalidValueError(
            f"{where}.until", f"{funding.until} is before the first, {funding.on}", funding.until
        )
    if funding.until is not None and not funding.every_months:
        raise InvalidValueError(
            f"{where}.until", f'"{funding.id}" comes once, so it has no last date', funding.until
        )


def _check_baseline(baseline: Baseline, where: str) -> None:
    """Check a baseline; its packages may name what is no longer in the plan."""
    check_date(baseline.approved_on, f"{where}.approved_on")
    check_date(baseline.finish, f"{where}.finish")
    seen: set[str] = set()
    for number, package in enumerate(baseline.packages):
        here = f"{where}.packages[{number}]"
        check_date(package.start, f"{here}.start")
        check_date(package.finish, f"{here}.finish")
        _not_negative(package.amount, f"{here}.amount")
        if package.finish < package.start:
            raise InvalidValueError(
                f"{here}.finish",
                f'"{package.id}" ends ({package.finish}) before it starts ({package.start})',
                package.finish,
            )
        if package.id in seen:
            raise InvalidValueError(
                f"{here}.id", f'the package "{package.id}" is there twice', package.id
            )
        seen.add(package.id)


def _check_over_and_above(item: OverAndAbove, plan: Plan, where: str) -> None:
    """Check an over-and-above item: what is decided says when and by whom."""
    check_date(item.asked_on, f"{where}.asked_on")
    check_date(item.decided_on, f"{where}.decided_on")
    _not_negative(item.hours, f"{where}.hours")
    if item.asked_on > plan.project.as_of:
        raise InvalidValueError(
            f"{where}.asked_on",
            f"{item.asked_on} is after the as-of date {plan.project.as_of}",
            item.asked_on,
        )
    decided = item.state is not Decision.WAITING
    if decided != (item.decided_on is not None):
        reason = "needs a date here" if decided else "is not decided, so there can be no date here"
        raise InvalidValueError(f"{where}.decided_on", f'"{item.id}" {reason}', item.decided_on)
    if item.decided_on is not None and item.decided_on < item.asked_on:
        raise InvalidValueError(
            f"{where}.decided_on",
            f'"{item.id}" was decided ({item.decided_on}) before it was asked ({item.asked_on})',
            item.decided_on,
        )


def _not_negative(amount: Decimal, where: str) -> None:
    """Refuse money or hours below zero."""
    if amount < 0:
        raise InvalidValueError(where, f"{amount:f} is less than nothing", amount)
