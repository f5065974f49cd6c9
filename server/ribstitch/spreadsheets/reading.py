"""Read a file as what its content is, whatever it is called."""

from __future__ import annotations

from ribstitch.spreadsheets.csv_file import read_csv
from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.grid import Grid
from ribstitch.spreadsheets.xlsx_file import read_xlsx

LARGEST_BYTES = 20_000_000
"""No file may be larger. [bytes]"""
_PACKAGE = b"PK\x03\x04"
_COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")
"""How an old or an encrypted workbook begins."""
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")


def read_grid(data: bytes, sheet: int | None = None) -> Grid:
    """
    Read one sheet of a workbook, or separated values.

    Parameters
    ----------
    data
        The file.
    sheet
        Which sheet, from 0; the first one with something in it, if not given.

    Raises
    ------
    SpreadsheetError
        If it is neither, or empty.
    """
    if len(data) > LARGEST_BYTES:
        raise SpreadsheetError(f"The file is larger than {LARGEST_BYTES / 1e6:.0f} MB.")
    if data.startswith(_COMPOUND):
        raise SpreadsheetError(
            "The workbook is locked with a password: save it without one."
            if _ENCRYPTED in data
            else "The file is a workbook of the old kind (.xls): save it as .xlsx."
        )
    grid = read_xlsx(data, sheet) if data.startswith(_PACKAGE) else read_csv(data)
    if not grid.rows:
        raise SpreadsheetError("The file is empty: no cell has anything in it.")
    return grid
