"""What was done to a plan since somebody last looked, in the order in which it was done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from ribstitch.store import Store

MOST_AT_ONCE = 200
"""How many actions are told at once; who is further behind asks again."""
_MOST_NAMED = 100
"""How many things an action names."""


@dataclass(frozen=True, slots=True)
class LiveChange:
    """One action: the plan version that it led to, who did it, and what it touched."""

    plan_version: int
    at: datetime
    who: str
    role: str
    action: str
    changed: tuple[tuple[str, str], ...]
    """Kind and key of the things, the first hundred."""
    count: int
    """Of all things that it touched."""
    finish: date | None
    """The forecast finish that it led to."""


def changes_since(store: Store, project_id: int, after: int) -> Sequence[LiveChange]:
    """
    Return what was done after a plan version, oldest first.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    UnavailableError
        If the database does not answer.
    """
    with store.reading() as look:
        if look.plan_version(project_id) <= after:
            return ()
        rows = look.touched_since(project_id, after, MOST_AT_ONCE)
    actions = []
    for version, group in groupby(rows, key=lambda row: row.plan_version):
        of_one = list(group)
        first = of_one[0]
        things = tuple((row.kind, row.key) for row in of_one[:_MOST_NAMED])
        actions.append(
            LiveChange(
                version, first.at, first.who, first.role, first.action, things, len(of_one),
                first.finish,
            )
        )  # fmt: skip
    return actions


def plan_version(store: Store, project_id: int) -> int:
    """
    Return how often a plan was changed.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as look:
        return look.plan_version(project_id)
