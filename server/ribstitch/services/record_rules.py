"""What licensed people must settle before flight, by rule book, out of the seed data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows


@dataclass(frozen=True, slots=True)
class RuleBook:
    """Whose rules an aircraft will fly by."""

    id: str
    name: str
    note: str
    countries: tuple[str, ...] = ()
    """Where it is the usual one (ISO 3166-1); none: wherever no other is."""


@dataclass(frozen=True, slots=True)
class RecordRule:
    """One thing that a licensed person must settle, which Ribstitch can only list."""

    id: str
    books: tuple[str, ...]
    """Ids of the rule books that ask for it."""
    rule: str
    settles: str
    help: str
    """What Ribstitch has for it."""
    basis: str
    """How well the rule was read: from memory, an excerpt, ..."""


@lru_cache(maxsize=1)
def rule_books() -> tuple[RuleBook, ...]:
    """
    Return the rule books to choose from.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    return tuple(
        RuleBook(row["id"], row["name"], row["note"], tuple(row["countries"].split()))
        for row in rows(library.shipped()["rule_books"])
    )


@lru_cache(maxsize=1)
def record_rules() -> tuple[RecordRule, ...]:
    """
    Return what has to be settled, all rule books together.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    return tuple(
        RecordRule(
            row["id"], tuple(row["books"].split()), row["rule"], row["settles"], row["help"],
            row["basis"],
        )
        for row in rows(library.shipped()["records"])
    )  # fmt: skip
