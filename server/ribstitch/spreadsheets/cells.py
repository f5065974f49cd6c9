"""What a cell says, as a value of its column; what says nothing of the kind is refused."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.spreadsheets.columns import Column, Holds
from ribstitch.spreadsheets.grid import Cell, Unread
from ribstitch.spreadsheets.matching import shown
from ribstitch.spreadsheets.styles import DATES, NUMBERS, read_date, read_number

NUMERIC = frozenset({Holds.NUMBER, Holds.WHOLE, Holds.DAYS})
_YES = frozenset({"yes", "y", "true", "1", "x"})
_NO = frozenset({"no", "n", "false", "0"})
_LONGEST = 60


class CellError(Exception):
    """A cell that does not say what its column holds; `str()` is one sentence."""


def value_of(cell: Cell, column: Column, style: str) -> Any:
    """
    Return what a cell says: a text, a Decimal, an int, a date, a bool, or a list of names.

    Parameters
    ----------
    cell
        Not empty.
    column
        What it should hold.
    style
        How its column writes dates or numbers.

    Raises
    ------
    CellError
        If it says nothing of the kind.
    """
    if isinstance(cell, Unread):
        raise CellError(f'"{_short(cell.text)}" {cell.reason}')
    match column.holds:
        case Holds.TEXT | Holds.LINE:
            return shown(cell).strip()
        case Holds.WORD:
            return _word(shown(cell), column)
        case Holds.NAMES:
            return [name.strip() for name in shown(cell).split(",") if name.strip()]
        case Holds.DATE:
            return _date(cell, style)
        case Holds.YES_NO:
            return _yes_no(cell)
        case _:
            return _number(cell, column, style)


def written_as_text(cell: Cell, column: Column) -> str | None:
    """Return a date or a number that is written as text; None if the file knows what it is."""
    is_styled = column.holds is Holds.DATE or column.holds in NUMERIC
    return cell.strip() if is_styled and isinstance(cell, str) else None


def _word(text: str, column: Column) -> str:
    """Return one of a few words, however its parts are joined."""
    word = re.sub(r"[\s\-]+", "_", text.strip()).casefold()
    if word in column.words:
        return word
    raise CellError(f'"{_short(text)}" is none of: {", ".join(column.words)}')


def _date(cell: Cell, style: str) -> date:
    if isinstance(cell, date):
        return cell
    text = shown(cell).strip()
    found = read_date(text, style) if isinstance(cell, str) else None
    if found is not None:
        return found
    wanted = "year-month-day" if not re.search(r"\D\d{4}$", text) else _WANTED[style]
    raise CellError(f'"{_short(text)}" is not a date ({wanted}, the year with four digits)')


_WANTED = dict(zip(DATES.styles, ("day, month, year", "month, day, year"), strict=True))


def _yes_no(cell: Cell) -> bool:
    text = shown(cell).strip().casefold()
    if text not in _YES | _NO:
        raise CellError(f'"{_short(text)}" is neither yes nor no')
    return text in _YES


def _number(cell: Cell, column: Column, style: str) -> Decimal | int:
    found = _decimal(cell, style)
    if found is None:
        mark = "point" if style == NUMBERS.styles[0] else "comma"
        raise CellError(f'"{_short(shown(cell))}" is not a number (with a decimal {mark}, no unit)')
    if column.holds is not Holds.WHOLE:
        return found
    if found != found.to_integral_value():
        raise CellError(f'"{_short(shown(cell))}" is not a whole number')
    return int(found)


def _decimal(cell: Cell, style: str) -> Decimal | None:
    """Return a number; what a workbook holds as a binary fraction is the shortest that it is."""
    match cell:
        case bool():
            return None
        case int():
            return Decimal(cell)
        case float():
            number = Decimal(repr(cell))
            return number if number.is_finite() else None
        case str():
            return read_number(cell.strip(), style)
        case _:
            return None


def _short(text: str) -> str:
    """Cut a value that is too long for a sentence."""
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
