"""Amounts and months in sentences and in answers.

Sentences carry amounts and dates plainly, as all others of the service do: ``2350.00 EUR``,
``2026-10-21``. Each page writes them in the way of its reader.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from ribstitch.money.minor_units import from_minor_units


def shown(amount: Decimal, currency: str) -> str:
    """Write an amount for a sentence: ``2350.00 EUR``."""
    return f"{amount:f} {currency}"


def shown_units(units: int, currency: str) -> str:
    """Likewise of minor units of a currency."""
    return shown(from_minor_units(units, currency), currency)


def text(units: int, currency: str) -> str:
    """Write minor units as a decimal string, for an answer."""
    return str(from_minor_units(units, currency))


def month_name(month: date) -> str:
    """Write a month for an answer: ``2026-10``."""
    return f"{month:%Y-%m}"


def month_words(month: date) -> str:
    """Write a month for a sentence: ``October 2026``."""
    return f"{month:%B %Y}"
