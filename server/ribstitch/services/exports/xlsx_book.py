"""Workbooks: numbers as numbers, dates as dates, and no formula (ISO/IEC 29500)."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from ribstitch.money.currencies import minor_digits
from ribstitch.services.exports.table import Cell

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

MEDIA_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
"""What no cell can hold, for want of a way to write it (XML 1.0, section 2.2)."""
_NARROWEST, _WIDEST = 9, 50
"""Of a column. [characters]"""


def xlsx_book(
    title: str,
    columns: Sequence[str],
    lines: Sequence[Sequence[Cell]],
    money: Mapping[str, str],
) -> bytes:
    """
    Write a table as a workbook of one sheet, its head in bold and always in view.

    Every text is a text, whatever it begins with: nothing that somebody typed into a plan
    becomes a formula.

    Parameters
    ----------
    title
        Name of the sheet.
    columns
        The head.
    lines
        The cells of each row.
    money
        The columns that hold money, each with the column that tells its currency.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = title
    sheet.freeze_panes = "A2"
    currency_at = {columns.index(one): columns.index(of) for one, of in money.items()}
    for place, name in enumerate(columns):
        _put(sheet, 0, place, name)
        sheet.cell(1, place + 1).font = Font(bold=True)
        _set_width(sheet, place, (name, *(line[place] for line in lines)))
    for number, line in enumerate(lines):
        for place, value in enumerate(line):
            currency = line[currency_at[place]] if place in currency_at else None
            _put(sheet, number + 1, place, value, currency)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _set_width(sheet: Worksheet, place: int, values: Iterable[Cell]) -> None:
    """Make a column as wide as what stands in it, within reason."""
    from openpyxl.utils import get_column_letter

    widest = max(len(str(value or "")) for value in values)
    width = min(max(widest, _NARROWEST), _WIDEST) + 2
    sheet.column_dimensions[get_column_letter(place + 1)].width = width


def _put(sheet: Worksheet, row: int, place: int, value: Cell, currency: Cell = None) -> None:
    """Write a value into a cell; `currency` is that of an amount of money."""
    if value is None or value == "":
        return
    if isinstance(value, str):
        value = value.replace("\r\n", "\n").replace("\r", "\n")
        cell = sheet.cell(row + 1, place + 1, _CONTROL.sub("\ufffd", value))
        cell.data_type = "s"
        return
    cell = sheet.cell(row + 1, place + 1, value)
    if isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    elif isinstance(currency, str):
        cell.number_format = _money_format(currency)


def _money_format(currency: str) -> str:
    """Return how an amount is shown: with its currency, and as many decimal places as that has."""
    digits = minor_digits(currency)
    return f'#,##0{"." if digits else ""}{"0" * digits} "{currency}"'
