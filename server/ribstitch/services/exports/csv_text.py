"""Comma-separated values that a spreadsheet shows as they are (RFC 4180)."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from ribstitch.services.exports.table import Cell
from ribstitch.spreadsheets.csv_file import FORMULA


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """
    Write a table: a head, then a line for each row, numbers with a point.

    Texts that begin like a formula get an apostrophe in front, so that what somebody
    typed into a plan is never run by a spreadsheet (OWASP, "CSV Injection"). So do texts
    that begin like that behind apostrophes of their own: one taken away gives each text back.
    """
    page = io.StringIO()
    writer = csv.writer(page, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_cell(one) for one in row] for row in rows)
    return page.getvalue()


def _cell(value: Cell) -> str:
    """Write one value."""
    if isinstance(value, str):
        return f"'{value}" if value.lstrip("'").startswith(FORMULA) else value
    if isinstance(value, Decimal):
        return f"{value:f}"
    return "" if value is None else value.isoformat()
