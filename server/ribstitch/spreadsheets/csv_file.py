"""Values separated by commas, semicolons, tabs or upright strokes (RFC 4180 and its relatives)."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from itertools import islice

from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.grid import Grid, Rows

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""How a text begins that a spreadsheet would take for a formula, or skip to one."""
_DELIMITERS = (",", ";", "\t", "|")
_LOOKED_AT = 200
"""How many rows are looked at to tell what separates the values."""
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f\x80-\x9f]")
"""What stands in no table of text."""
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
"""Byte order marks, and what they say."""


def read_csv(data: bytes) -> Grid:
    """
    Read separated values.

    The characters are UTF-8, or UTF-16 with a byte order mark; what is neither is
    Windows-1252, which has all letters of Latin-1 in the same places. What separates the
    values is the mark that gives most rows the same number of columns.

    Raises
    ------
    SpreadsheetError
        If it is no text, or no table.
    """
    text = _decoded(data)
    rows = Rows()
    try:
        for number, record in enumerate(_records(text, _delimiter(text)), 1):
            rows.add(number, [_unquoted(one) for one in record])
    except csv.Error as refused:
        raise SpreadsheetError(f"The file is no table of separated values ({refused}).") from None
    return Grid(("",), 0, rows.all())


def _unquoted(text: str) -> str:
    """Take away the apostrophe that keeps a spreadsheet from running a text as a formula."""
    rest = text.lstrip("'")
    return text[1:] if rest != text and rest.startswith(FORMULA) else text


def _decoded(data: bytes) -> str:
    """Return the text of a file."""
    marked = next((name for mark, name in _MARKS if data.startswith(mark)), None)
    for encoding in (marked,) if marked else ("utf-8", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeError:
            continue
        if not _CONTROL.search(text):
            return text
        break
    raise SpreadsheetError(
        "The file is neither a workbook (.xlsx) nor a table of text (.csv): "
        "save the table as one of the two."
    )


def _delimiter(text: str) -> str:
    """Return what separates the values."""

    def agreement(delimiter: str) -> tuple[int, int]:
        widths = Counter(len(one) for one in islice(_records(text, delimiter), _LOOKED_AT))
        return max(((rows, width) for width, rows in widths.items() if width > 1), default=(0, 0))

    return max(_DELIMITERS, key=agreement)


def _records(text: str, delimiter: str) -> Iterator[list[str]]:
    """Return the rows; ends of lines between quotes belong to the value."""
    return csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
