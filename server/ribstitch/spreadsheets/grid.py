"""The cells of one sheet, as they stand in the file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.spreadsheets.errors import SpreadsheetError

MOST_ROWS = 50_000
"""No sheet may have more rows with something in them."""
MOST_COLUMNS = 200
"""What stands further to the right is refused."""


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell whose value the file does not tell, and why."""

    text: str
    reason: str


Cell = str | int | float | bool | date | Unread | None
"""A number or a date only where the file says that it is one."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row with something in it."""

    number: int
    """As a spreadsheet program numbers it, from 1."""
    cells: tuple[Cell, ...]
    """From the first column to the last one that is not empty."""

    def cell(self, place: int) -> Cell:
        """Return the cell of a column; None: empty."""
        return self.cells[place] if place < len(self.cells) else None


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet of a file, without its empty rows."""

    sheets: tuple[str, ...]
    """Names of all sheets; one without a name for comma-separated values."""
    sheet: int
    """Which of them this is, from 0."""
    rows: tuple[Row, ...]

    @property
    def width(self) -> int:
        """How many columns have something in them, or stand left of one that has."""
        return max((len(row.cells) for row in self.rows), default=0)


class Rows:
    """Rows as they are read: empty ones are left out, too many or too wide ones refused."""

    def __init__(self) -> None:
        self._rows: list[Row] = []

    def add(self, number: int, cells: list[Cell]) -> None:
        """
        Take one row.

        Raises
        ------
        SpreadsheetError
            If it is one too many, or too wide.
        """
        cells = [None if isinstance(one, str) and not one.strip() else one for one in cells]
        while cells and cells[-1] is None:
            cells.pop()
        if not cells:
            return
        if len(cells) > MOST_COLUMNS:
            raise SpreadsheetError(
                f"Row {number} has something in column {letters(len(cells) - 1)}: "
                f"at most {MOST_COLUMNS} columns are taken."
            )
        if len(self._rows) == MOST_ROWS:
            raise SpreadsheetError(
                f"The sheet has more than {MOST_ROWS:,} rows: take it in in several parts."
            )
        self._rows.append(Row(number, tuple(cells)))

    def all(self) -> tuple[Row, ...]:
        """Return the rows."""
        return tuple(self._rows)


def letters(place: int) -> str:
    """Return how a spreadsheet program calls a column: A is 0, AA is 26."""
    name = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name
