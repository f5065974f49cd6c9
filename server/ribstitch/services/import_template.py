"""An empty table to fill in: the columns, and one row that shows what stands in them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from ribstitch.services.exports.csv_text import csv_text
from ribstitch.services.exports.table import Cell
from ribstitch.services.exports.xlsx_book import xlsx_book
from ribstitch.spreadsheets.cells import NUMERIC
from ribstitch.spreadsheets.columns import Column, Holds, Table


def template_csv(table: Table) -> bytes:
    """Return it as comma-separated values."""
    return csv_text(_names(table), [_example(table)]).encode("utf-8-sig")


def template_xlsx(table: Table) -> bytes:
    """Return it as a workbook."""
    return xlsx_book(table.name, _names(table), [_example(table)], {})


def _names(table: Table) -> list[str]:
    return [one.name for one in table.columns]


def _example(table: Table) -> list[Cell]:
    return [_cell(one) for one in table.columns]


def _cell(column: Column) -> Cell:
    """Return the example of a column as the value that it is."""
    if not column.example:
        return None
    if column.holds is Holds.DATE:
        return date.fromisoformat(column.example)
    return Decimal(column.example) if column.holds in NUMERIC else column.example
