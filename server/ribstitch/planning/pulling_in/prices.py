"""What expedites cost in the project's currency: exact integers of a small enough unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.exchange import Exchange, exchange_of
from ribstitch.planning.model import Expedite, Plan
from ribstitch.planning.ticks import TICKS_PER_DAY

_LARGEST = 1 << 53
"""Sums of money stay below this, so that a solver adds them up without overflow. [units]"""


@dataclass(frozen=True, slots=True)
class Prices:
    """
    Prices as integers.

    Attributes
    ----------
    digits
        A unit is so many decimal places of the project's currency.
    each
        What one step of each expedite costs, in order of entry. [units]
    """

    digits: int
    each: tuple[int, ...]

    def amount(self, units: int) -> Decimal:
        """Return units as money, not rounded."""
        whole, rest = divmod(units, 10**self.digits)
        return Decimal(f"{whole}.{rest:0{self.digits}}".rstrip("0").rstrip("."))


def prices_of(plan: Plan, expedites: Sequence[Expedite]) -> Prices:
    """
    Price expedites at the exchange rates of the as-of date.

    Raises
    ------
    InvalidValueError
        If the rate of a currency is missing, or sums are too large for the solver.
    """
    exchange = exchange_of(plan)
    worth = [Fraction(one.cost) * _rate(plan, exchange, one) for one in expedites]
    digits = 0
    while any(10**digits % price.denominator for price in worth):
        digits += 1
    each = tuple(int(price * 10**digits) for price in worth)
    for one, units in zip(expedites, each, strict=True):
        if units * max(1, one.gains // TICKS_PER_DAY) * len(each) >= _LARGEST:
            raise InvalidValueError(
                _where(plan, one, "cost"),
                f'{one.cost} for "{one.id}" is too much, or too finely divided, to be added up',
                one.cost,
            )
    return Prices(digits, each)


def _rate(plan: Plan, exchange: Exchange, one: Expedite) -> Fraction:
    """Return what a unit of an expedite's currency is worth at the as-of date."""
    currency = one.currency or exchange.currency
    if not exchange.knows(currency):
        raise InvalidValueError(
            _where(plan, one, "currency"),
            f'"{one.id}" costs {currency}, of which no exchange rate into '
            f"{exchange.currency} is given",
            currency,
        )
    return exchange.rate(currency, plan.project.as_of)


def _where(plan: Plan, one: Expedite, key: str) -> str:
    """Return the key path of a field of an expedite."""
    return f"expedites[{plan.expedites.index(one)}].{key}"
