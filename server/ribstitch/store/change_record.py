"""One line of the change log, as it is read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Person:
    """Who acts, and as what."""

    name: str
    role: str


@dataclass(frozen=True, slots=True)
class Span:
    """From an instant on, and up to another one; None: without that end."""

    since: datetime | None = None
    until: datetime | None = None
    """Not counted in."""


ALWAYS = Span()


@dataclass(frozen=True, slots=True)
class ChangeRecord:
    """
    What somebody changed of one thing.

    `before` and `after` are parts of a plan file; None: the thing was not in the plan.
    """

    number: int
    project_id: int
    plan_version: int
    at: datetime
    who: str
    role: str
    action: str
    kind: str
    key: str
    version: int
    """The thing's version after the change."""
    before: dict[str, Any] | None
    after: dict[str, Any] | None
    reason: str
    undoes: int | None
    """The number of the change that this one takes back."""
    undone_by: int | None
    """The number of the change that took this one back."""

    def changed_fields(self) -> list[str]:
        """Return the plan-file keys whose value differs, parts of a status by their own key."""
        return _differences(self.before or {}, self.after or {})


@dataclass(frozen=True, slots=True)
class ChangedKind:
    """How many things of one kind an action changed."""

    kind: str
    added: int
    changed: int
    taken_out: int

    @property
    def count(self) -> int:
        """All of them."""
        return self.added + self.changed + self.taken_out


@dataclass(frozen=True, slots=True)
class ActionRecord:
    """What somebody did at once: the changes that led to one plan version."""

    plan_version: int
    kinds: tuple[ChangedKind, ...]
    changes: tuple[ChangeRecord, ...]
    """All of them, newest first; of a large action the first one alone."""

    @property
    def count(self) -> int:
        """How many changes there are."""
        return sum(one.count for one in self.kinds)


def _differences(before: dict[str, Any], after: dict[str, Any], path: str = "") -> list[str]:
    """Return the key paths at which two documents differ."""
    found: list[str] = []
    for key in {**before, **after}:
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        name = f"{path}{key}"
        if key == "status":
            found += _differences(old or {}, new or {}, f"{name}.")
        else:
            found.append(name)
    return found
