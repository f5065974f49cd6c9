"""Workbooks (ISO/IEC 29500): what is in the cells, and nothing that runs."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.grid import MOST_COLUMNS, Cell, Grid, Rows, Unread

if TYPE_CHECKING:
    from openpyxl import Workbook

_LARGEST = 200_000_000
"""A workbook may not unpack to more. [bytes]"""
_MOST_SQUEEZED = 200
"""No large part may be packed more tightly: sheets of text and numbers come to 5 to 50."""
_LARGE = 1_000_000
"""What counts as a large part. [bytes]"""
_LAST_ROW = 1_048_576
"""The last row that a spreadsheet program has."""
_MOST_SHEETS = 100
_ERRORS = frozenset({"#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A"})
"""What a formula gives that goes wrong (ISO/IEC 29500-1, 18.17.3)."""
_DTD = b"<!DOCTYPE"
_NO_WORKBOOK = "The file is no workbook that can be read: save it anew as .xlsx, or as .csv."


def read_xlsx(data: bytes, sheet: int | None = None) -> Grid:
    """
    Read one sheet of a workbook; the first one with something in it, if none is named.

    A formula counts as what it gave when the workbook was saved. Where that is not in the
    file, or is an error, the cell is `Unread`.

    Raises
    ------
    SpreadsheetError
        If it is none, unpacks to too much, or has no such sheet.
    """
    has_formulas = _look_inside(data)
    try:
        return _read(data, sheet, has_formulas)
    except SpreadsheetError:
        raise
    except Exception as failed:
        raise SpreadsheetError(_NO_WORKBOOK) from failed


def _look_inside(data: bytes) -> bool:
    """
    Refuse a package that is none, or that does harm when it is unpacked.

    A document type stands in no part of a package (ISO/IEC 29500-2), so that entities
    that grow are refused along with it.

    Returns
    -------
    bool
        Whether a sheet has formulas.
    """
    has_formulas = False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            parts = package.infolist()
            if sum(part.file_size for part in parts) > _LARGEST or any(map(_is_squeezed, parts)):
                raise SpreadsheetError(
                    "The workbook unpacks to far more than a table: save the table alone."
                )
            for part in parts:
                if not part.filename.endswith((".xml", ".rels")):
                    continue
                content = package.read(part)
                if _DTD in content or _DTD.decode().encode("utf-16-le") in content:
                    raise SpreadsheetError(
                        f"The workbook's part {part.filename} has a document type, "
                        "which no workbook has."
                    )
                has_formulas |= b"<f>" in content or b"<f " in content
    except SpreadsheetError:
        raise
    except Exception as failed:
        raise SpreadsheetError(_NO_WORKBOOK) from failed
    return has_formulas


def _is_squeezed(part: zipfile.ZipInfo) -> bool:
    """Return whether a part is packed more tightly than any table."""
    return part.file_size > _LARGE and part.file_size > _MOST_SQUEEZED * part.compress_size


def _read(data: bytes, sheet: int | None, has_formulas: bool) -> Grid:
    """Read a package that is known to be harmless."""
    book = _open(data, results=True)
    names = tuple(one.title for one in book.worksheets)
    if not names or len(names) > _MOST_SHEETS:
        raise SpreadsheetError(
            f"The workbook has {len(names)} sheets: 1 to {_MOST_SHEETS} will do."
        )
    if sheet is not None and sheet >= len(names):
        raise SpreadsheetError(f"The workbook has no sheet {sheet + 1}: it has {len(names)}.")
    formulas = _open(data, results=False) if has_formulas else None
    for place in range(len(names)) if sheet is None else (sheet,):
        rows = Rows()
        told = _cells(book, place)
        written: Iterator[tuple[Any, ...]] = _cells(formulas, place) if formulas else iter(())
        for number, cells in enumerate(told, 1):
            beside = next(written, ())
            rows.add(
                number,
                [
                    _cell(value, beside[column] if column < len(beside) else None)
                    for column, value in enumerate(cells)
                ],
            )
        found = rows.all()
        if found or sheet is not None:
            break
    return Grid(names, place if found else 0, found)


def _open(data: bytes, *, results: bool) -> Workbook:
    from openpyxl import load_workbook

    return load_workbook(io.BytesIO(data), read_only=True, data_only=results, keep_links=False)


def _cells(book: Workbook, place: int) -> Iterator[tuple[Any, ...]]:
    """Yield the values of a sheet, row by row; its own word on how large it is does not count."""
    sheet = book.worksheets[place]
    if hasattr(sheet, "reset_dimensions"):
        sheet.reset_dimensions()
    for cells in sheet.iter_rows(max_row=_LAST_ROW, values_only=True):
        beyond = cells[MOST_COLUMNS:]
        yield cells[:MOST_COLUMNS] if beyond.count(None) == len(beyond) else cells


def _cell(value: Any, written: Any) -> Cell:
    """Return a cell: what it shows, given what is written into it where there are formulas."""
    if value is None:
        if written is None:
            return None
        text = written if isinstance(written, str) else "A formula"
        return Unread(
            text,
            "is a formula whose result is not in the file: "
            "open it in a spreadsheet program and save it",
        )
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, str) and value in _ERRORS:
        return Unread(value, "is what a formula gives that goes wrong")
    if isinstance(value, str | bool | int | float | date):
        return value
    return str(value)
