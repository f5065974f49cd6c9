"""Which row is the head of a table, and which column holds what: proposed, never decided."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from ribstitch.spreadsheets.columns import Table
from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.grid import Cell, Grid, Unread

_LOOKED_AT = 30
"""Among so many rows the head is looked for."""
_SAMPLES = 3
_LONGEST_SAMPLE = 60


@dataclass(frozen=True, slots=True)
class FileColumn:
    """One column of a file."""

    place: int
    """From 0."""
    heading: str
    samples: tuple[str, ...]
    """The first values below the head, none twice."""


def find_head(grid: Grid, table: Table) -> int:
    """Return which of the rows is most like the head of the table; the first one if none is."""
    found = [
        sum(name is not None for name in propose(headings(grid, row), table))
        for row in range(min(_LOOKED_AT, len(grid.rows)))
    ]
    return found.index(max(found))


def head_at(grid: Grid, number: int) -> int:
    """
    Return which of the rows has a number of the file.

    Raises
    ------
    SpreadsheetError
        If that row is empty, or not there.
    """
    for place, row in enumerate(grid.rows):
        if row.number == number:
            return place
    raise SpreadsheetError(f"Row {number} has nothing in it, so it cannot be the head.")


def headings(grid: Grid, head: int) -> list[str]:
    """
    Return the head of each column.

    Where cells are merged downwards, the text stands in the row above: it is taken from
    there.
    """
    row = grid.rows[head]
    above = grid.rows[head - 1] if head else None
    if above is not None and above.number != row.number - 1:
        above = None
    own = (row.cell(place) for place in range(grid.width))
    return [
        shown(cell if cell is not None or above is None else above.cell(place)).strip()
        for place, cell in enumerate(own)
    ]


def file_columns(grid: Grid, head: int) -> list[FileColumn]:
    """Return the columns that have a heading or a value."""
    found = []
    for place, heading in enumerate(headings(grid, head)):
        samples: dict[str, None] = {}
        for row in grid.rows[head + 1 :]:
            text = shown(row.cell(place))
            if text:
                samples[text[:_LONGEST_SAMPLE]] = None
            if len(samples) == _SAMPLES:
                break
        if heading or samples:
            found.append(FileColumn(place, heading, tuple(samples)))
    return found


def propose(heads: Sequence[str], table: Table) -> list[str | None]:
    """Return for each heading the column of the table that it seems to be, each at most once."""
    exact = {plain(one.name): one.name for one in table.columns}
    besides = {plain(also): one.name for one in reversed(table.columns) for also in one.also}
    found: list[str | None] = [None] * len(heads)
    taken: set[str] = set()
    for names in (exact, besides):
        for place, heading in enumerate(heads):
            whole, without = plain(heading), plain(re.sub(r"\(.*?\)|\[.*?\]", "", heading))
            name = names.get(whole) or names.get(without)
            if name is not None and name not in taken and found[place] is None:
                found[place] = name
                taken.add(name)
    return found


def check_match(match: Sequence[str | None], grid: Grid, table: Table) -> None:
    """
    Refuse a matching that cannot be.

    Parameters
    ----------
    match
        The name of a column of the table for each column of the file; None: left out.
    grid
        The file.
    table
        What is taken in.

    Raises
    ------
    SpreadsheetError
        If it names what is no column, one twice, or leaves out what tells things apart.
    """
    given = [name for name in match if name is not None]
    if len(match) > grid.width:
        raise SpreadsheetError(
            f"{len(match)} columns are matched, and the file has {grid.width} of them."
        )
    for name in given:
        if table.column(name) is None:
            raise SpreadsheetError(f'The table {table.name} has no column "{name}".')
        if given.count(name) > 1:
            raise SpreadsheetError(f'Two columns of the file are matched to "{name}".')
    for column in table.columns:
        if column.key and column.name not in given:
            raise SpreadsheetError(
                f'Say which column of the file is "{column.name}": it tells which row is which.'
            )


def plain(text: str) -> str:
    """Return a heading without accents, capitals, spaces and signs."""
    bare = unicodedata.normalize("NFKD", text.replace("ß", "ss")).casefold()
    return "".join(one for one in bare if one.isalnum())


def shown(cell: Cell) -> str:
    """Return a cell as text."""
    match cell:
        case None:
            return ""
        case bool():
            return "yes" if cell else "no"
        case Unread():
            return cell.text
        case float() if cell.is_integer() and abs(cell) < 1e15:
            return str(int(cell))
        case _:
            return str(cell)
