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
    """
    Links that close a loop; `members` lists every activity in link order.

    `by_crew` are the steps of the loop that nothing but a crew link makes, as (before,
    after): those can be broken.
    """

    def __init__(self, members: Sequence[str], by_crew: Sequence[tuple[str, str]] = ()) -> None:
        self.members = tuple(members)
        self.by_crew = tuple(by_crew)
        chain = " -> ".join((*self.members, self.members[0]))
        reason = f"these wait for each other in a circle: {chain}"
        if self.by_crew:
            waits = ", ".join(f"{after} waits for {before}" for before, after in self.by_crew)
            reason += f" (by the order of the crew, {waits})"
        super().__init__("links", reason, self.members)


class EmptyCalendarError(PlanError):
    """A calendar that never works, or not within the years that can be computed."""

    def __init__(self, where: str, calendar: str) -> None:
        super().__init__(where, f'the calendar "{calendar}" has no working day', calendar)


class HorizonError(PlanError):
    """Dates that run further than can be computed."""

    def __init__(self, year: int) -> None:
        super().__init__("", f"the plan runs past the year {year}, the last that is computed", year)
