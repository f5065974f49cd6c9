"""Dates of a change: a range, and the weekdays in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from ribstitch.planning.check_values import check_date
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Calendar

_MOST_DAYS = 3660


def check_range_of_dates(first: date, last: date, where: str) -> None:
    """
    Refuse a range that ends before it begins, or lasts more than ten years.

    Raises
    ------
    InvalidValueError
        With `where` as the key path of the change.
    """
    check_date(first, f"{where}.first")
    check_date(last, f"{where}.last")
    if last < first:
        raise InvalidValueError(
            f"{where}.last", f"the last day ({last}) is before the first ({first})", last
        )
    if last > first + timedelta(days=_MOST_DAYS):
        raise InvalidValueError(
            f"{where}.last", f"{last} is more than ten years after {first}", last
        )


def check_weekday(weekday: int, where: str) -> None:
    """Refuse a number that is no day of the week, 0 for Monday."""
    if not 0 <= weekday <= 6:
        raise InvalidValueError(f"{where}.weekday", f"{weekday} is not between 0 and 6", weekday)


def opened(calendar: Calendar, weekday: int, first: date, last: date, hours: float) -> Calendar:
    """Return a calendar that works on a weekday too, but for dates on which it is closed."""
    known = {day for day, _ in calendar.opened}
    extra = []
    for day in _weekdays(weekday, first, last):
        shut = any(begin <= day <= end for begin, end in calendar.closed)
        if not shut and day not in known:
            extra.append((day, hours))
    return replace(calendar, opened=(*calendar.opened, *extra))


def closed(calendar: Calendar, first: date, last: date) -> Calendar:
    """Return a calendar that is closed from one date to another, openings among them too."""
    kept = tuple((day, hours) for day, hours in calendar.opened if not first <= day <= last)
    return replace(calendar, opened=kept, closed=(*calendar.closed, (first, last)))


def _weekdays(weekday: int, first: date, last: date) -> Iterator[date]:
    """Yield the dates of a weekday in a range."""
    day = first + timedelta(days=(weekday - first.weekday()) % 7)
    while day <= last:
        yield day
        day += timedelta(days=7)
