"""What is kept as it was entered, and that somebody should look at: a sentence each."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction

from ribstitch.money.currencies import minor_digits
from ribstitch.money.entries import Flag
from ribstitch.planning.model import Cost, Plan

_OPEN_ORDERS = frozenset({"ordered", "invoiced"})


def flags_of(plan: Plan) -> Iterator[Flag]:
    """Yield what is odd about the cost lines of a plan, in order of entry."""
    first_rates: dict[str, date] = {}
    for rate in plan.exchange_rates:
        known = first_rates.get(rate.currency, rate.on)
        first_rates[rate.currency] = min(rate.on, known)
    dropped = {item.id: item.vendor for item in plan.send_outs if item.dropped}
    documents: dict[tuple[str, str, Decimal], str] = {}
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
        if line.document:
            same = (line.document, line.currency, line.amount)
            if same in documents and line.state in {"invoiced", "paid"}:
                yield Flag(
                    line.id,
                    f'"{line.id}" has the document and amount of "{documents[same]}": '
                    f"{line.document}, {_shown(line.amount, line.currency)}.",
                )
            documents.setdefault(same, line.id)


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
    """Yield what is odd about the dates on which a line was paid."""
    paid_on = [payment.on for payment in line.payments]
    if line.state == "paid" and not line.payments and line.on is not None:
        paid_on = [line.on]
    for on in paid_on:
        if on > as_of:
            yield Flag(
                line.id,
                f'A payment of "{line.id}" is dated {on}, after the as-of date {as_of}.',
            )
        if first_rate is not None and on < first_rate:
            yield Flag(
                line.id,
                f'"{line.id}" was paid on {on}, before the first rate of {line.currency} '
                f"({first_rate}), which is taken.",
            )


def _shown(amount: Decimal, currency: str) -> str:
    """Return an amount with its currency, as it was entered."""
    return f"{amount:f} {currency}"
