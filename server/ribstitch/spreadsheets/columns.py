"""What a table that can be taken in is made of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Holds(StrEnum):
    """What stands in the cells of a column."""

    LINE = "line"
    """A word or a name on one line, such as an id."""
    TEXT = "text"
    WORD = "word"
    """One of a few words."""
    NUMBER = "number"
    WHOLE = "whole"
    """A whole number."""
    DAYS = "days"
    """Working days, to an eighth."""
    DATE = "date"
    YES_NO = "yes_no"
    NAMES = "names"
    """Several ids, with commas between them."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column."""

    name: str
    """As in the exported table."""
    holds: Holds = Holds.TEXT
    field: str = ""
    """Where its value stands in the plan file, such as ``status.state``; empty: as `name`."""
    key: bool = False
    """It tells which thing a row is about."""
    needed: bool = False
    """Nothing new comes in without it."""
    also: tuple[str, ...] = ()
    """What shops call it, besides."""
    words: tuple[str, ...] = ()
    example: str = ""
    """What stands in a template."""

    @property
    def path(self) -> str:
        """The key path in the plan file."""
        return self.field or self.name


@dataclass(frozen=True, slots=True)
class Table:
    """One table that can be taken in."""

    name: str
    """As in the address."""
    kind: str
    """What its things are called in the change log."""
    columns: tuple[Column, ...]

    def column(self, name: str) -> Column | None:
        """Return a column; None if there is none of that name."""
        return next((one for one in self.columns if one.name == name), None)

    def at(self, path: str) -> Column | None:
        """Return the column of a key path of the plan file, or of the first part of it."""
        first = path.partition(".")[0]
        exact = (one for one in self.columns if one.path == path)
        part = (one for one in self.columns if one.path.partition(".")[0] == first)
        return next(exact, None) or next(part, None)
