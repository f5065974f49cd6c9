"""Who there is: the people of a plan, each counted once whatever they can do."""

from __future__ import annotations

from collections.abc import Collection

from ribstitch.planning.model import Crew, Plan


def crew_of(plan: Plan, trades: Collection[str]) -> tuple[Crew, ...]:
    """Return the people who have any of some trades, each once."""
    found: dict[tuple[object, ...], Crew] = {}
    for number, row in enumerate(plan.crew):
        if row.trade in trades and row.people:
            found.setdefault(people_of(number, row), row)
    return tuple(found.values())


def people_of(number: int, row: Crew) -> tuple[object, ...]:
    """
    Return what tells the people of a crew row, given its number, from all others.

    Rows of one label, calendar and head count are the same people with several trades;
    rows without a label are people of their own.
    """
    return (row.label, row.calendar, row.people) if row.label else (number,)
