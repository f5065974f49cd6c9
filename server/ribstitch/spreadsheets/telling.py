"""What the rows of a file say, once their columns are matched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ribstitch.spreadsheets.cells import CellError, value_of, written_as_text
from ribstitch.spreadsheets.columns import Column, Holds, Table
from ribstitch.spreadsheets.grid import Grid, Row, letters
from ribstitch.spreadsheets.matching import check_match, headings, shown
from ribstitch.spreadsheets.styles import DATES, NUMBERS, Styles


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with one cell, or with one row."""

    row: int | None
    """Of the file; None: none in particular."""
    column: str
    """Its heading; empty: none in particular."""
    value: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Question:
    """What a file does not tell, so that somebody has to."""

    about: str
    """``dates`` or ``decimals``."""
    choices: tuple[str, ...]
    columns: tuple[str, ...]
    """Headings."""
    example: str


@dataclass(frozen=True, slots=True)
class ToldRow:
    """What one row says; empty cells say nothing."""

    number: int
    values: Mapping[str, Any]
    """By the name of the column."""


@dataclass(frozen=True, slots=True)
class Telling:
    """What a file says."""

    rows: tuple[ToldRow, ...]
    """Those of which every cell was understood."""
    problems: tuple[Problem, ...]
    questions: tuple[Question, ...]
    """While there are any, neither rows nor problems are worked out."""
    headings: Mapping[str, str]
    """How the file calls each column."""


def tell(
    grid: Grid, head: int, table: Table, match: Sequence[str | None], styles: Styles
) -> Telling:
    """
    Work out what the rows below a head say.

    Parameters
    ----------
    grid, head
        The sheet, and which of its rows is the head.
    table
        What is taken in.
    match
        The name of a column of the table for each column of the file; None: left out.
    styles
        How dates and decimals are written, where somebody has said so. It counts for
        columns that do not tell it themselves.

    Raises
    ------
    SpreadsheetError
        If the columns cannot be matched like that.
    """
    check_match(match, grid, table)
    heads = headings(grid, head)
    columns = {
        place: column
        for place, name in enumerate(match)
        if name is not None and (column := table.column(name)) is not None
    }
    called = {column.name: heads[place] or letters(place) for place, column in columns.items()}
    below = grid.rows[head + 1 :]
    settled, questions = _styles(below, columns, called, styles)
    if questions:
        return Telling((), (), questions, called)
    rows: list[ToldRow] = []
    problems: list[Problem] = []
    for row in below:
        values, wrong = _row(row, columns, called, settled)
        problems += wrong
        if values and not wrong:
            rows.append(ToldRow(row.number, values))
    return Telling(tuple(rows), tuple(problems), (), called)


def _row(
    row: Row, columns: Mapping[int, Column], called: Mapping[str, str], styles: Mapping[int, str]
) -> tuple[dict[str, Any], list[Problem]]:
    """Return what a row says, and what is wrong with it."""
    values: dict[str, Any] = {}
    wrong: list[Problem] = []
    for place, column in columns.items():
        cell = row.cell(place)
        if cell is None:
            continue
        try:
            values[column.name] = value_of(cell, column, styles.get(place, ""))
        except CellError as refused:
            wrong.append(Problem(row.number, called[column.name], shown(cell), str(refused)))
    missing = (one for one in columns.values() if one.key and one.name not in values)
    if not wrong and values and (lacking := next(missing, None)):
        sentence = f"there is no {lacking.name} in this row, so nobody knows what it is about"
        wrong.append(Problem(row.number, called[lacking.name], "", sentence))
    return values, wrong


def _styles(
    rows: Sequence[Row],
    columns: Mapping[int, Column],
    called: Mapping[str, str],
    chosen: Styles,
) -> tuple[dict[int, str], tuple[Question, ...]]:
    """Return how each column writes what it holds, and what has to be asked."""
    settled: dict[int, str] = {}
    doubts: dict[str, list[tuple[str, str]]] = {}
    for place, column in columns.items():
        writing = DATES if column.holds is Holds.DATE else NUMBERS
        texts = (written_as_text(row.cell(place), column) for row in rows)
        style, example = writing.settle(text for text in texts if text)
        style = style or chosen.get(writing.what)
        if style is not None:
            settled[place] = style
        else:
            doubts.setdefault(writing.what, []).append((called[column.name], example or ""))
    return settled, tuple(
        Question(
            writing.what, writing.styles, tuple(name for name, _ in doubts[writing.what]),
            doubts[writing.what][0][1],
        )
        for writing in (DATES, NUMBERS)
        if writing.what in doubts
    )  # fmt: skip
