"""How dates and numbers are written as text, and when that cannot be told.

A style is settled by a column that only one style fits. Where both fit every value, and mean
different things, somebody has to say which it is: nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Generic, TypeVar

_Value = TypeVar("_Value")


class DateStyle(StrEnum):
    """What comes first in 03/04/2026."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


class DecimalStyle(StrEnum):
    """What parts the decimals off in 1.234 or 1,234."""

    POINT = "point"
    COMMA = "comma"


Reader = Callable[[str, str], _Value | None]

_YEAR_FIRST = re.compile(r"(\d{4})([-./])(\d{1,2})\2(\d{1,2})(?:[T ][\d:.]*Z?)?")
_YEAR_LAST = re.compile(r"(\d{1,2})([-./])(\d{1,2})\2(\d{4})(?:[T ][\d:.]*Z?)?")
_SPACES = r" \u00a0\u2009\u202f'’"
"""What else stands between groups of three digits."""
_NUMBERS = {
    style: re.compile(rf"[+-]?(?:\d{{1,3}}(?:[{_SPACES}{between}]\d{{3}})+|\d*)(?:{decimal}\d+)?")
    for style, between, decimal in (
        (DecimalStyle.POINT, ",", r"\."),
        (DecimalStyle.COMMA, r"\.", ","),
    )
}


def read_date(text: str, style: str) -> date | None:
    """Return a date written as text; None if it is none in this style."""
    if year_first := _YEAR_FIRST.fullmatch(text):
        year, _, month, day = year_first.groups()
    elif year_last := _YEAR_LAST.fullmatch(text):
        first, _, second, year = year_last.groups()
        day, month = (first, second) if style == DateStyle.DAY_FIRST else (second, first)
    else:
        return None
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None


def read_number(text: str, style: str) -> Decimal | None:
    """Return a number written as text; None if it is none in this style."""
    text = text.replace("−", "-")
    if not _NUMBERS[DecimalStyle(style)].fullmatch(text) or not re.search(r"\d", text):
        return None
    decimal = "." if style == DecimalStyle.POINT else ","
    kept = re.sub(rf"[^\d{re.escape(decimal)}-]", "", text)
    return Decimal(kept.replace(",", "."))


@dataclass(frozen=True, slots=True)
class Writing(Generic[_Value]):
    """One way of writing values in two styles."""

    what: str
    """What a question is about."""
    styles: tuple[str, str]
    read: Reader[_Value]

    def settle(self, texts: Iterable[str]) -> tuple[str | None, str | None]:
        """
        Return the style of a column and None, or None and a value that shows the doubt.

        A value that is none in either style, or the same in both, says nothing. Where no
        value says anything, either style will do.
        """
        possible = set(self.styles)
        doubtful: str | None = None
        for text in texts:
            one, other = (self.read(text, style) for style in self.styles)
            if one == other:
                continue
            doubtful = doubtful or text
            fits = {
                style
                for style, value in zip(self.styles, (one, other), strict=True)
                if value is not None
            }
            possible &= fits
        if doubtful is None:
            return self.styles[0], None
        return (possible.pop(), None) if len(possible) == 1 else (None, doubtful)


DATES = Writing("dates", (DateStyle.DAY_FIRST.value, DateStyle.MONTH_FIRST.value), read_date)
NUMBERS = Writing("decimals", (DecimalStyle.POINT.value, DecimalStyle.COMMA.value), read_number)

Styles = Mapping[str, str]
"""The style of each way of writing that somebody has settled."""
