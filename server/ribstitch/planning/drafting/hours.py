"""Person-hours of a piece of work, exactly."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from ribstitch.planning.model.survey import HourRange

HOURS_A_DATE = 24
"""What only takes time (curing, drying) runs round the clock."""


@dataclass(frozen=True, slots=True)
class Hours:
    """Low, likely and high person-hours; without a trade, hours on the clock."""

    low: Fraction
    likely: Fraction
    high: Fraction

    def times(self, quantity: Fraction) -> Hours:
        """Return the hours of a quantity of units."""
        return Hours(self.low * quantity, self.likely * quantity, self.high * quantity)


NOTHING = Hours(Fraction(0), Fraction(0), Fraction(0))


def hours_of(given: HourRange | None) -> Hours:
    """Return hours as a card or a finding gives them; none is nothing."""
    return NOTHING if given is None else Hours(*(Fraction(one) for one in given))


def in_eighths(days: Fraction) -> Fraction:
    """Round up to eighths of a day, at least one."""
    return Fraction(max(1, ceil(days * 8)), 8)
