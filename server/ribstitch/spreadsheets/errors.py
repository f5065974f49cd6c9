"""What can be wrong with a file before there is a table."""

from __future__ import annotations


class SpreadsheetError(Exception):
    """A file, or a choice made about it, that is refused; `str()` is one sentence for a person."""
