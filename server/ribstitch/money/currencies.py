"""Currencies: the smallest amount that can be paid, and what one is worth in another."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from ribstitch.planning.model import ExchangeRate

_WITHOUT_CENTS = frozenset(
    {
        "BIF",
        "CLP",
        "DJF",
        "GNF",
        "ISK",
        "JPY",
        "KMF",
        "KRW",
        "PYG",
        "RWF",
        "UGX",
        "UYI",
        "VND",
        "VUV",
        "XAF",
        "XOF",
        "XPF",
    }
)
_IN_THOUSANDTHS = frozenset({"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"})
_DIGITS = {
    **dict.fromkeys(_WITHOUT_CENTS, 0),
    **dict.fromkeys(_IN_THOUSANDTHS, 3),
    "CLF": 4,
    "UYW": 4,
}
"""Decimal places of the minor unit where they are not two (ISO 4217, table A.1)."""


def minor_digits(currency: str) -> int:
    """Return the decimal places of a currency's minor unit: 2 for EUR, 0 for JPY."""
    return _DIGITS.get(currency, 2)


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
