"""Months in an address."""

from __future__ import annotations

from datetime import date

from ribstitch.planning.errors import InvalidValueError


def first_of(month: str) -> date:
    """
    Return the first date of a month that is written as 2026-10.

    Raises
    ------
    InvalidValueError
        If it is none.
    """
    try:
        return date.fromisoformat(f"{month}-01")
    except ValueError:
        reason = f'"{month}" is not a month (year-month, such as 2026-10)'
        raise InvalidValueError("month", reason, month) from None
