"""The usual cautions of each hazard tag, out of the seed data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows

STANDING_LINE = (
    "Usual cautions only. The maker's documents, local codes and licensed people decide."
)
"""Stands wherever cautions or sign-offs are shown."""


@dataclass(frozen=True, slots=True)
class Caution:
    """What is usually said of a hazard, and where that comes from."""

    caution: str
    source: str


@lru_cache(maxsize=1)
def cautions() -> Mapping[str, Caution]:
    """
    Return the caution of each tag; read once.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    return {
        row["tag"]: Caution(row["caution"], f"{row['source']} ({row['basis']})")
        for row in rows(library.shipped()["hazards"])
    }


def cautions_for(tags: Iterable[str]) -> dict[str, Caution]:
    """Return the cautions of some tags, in order; a tag nobody knows gets a general one."""
    known = cautions()
    return {
        tag: known.get(tag, Caution("Ask what this means before you begin.", "no source"))
        for tag in sorted(set(tags))
    }
