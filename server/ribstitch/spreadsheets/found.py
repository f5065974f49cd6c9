"""A table found in a file: which sheet, which row is its head, and what the rows below say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ribstitch.spreadsheets.columns import Table
from ribstitch.spreadsheets.grid import Grid
from ribstitch.spreadsheets.matching import find_head, head_at, headings, propose
from ribstitch.spreadsheets.reading import read_grid
from ribstitch.spreadsheets.styles import Styles
from ribstitch.spreadsheets.telling import Telling, tell


@dataclass(frozen=True, slots=True)
class Found:
    """A file, and which of its rows is the head."""

    grid: Grid
    head: int

    def told(self, table: Table, match: Sequence[str | None] | None, styles: Styles) -> Telling:
        """
        Work out what the rows say, as `tell` does; without a match the proposed one counts.

        Raises
        ------
        SpreadsheetError
            If the columns cannot be matched like that.
        """
        if match is None:
            match = propose(headings(self.grid, self.head), table)
        return tell(self.grid, self.head, table, match, styles)


def find_table(data: bytes, table: Table, sheet: int | None, header: int | None) -> Found:
    """
    Find a table in a file.

    Parameters
    ----------
    data
        The file.
    table
        What it holds.
    sheet
        Which sheet, from 0; the first one with something in it, if not given.
    header
        The number of the row that is the head; the one most like it, if not given.

    Raises
    ------
    SpreadsheetError
        If the file cannot be read, or that row is none.
    """
    grid = read_grid(data, sheet)
    return Found(grid, find_head(grid, table) if header is None else head_at(grid, header))


def matched(text: str) -> list[str | None]:
    """Return the columns of a table as they are listed, such as ``id,,seen``; empty: left out."""
    return [name.strip() or None for name in text.split(",")]
