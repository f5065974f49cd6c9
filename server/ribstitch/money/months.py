"""Months of the calendar, each named by its first date."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta


def month_of(day: date) -> date:
    """Return the month in which a date lies."""
    return day.replace(day=1)


def later_month(month: date, count: int) -> date:
    """Return the month that comes so many months after another."""
    year, place = divmod(12 * month.year + month.month - 1 + count, 12)
    return date(year, place + 1, 1)


def end_of_month(month: date) -> date:
    """Return the last date of a month."""
    return later_month(month, 1) - timedelta(days=1)


def months_from(first: date, last: date) -> Iterator[date]:
    """Yield the months from one date to another, both ends included."""
    month = month_of(first)
    while month <= last:
        yield month
        month = later_month(month, 1)
