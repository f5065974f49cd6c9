"""Open money in other currencies, and what it costs if they move against the project."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ribstitch.money.entries import SPENT, Bucket
from ribstitch.money.ledger import Ledger
from ribstitch.money.minor_units import in_minor_units

_OPEN = frozenset(Bucket) - (SPENT - {Bucket.INVOICED})
"""What is neither paid nor worked."""


@dataclass(frozen=True, slots=True)
class Exposure:
    """
    Open money in one foreign currency.

    Attributes
    ----------
    open
        What is still to be paid; below zero, to come back. [minor units of `currency`]
    worth
        Likewise, at the rates of the as-of date; None without a rate. [minor units of
        the project's currency]
    """

    currency: str
    open: int
    worth: int | None

    def cost_of_move(self, percent: Decimal, currency: str) -> int | None:
        """
        Return what it costs if the currency moves by so many per cent against us.

        What is owed gets dearer, or what is to come back is worth less. In minor units
        of the project's currency, which is given.
        """
        if self.worth is None:
            return None
        scale = in_minor_units(Decimal(1), currency)
        return in_minor_units(Fraction(abs(self.worth), scale) * Fraction(percent) / 100, currency)


def exposures(ledger: Ledger) -> tuple[Exposure, ...]:
    """Return the open money in each foreign currency, in alphabetical order."""
    found: dict[str, tuple[int, int | None]] = {}
    for one in ledger.entries:
        if one.currency != ledger.currency and one.bucket in _OPEN:
            units, worth = found.get(one.currency, (0, 0))
            found[one.currency] = (units + one.amount, (worth or 0) + one.worth)
    for one in ledger.without_rate:
        if one.bucket in _OPEN:
            units, _ = found.get(one.currency, (0, None))
            found[one.currency] = (units + one.amount, None)
    return tuple(Exposure(currency, *found[currency]) for currency in sorted(found))
