"""Amounts that can be paid: rounded to the minor unit, shared out, spread, escalated.

Everything is exact until it is rounded, and what is shared out adds up to the whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import floor

from ribstitch.money.currencies import minor_digits
from ribstitch.planning.exchange import Exchange


def in_minor_units(amount: Decimal | Fraction, currency: str) -> int:
    """
    Return an amount in minor units, rounded half away from zero.

    That is how invoices are rounded (common practice, no source): 2.665 EUR is 267 cents.
    """
    part, whole = amount.as_integer_ratio()
    part *= 10 ** minor_digits(currency)
    units: int = (2 * abs(part) + whole) // (2 * whole)
    return units if part >= 0 else -units


def from_minor_units(units: int, currency: str) -> Decimal:
    """Return minor units as an amount, with the decimal places of the currency."""
    sign, digits, _ = Decimal(units).as_tuple()
    return Decimal((sign, digits, -minor_digits(currency)))


def rounded(amount: Decimal | Fraction, currency: str) -> Decimal:
    """Return an amount that can be paid, rounded half away from zero."""
    return from_minor_units(in_minor_units(amount, currency), currency)


def worth(units: int, currency: str, exchange: Exchange, on: date) -> int:
    """
    Return what money is worth on a date in the exchange's currency, rounded as above.

    In minor units: of `currency` given, of the exchange's returned.

    Raises
    ------
    KeyError
        If no rate of the currency is known.
    """
    rate = exchange.rate(currency, on)
    scale = 10 ** minor_digits(currency)
    exact = Fraction(units * rate.numerator, scale * rate.denominator)
    return in_minor_units(exact, exchange.currency)


def share_out(units: int, weights: Sequence[int | Fraction]) -> tuple[int, ...]:
    """
    Share minor units out by weight, so that the parts add up to the whole.

    Each part is rounded down, and what is left goes to the largest remainders, the
    earlier of equals first (the largest-remainder method).

    Parameters
    ----------
    units
        What is shared out; may be negative. [minor units]
    weights
        At least one, none negative, not all zero.

    Raises
    ------
    ValueError
        If the weights cannot share anything out.
    """
    total = sum(weights, Fraction(0))
    if total <= 0 or min(weights) < 0:
        raise ValueError(f"weights {list(weights)} share nothing out")
    exact = [Fraction(abs(units)) * weight / total for weight in weights]
    parts = [floor(one) for one in exact]
    left = abs(units) - sum(parts)
    order = sorted(range(len(parts)), key=lambda n: (parts[n] - exact[n], n))
    for number in order[:left]:
        parts[number] += 1
    sign = 1 if units >= 0 else -1
    return tuple(sign * one for one in parts)


def spread_evenly(units: int, shares: Sequence[Fraction]) -> tuple[int, ...]:
    """
    Spread minor units over periods, each the growth of the running total as rounded.

    So no period is out by a unit or more, and the periods up to any date add up to what
    was due by then, rounded half up. Cost baselines are spread like this.

    Parameters
    ----------
    units
        What is spread. [minor units]
    shares
        Share of each period; they add up to one.

    Raises
    ------
    ValueError
        If the shares do not add up to one.
    """
    if sum(shares, Fraction(0)) != 1:
        raise ValueError("the shares of the periods do not add up to one")
    found, run, before = [], Fraction(0), 0
    for share in shares:
        run += share
        now = floor(units * run + Fraction(1, 2))
        found.append(now - before)
        before = now
    return tuple(found)
