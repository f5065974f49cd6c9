"""Exchange rates: what foreign money is worth, date by date."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from ribstitch.planning.model import ExchangeRate, Plan


class Exchange:
    """
    What foreign money is worth in one currency, date by date.

    Parameters
    ----------
    currency
        The currency into which all is converted.
    rates
        Worth of one unit of each foreign currency from a date on.
    """

    def __init__(self, currency: str, rates: Iterable[ExchangeRate]) -> None:
        self.currency = currency
        self._rates: dict[str, list[tuple[date, Fraction]]] = {}
        for one in sorted(rates, key=lambda rate: rate.on):
            self._rates.setdefault(one.currency, []).append((one.on, Fraction(one.rate)))

    def knows(self, currency: str) -> bool:
        """Return whether a currency can be converted."""
        return currency == self.currency or currency in self._rates

    def rate(self, currency: str, on: date) -> Fraction:
        """
        Return what one unit is worth on a date: the last rate on or before it.

        Before the first known rate, that one holds.

        Raises
        ------
        KeyError
            If no rate of the currency is known.
        """
        if currency == self.currency:
            return Fraction(1)
        known = self._rates[currency]
        begun = bisect_right(known, on, key=lambda one: one[0])
        return known[max(begun - 1, 0)][1]


def exchange_of(plan: Plan) -> Exchange:
    """Return the plan's exchange rates into its own currency."""
    return Exchange(plan.project.currency, plan.exchange_rates)
