"""What is kept as it was entered, and that somebody should look at: a sentence each."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction

from ribstitch.money.cost_lines import payments_of
from ribstitch.money.currencies import minor_digits
from ribstitch.money.entries import Flag
from ribstitch.planning.model import Cost, Plan

_OPEN_ORDERS = frozenset({"ordered", "invoiced"})


def flags_of(plan: Plan) -> Iterator[Flag]:
    """Yield what is odd about the cost lines of a plan and its timesheet, in order of entry."""
    first_rates = _first_rates(plan)
    dropped = {item.id: item.vendor for item in plan.send_outs if item.dropped}
    for line in plan.costs:
        yield from _of_amounts(line)
        yield from _of_dates(line, plan.project.as_of, first_rates.get(line.currency))
        if line.send_out in dropped and line.state in _OPEN_ORDERS:
            yield Flag(
                line.id,
                f'The send-out "{line.send_out}" is dropped, but "{line.id}" of vendor '
                f'"{dropped[line.send_out]}" is still {line.state}: '
                f"{_shown(line.amount, line.currency)}.",
            )
    yield from _of_documents(plan)
    yield from _of_hours(plan)
    yield from _of_own_currency(plan)


def _first_rates(plan: Plan) -> dict[str, date]:
    """Return the date of the first rate of each currency."""
    found: dict[str, date] = {}
    for rate in plan.exchange_rates:
        found[rate.currency] = min(rate.on, found.get(rate.currency, rate.on))
    return found


def _of_documents(plan: Plan) -> Iterator[Flag]:
    """Yield lines that look like the same invoice twice: its number and its amount."""
    seen: dict[tuple[str, str, Decimal], str] = {}
    for line in plan.costs:
        if not line.document or line.state not in {"invoiced", "paid"}:
            continue
        same = (line.document, line.currency, line.amount)
        if same in seen:
            yield Flag(
                line.id,
                f'"{line.id}" has the document and the amount of "{seen[same]}": '
                f"{line.document}, {_shown(line.amount, line.currency)}.",
            )
        seen.setdefault(same, line.id)


def _of_own_currency(plan: Plan) -> Iterator[Flag]:
    """Yield exchange rates of the project's own currency: they change nothing."""
    own = plan.project.currency
    for rate in plan.exchange_rates:
        if rate.currency == own and rate.rate != 1:
            yield Flag(
                f"{own} {rate.on}",
                f"The exchange rate of {own} from {rate.on} is not used: {own} is the currency "
                "of the project.",
            )


def _of_hours(plan: Plan) -> Iterator[Flag]:
    """Yield trades of the timesheet of which nobody knows what an hour costs."""
    known = {row.trade for row in plan.crew if row.rate is not None or row.rates}
    trade_of = {task.id: task.trade for task in plan.tasks}
    found: dict[str | None, tuple[str, Decimal]] = {}
    for entry in plan.hours:
        trade = entry.trade or trade_of[entry.task]
        if trade not in known:
            first, hours = found.get(trade, (entry.id, Decimal(0)))
            found[trade] = first, hours + entry.hours
    for trade, (first, hours) in found.items():
        whose = "without a trade" if trade is None else f'of the trade "{trade}"'
        yield Flag(first, f"{hours:f} hours {whose} cost nothing here: no rate is known.")


def _of_amounts(line: Cost) -> Iterator[Flag]:
    """Yield what is odd about what a line costs and what is paid of it."""
    currency = line.currency
    ordered = [step.amount for step in line.earlier if step.state == "ordered"]
    if line.state in {"invoiced", "paid"} and ordered and line.amount > ordered[-1]:
        yield Flag(
            line.id,
            f'The invoice of "{line.id}", {_shown(line.amount, currency)}, is '
            f"{_shown(line.amount - ordered[-1], currency)} above the order.",
        )
    paid = sum((payment.amount for payment in line.payments), Decimal(0))
    if line.payments and abs(paid) > abs(line.amount):
        yield Flag(
            line.id,
            f'{_shown(paid, currency)} are paid of "{line.id}", more than its '
            f"{_shown(line.amount, currency)}.",
        )
    elif line.payments and line.state == "paid" and paid != line.amount:
        yield Flag(
            line.id,
            f'"{line.id}" is paid, but its payments add up to {_shown(paid, currency)}, not '
            f"{_shown(line.amount, currency)}.",
        )
    digits = minor_digits(currency)
    for amount in (line.amount, *(payment.amount for payment in line.payments)):
        if (Fraction(amount) * 10**digits).denominator != 1:
            yield Flag(
                line.id,
                f'{amount:f} {currency} of "{line.id}" cannot be paid: {currency} has '
                f"{digits} decimal places.",
            )


def _of_dates(line: Cost, as_of: date, first_rate: date | None) -> Iterator[Flag]:
    """Yield what is odd about the dates on which a line is paid or converted."""
    paid_on = [payment.on for payment in payments_of(line, as_of)]
    for on in paid_on:
        if on > as_of:
            yield Flag(
                line.id,
                f'A payment of "{line.id}" is dated {on}, after the as-of date {as_of}.',
            )
    converted_on = paid_on if line.state == "paid" else [*paid_on, as_of]
    for on in dict.fromkeys(converted_on):
        if first_rate is not None and on < first_rate:
            yield Flag(
                line.id,
                f'"{line.id}" is converted at the rate of {first_rate}, the first of '
                f"{line.currency}: none is given for {on}.",
            )


def _shown(amount: Decimal, currency: str) -> str:
    """Return an amount with its currency, as it was entered."""
    return f"{amount:f} {currency}"
