"""Errors of the planning core.

PlanError                     a plan that cannot be scheduled
├── InvalidValueError         one field holds a value that makes no sense
├── DuplicateIdError          two things of one kind share an id
├── UnknownReferenceError     a field names something that is not in the plan
├── CycleError                links that close a loop
├── EmptyCalendarError        a calendar that never works
└── HorizonError              dates that run further than can be computed

Each carries its data (`where` is the key path inside the plan, `value` what stood
there) and one sentence for a person, built once.
"""

from __future__ import annotations

from collections.abc import Sequence


class PlanError(Exception):
    """A plan that cannot be scheduled; `str()` is one sentence for a person."""

    def __init__(self, where: str, reason: str, value: object = None) -> None:
        self.where = where
        self.reason = reason
        self.value = value
        super().__init__(f"{where}: {reason}" if where else reason)


class InvalidValueError(PlanError):
    """One field holds a value that makes no sense."""


class DuplicateIdError(PlanError):
    """Two things of one kind share an id."""

    def __init__(self, where: str, kind: str, duplicate: str) -> None:
        super().__init__(where, f'the {kind} id "{duplicate}" is used twice', duplicate)


class UnknownReferenceError(PlanError):
    """A field names something that is not in the plan."""

    def __init__(self, where: str, kind: str, missing: str) -> None:
        super().__init__(where, f'there is no {kind} "{missing}" in the plan', missing)


class CycleError(PlanError):
    """Links that close a loop; `members` lists every activity in link order."""

    def __init__(self, members: Sequence[str]) -> None:
        self.members = tuple(members)
        chain = " -> ".join((*self.members, self.members[0]))
        super().__init__("links", f"these wait for each other in a circle: {chain}", self.members)


class EmptyCalendarError(PlanError):
    """A calendar that never works, or not within the years that can be computed."""

    def __init__(self, where: str, calendar: str) -> None:
        super().__init__(where, f'the calendar "{calendar}" has no working day', calendar)


class HorizonError(PlanError):
    """Dates that run further than can be computed."""

    def __init__(self, year: int) -> None:
        super().__init__("", f"the plan runs past the year {year}, the last that is computed", year)
