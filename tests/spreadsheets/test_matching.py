"""Heads and columns are proposed, and nothing is matched that the user did not say."""

from __future__ import annotations

import io

import pytest
from openpyxl import Workbook

from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.grid import Grid
from ribstitch.spreadsheets.matching import (
    check_match,
    file_columns,
    find_head,
    head_at,
    headings,
    propose,
)
from ribstitch.spreadsheets.reading import read_grid
from ribstitch.spreadsheets.tables import TABLES

FINDINGS, TASKS = TABLES["findings"], TABLES["tasks"]


def merged() -> Grid:
    """Return a sheet with a title, and a head of two rows with merged cells."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet["B2"] = "Walk-round of the tail"
    sheet.merge_cells("B2:F2")
    for place, text in {"B4": "No.", "C4": "Area", "D4": "Hours", "D5": "Low", "E5": "Likely",
                        "F5": "High", "G4": "Snag"}.items():  # fmt: skip
        sheet[place] = text
    for cells in ("B4:B5", "C4:C5", "D4:F4", "G4:G5"):
        sheet.merge_cells(cells)
    for row in (["", "F1", "tail", 1, 2, 3, "Dent"], ["", "F2", "tail", 4, 5, 6, "Dent"]):
        sheet.append(row)
    file = io.BytesIO()
    book.save(file)
    return read_grid(file.getvalue())


def test_the_head_is_found_below_titles_and_in_merged_cells() -> None:
    grid = merged()
    head = find_head(grid, FINDINGS)
    assert grid.rows[head].number == 5
    assert headings(grid, head) == ["", "No.", "Area", "Low", "Likely", "High", "Snag"]
    assert propose(headings(grid, head), FINDINGS) == [
        None, "id", "zone", "low_hours", "likely_hours", "high_hours", "seen",
    ]  # fmt: skip
    assert [one.samples for one in file_columns(grid, head)][:3] == [
        ("F1", "F2"), ("tail",), ("1", "4"),
    ]  # fmt: skip


def test_another_row_can_be_the_head_but_no_empty_one() -> None:
    grid = merged()
    assert headings(grid, head_at(grid, 4))[3] == "Hours"
    with pytest.raises(SpreadsheetError, match="Row 3 has nothing in it"):
        head_at(grid, 3)


def test_a_file_without_any_known_heading_begins_with_its_head() -> None:
    assert find_head(read_grid(b"aa,bb\n1,2\n3,4\n"), FINDINGS) == 0


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("Duration (days)", "days"),
        ("DUE DATE", "deadline"),
        ("due-date", "deadline"),
        ("Work order", "id"),
        ("Not before", "not_before"),
        ("Gewerk", None),
        ("", None),
    ],
)
def test_a_heading_is_known_however_it_is_spelt(heading: str, name: str | None) -> None:
    assert propose([heading], TASKS) == [name]


def test_the_own_name_of_a_column_goes_before_what_shops_call_it() -> None:
    assert propose(["Title", "name", "Description"], TASKS) == [None, "name", None]


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda one: one.name)
def test_every_table_knows_its_own_columns_and_no_other_name_stands_for_two(table: object) -> None:
    columns = TABLES[getattr(table, "name")].columns  # noqa: B009 - the parameter is untyped
    names = [one.name for one in columns]
    assert propose(names, TABLES[getattr(table, "name")]) == names  # noqa: B009 - as above
    besides = [also for one in columns for also in one.also]
    assert len(besides) == len(set(besides))
    assert any(one.key for one in columns)


@pytest.mark.parametrize(
    ("match", "said"),
    [
        ((None, "seen"), r'which column of the file is "id"'),
        (("id", "id"), r'Two columns of the file are matched to "id"'),
        (("id", "colour"), r'has no column "colour"'),
        (("id", None, "seen"), r"3 columns are matched, and the file has 2"),
    ],
)
def test_a_matching_that_cannot_be_is_refused(match: tuple[str | None, ...], said: str) -> None:
    with pytest.raises(SpreadsheetError, match=said):
        check_match(match, read_grid(b"a,b\n1,2\n"), FINDINGS)
