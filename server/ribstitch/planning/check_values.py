"""Refuse a single value: an id, a name of something else, a duration, a date, a share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from ribstitch.planning.errors import (
    DuplicateIdError,
    InvalidValueError,
    UnknownReferenceError,
)
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks

LONGEST_YEARS = 20
LONGEST = LONGEST_YEARS * 366 * TICKS_PER_DAY
"""No single duration may be longer: 20 years. [ticks]"""
FIRST_YEAR, LAST_YEAR = 1900, 2199
LONGEST_ID, LONGEST_NAME = 80, 500
"""So many letters an id and a name have at most."""


def check_unique(things: Iterable[object], where: str, kind: str) -> set[str]:
    """Return the ids of things, refusing one that is used twice or is empty."""
    seen: set[str] = set()
    for number, thing in enumerate(things):
        name: str = getattr(thing, "id")  # noqa: B009 - unrelated dataclasses share it
        if not name.strip():
            raise InvalidValueError(f"{where}[{number}].id", "an id cannot be empty", name)
        if name in seen:
            raise DuplicateIdError(f"{where}[{number}].id", kind, name)
        seen.add(name)
    return seen


def check_known(name: str | None, known: set[str], where: str, kind: str) -> None:
    """Refuse a name that is not among the known ones; None means not given."""
    if name is not None and name not in known:
        raise UnknownReferenceError(where, kind, name)


def check_names(names: Sequence[str], known: set[str], where: str, kind: str) -> None:
    """Refuse a list that names what is not there, or a thing twice."""
    for number, name in enumerate(names):
        check_known(name, known, f"{where}[{number}]", kind)
        if name in names[:number]:
            raise InvalidValueError(
                f"{where}[{number}]", f'the {kind} "{name}" is named already', name
            )


def check_duration(ticks: int, where: str) -> None:
    """Refuse a duration below zero or beyond twenty years."""
    days = days_from_ticks(ticks)
    if ticks < 0:
        raise InvalidValueError(where, f"{days:g} days is less than nothing", days)
    if ticks > LONGEST:
        raise InvalidValueError(where, f"{days:g} days is more than {LONGEST_YEARS} years", days)


def check_range(span: tuple[int, int, int] | None, where: str) -> None:
    """Refuse low, likely and high ticks that fall, or that are no durations."""
    if span is None:
        return
    low, likely, high = span
    check_duration(low, f"{where}[0]")
    check_duration(high, f"{where}[2]")
    if not low <= likely <= high:
        shown = ", ".join(f"{days_from_ticks(one):g}" for one in span)
        raise InvalidValueError(where, f"low, likely and high must rise: {shown} days", span)


def check_between(value: float, low: float, high: float, where: str) -> None:
    """Refuse a number outside a range, both ends included; what is no number is outside."""
    if not low <= value <= high:
        raise InvalidValueError(where, f"{value:g} is not between {low:g} and {high:g}", value)


def check_date(day: date | None, where: str) -> None:
    """
    Refuse a date outside the years that are computed; None is no date.

    Raises
    ------
    InvalidValueError
        With `where` as the key path of the date.
    """
    if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InvalidValueError(
            where, f"{day} is not between the years {FIRST_YEAR} and {LAST_YEAR}", day
        )


def check_not_after(day: date | None, as_of: date, where: str, name: str) -> None:
    """Refuse an actual date (of the thing with this id) later than the as-of date."""
    if day is not None and day > as_of:
        raise InvalidValueError(where, f'{day} of "{name}" is after the as-of date {as_of}', day)
