"""Files as shops have them: the same cells come out, or one sentence says why not."""

from __future__ import annotations

import io
import zipfile
from datetime import date

import pytest
from openpyxl import Workbook
from PIL import Image

from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.grid import Cell, Unread, letters
from ribstitch.spreadsheets.reading import read_grid


def cells(data: bytes, sheet: int | None = None) -> list[tuple[Cell, ...]]:
    return [row.cells for row in read_grid(data, sheet).rows]


def book(*rows: list[object]) -> Workbook:
    made = Workbook()
    for row in rows:
        made.worksheets[0].append(row)
    return made


def saved(made: Workbook) -> bytes:
    file = io.BytesIO()
    made.save(file)
    return file.getvalue()


def repacked(data: bytes, name: str, content: bytes) -> bytes:
    """Return a package with another content of one part, and all others as they were."""
    file = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as before,
        zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for part in before.namelist():
            after.writestr(part, content if part == name else before.read(part))
    return file.getvalue()


TEXTS = [("id", "seen"), ("F1", "Größe 1,5 mm"), ("F2", "café, côté")]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252", "latin-1"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_text_is_read_in_any_usual_encoding_and_with_any_usual_delimiter(
    encoding: str, delimiter: str
) -> None:
    lines = [delimiter.join(f'"{one}"' for one in row) for row in TEXTS]
    assert cells("\r\n".join(lines).encode(encoding)) == TEXTS


def test_semicolons_separate_though_decimal_commas_are_more_regular() -> None:
    data = "id;days;low_days\nT1;1,5;1,0\nT2;2,5;2,0\nT3;3,5;3,0\n"
    assert cells(data.encode())[1] == ("T1", "1,5", "1,0")


def test_ends_of_lines_between_quotes_belong_to_the_value() -> None:
    grid = read_grid(b'id,seen\r\nF1,"first\r\nsecond"\r\nF2,"say ""so"""\r\n')
    assert grid.rows[1].cells == ("F1", "first\r\nsecond")
    assert (grid.rows[2].number, grid.rows[2].cells) == (3, ("F2", 'say "so"'))


def test_the_apostrophe_before_a_formula_is_taken_away_and_no_other() -> None:
    """As the exported tables write it; a workbook needs none, so that there all are the text's."""
    assert cells(b"'=1,''+2,'so',=3\n") == [("=1", "'+2", "'so'", "=3")]
    assert cells(saved(book(["'-1"]))) == [("'-1",)]


def test_empty_rows_and_cells_are_left_out_and_rows_keep_their_numbers() -> None:
    grid = read_grid(b"id,seen,,\n,,,\n  ,,,\nF1,,,\n")
    assert [(row.number, row.cells) for row in grid.rows] == [(1, ("id", "seen")), (4, ("F1",))]


def test_a_workbook_tells_dates_numbers_and_truth() -> None:
    """Excel's serial numbers are dates where the cell is shown as one: openpyxl knows."""
    made = book(["id", 2, 2.5, date(2026, 4, 3), True, None], [None], ["x"])
    assert cells(saved(made)) == [("id", 2, 2.5, date(2026, 4, 3), True), ("x",)]
    assert [row.number for row in read_grid(saved(made)).rows] == [1, 3]


def test_the_first_sheet_with_something_in_it_is_read_or_the_one_that_is_named() -> None:
    made = book()
    made.create_sheet("Findings").append(["id"])
    made.create_sheet("More").append(["more"])
    grid = read_grid(saved(made))
    assert (grid.sheets, grid.sheet) == (("Sheet", "Findings", "More"), 1)
    assert cells(saved(made), 2) == [("more",)]
    with pytest.raises(SpreadsheetError, match=r"no sheet 4: it has 3"):
        read_grid(saved(made), 3)


def test_a_formula_counts_as_its_result_and_is_refused_where_the_file_has_none() -> None:
    made = book(["=1+1", "'=1+1", "#DIV/0!"])
    made.worksheets[0]["B1"].data_type = "s"
    data = saved(made)
    first, text, error = cells(data)[0]
    assert isinstance(first, Unread)
    assert first.text == "=1+1"
    assert "save it" in first.reason
    assert text == "'=1+1"
    assert isinstance(error, Unread)
    part = "xl/worksheets/sheet1.xml"
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        sheet = package.read(part)
    assert b"<f>1+1</f><v" in sheet
    kept = sheet.replace(b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>")
    kept = kept.replace(b"<f>1+1</f><v></v>", b"<f>1+1</f><v>2</v>")
    assert cells(repacked(data, part, kept))[0][0] == 2


def png() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "navy").save(file, "png")
    return file.getvalue()


def bomb() -> bytes:
    return repacked(saved(book(["id"])), "xl/worksheets/sheet1.xml", b" " * 30_000_000)


def with_entities() -> bytes:
    grows = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha">]><worksheet>&a;</worksheet>'
    return repacked(saved(book(["id"])), "xl/worksheets/sheet1.xml", grows)


COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600)
REFUSED = {
    "empty": (b" \n ", "is empty"),
    "nothing in a workbook": (saved(book()), "is empty"),
    "a picture": (png(), "neither a workbook"),
    "no workbook in a zip": (b"PK\x03\x04" + bytes(50), "no workbook that can be read"),
    "cut off": (saved(book(["id"]))[:900], "no workbook that can be read"),
    "old": (COMPOUND, r"old kind \(.xls\)"),
    "locked": (COMPOUND + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
    "unpacks to too much": (bomb(), "unpacks to far more"),
    "entities": (with_entities(), "document type"),
    "too large": (b"a" * 20_000_001, "larger than 20 MB"),
    "too many rows": (b"a\n" * 50_001, "more than 50,000 rows"),
    "too wide": (b"a" + b",a" * 200, "column GS"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_no_table_is_refused_in_one_sentence(what: str) -> None:
    data, said = REFUSED[what]
    with pytest.raises(SpreadsheetError, match=said) as refused:
        read_grid(data)
    assert str(refused.value).endswith(".")


def test_a_cell_far_to_the_right_or_far_down_costs_nothing() -> None:
    made = book(["id"])
    made.worksheets[0]["A1048576"] = "last"
    assert [row.number for row in read_grid(saved(made)).rows] == [1, 1_048_576]
    made.worksheets[0]["XFD1"] = "right"
    with pytest.raises(SpreadsheetError, match="column XFD"):
        read_grid(saved(made))


def test_columns_are_called_as_spreadsheet_programs_call_them() -> None:
    """Excel's own last column is XFD, the 16,384th (ISO/IEC 29500-1, 18.3.1.13)."""
    assert [letters(one) for one in (0, 25, 26, 701, 702, 16_383)] == [
        "A", "Z", "AA", "ZZ", "AAA", "XFD",
    ]  # fmt: skip
