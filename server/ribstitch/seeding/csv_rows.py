"""Rows of a CSV text."""

from __future__ import annotations

import csv


def rows(text: str) -> list[dict[str, str]]:
    """Return the rows of a CSV text with a header row."""
    return list(csv.DictReader(text.splitlines()))
