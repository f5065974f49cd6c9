"""The words of the trade that the service tells as they stand in its tables."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from ribstitch.seeding.csv_rows import rows
from tools.catalogue.text import Text

SPOKEN = {
    "chapters": ("title",),
    "condition_grades": ("name", "meaning"),
    "hazards": ("tag", "caution"),
    "records": ("rule", "settles", "help", "basis"),
    "rule_books": ("name", "note"),
    "send_out_kinds": ("name", "goes_with_it", "must_come_back", "note"),
    "treatments": ("name", "implies", "where", "record_first", "originality"),
}
"""Columns by table. None of them is what a shop edits in its plan: that is not translated."""
_LISTS = {"goes_with_it", "must_come_back"}
"""Columns with several texts, each told by itself."""


def table_texts(folder: Path) -> Iterator[Text]:
    """Return the texts of the tables that are shipped for every project."""
    for name, columns in SPOKEN.items():
        for row in rows((folder / f"{name}.csv").read_text(encoding="utf-8")):
            for column in columns:
                told = row[column].split("; ") if column in _LISTS else [row[column]]
                for text in filter(None, told):
                    yield Text(text.replace("_", " "), f"{name}.csv")
