"""Integer time: a date has 1,440 ticks, an instant is ``1440 * ordinal + offset``.

Ordinals are proleptic Gregorian (`datetime.date.toordinal`). One working day of any
calendar is 1,440 ticks of work, so that days and ticks convert exactly.
"""

from __future__ import annotations

from datetime import date
from math import isfinite

TICKS_PER_DAY = 1440
EIGHTH = TICKS_PER_DAY // 8
"""The smallest duration that can be entered: an eighth of a working day. [ticks]"""


def start_of(day: date) -> int:
    """Return the first instant of a date. [ticks]"""
    return TICKS_PER_DAY * day.toordinal()


def end_of(day: date) -> int:
    """Return the instant at which a date is over (the first of the next). [ticks]"""
    return TICKS_PER_DAY * (day.toordinal() + 1)


def date_at(instant: int) -> date:
    """Return the date to which the tick that begins at an instant belongs."""
    return date.fromordinal(instant // TICKS_PER_DAY)


def date_before(instant: int) -> date:
    """Return the date of the tick that ends at an instant: the shown date of a finish."""
    return date.fromordinal((instant - 1) // TICKS_PER_DAY)


def ticks_from_days(days: float) -> int:
    """
    Convert working days to ticks.

    Raises
    ------
    ValueError
        If `days` is no whole number of eighths of a day.
    """
    ticks = days * TICKS_PER_DAY
    if not isfinite(ticks) or ticks % EIGHTH:
        raise ValueError(f"{days} is not a whole number of eighths of a day")
    return int(ticks)


def days_from_ticks(ticks: int) -> float:
    """Convert ticks to working days (an int where it is whole)."""
    whole, rest = divmod(int(ticks), TICKS_PER_DAY)
    return whole if rest == 0 else ticks / TICKS_PER_DAY
