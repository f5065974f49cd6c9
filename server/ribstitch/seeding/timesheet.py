"""Who worked when on what: the shop's hours, spread over the dates of the work.

A row of the shop's summary gives the hours of one or several jobs together. Finished rows
share them out over their steps by likely hours; in unfinished rows the steps that are done
took their likely hours, and the one in work the rest. A step's hours go to the dates on
which it was worked, an hour at a time to whoever has the fewest so far (where a day would
become too long, to the dates of the whole row), so that a row adds up to what was written
down.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction

from ribstitch.money.minor_units import share_out
from ribstitch.planning.drafting import Job, Work
from ribstitch.seeding.crew import Crew
from ribstitch.seeding.plan_text import number
from ribstitch.seeding.status import Status, StatusRow, status_rows

Entry = dict[str, object]
Cell = tuple[date, str]
"""A date and a person-slot."""

_QUARTERS = 4
_LONG_DAY = 10 * _QUARTERS


def timesheet(
    texts: Mapping[str, str],
    jobs: Sequence[Job],
    crew: Crew,
    status: Mapping[str, Status],
    as_of: date,
) -> list[Entry]:
    """Return the hours of the plan document, in the order of the shop's summary."""
    load: Counter[Cell] = Counter()
    found: list[Entry] = []
    for row in status_rows(texts, jobs):
        for work, quarters in _by_step(row, status):
            step = status[work.id]
            first = date.fromisoformat(str(step["started"]))
            last = date.fromisoformat(str(step.get("finished", as_of)))
            cells = _cells(work, first, last, crew)
            more = _cells(work, row.started, row.finished or as_of, crew)
            for (day, label), part in sorted(_poured(quarters, cells, more, load).items()):
                found.append(
                    {
                        "id": f"H{len(found) + 1:04}",
                        "task": work.id,
                        "on": day.isoformat(),
                        "hours": str(number(Fraction(part, _QUARTERS))),
                        "label": label,
                    }
                )
    return found


def _by_step(row: StatusRow, status: Mapping[str, Status]) -> list[tuple[Work, int]]:
    """Return the steps that took hours, and how many each. [quarters of an hour]"""
    whole = int(row.hours_used * _QUARTERS)
    works = [work for group in row.groups for work in group if work.trade is not None]
    if row.finished is not None:
        return _shared(whole, works)
    done = [work for work in works if status.get(work.id, {}).get("state") == "done"]
    rest = [work for work in works if status.get(work.id, {}).get("state") == "in_work"]
    taken = sum(int(work.hours.likely * _QUARTERS) for work in done)
    if not rest or taken >= whole:
        return _shared(whole, done or rest)
    return [*_shared(taken, done), *_shared(whole - taken, rest)]


def _shared(quarters: int, works: Sequence[Work]) -> list[tuple[Work, int]]:
    """Share quarters of an hour out over steps by likely hours."""
    if not works:
        return []
    parts = share_out(quarters, [work.hours.likely for work in works])
    return list(zip(works, parts, strict=True))


def _cells(work: Work, first: date, last: date, crew: Crew) -> list[Cell]:
    """Return on which dates who of a step's trade was there."""
    trade = work.trade or ""
    main = crew.main(trade)
    days = list(crew.dates(trade, first, last)) or [first]
    return [
        (day, one.label)
        for day in days
        for one in crew.of(trade)
        if one is main or one.works_on(day)
    ]


def _poured(
    quarters: int, cells: Sequence[Cell], more: Sequence[Cell], load: Counter[Cell]
) -> dict[Cell, int]:
    """Give hours, one after the other, to whoever has the fewest so far on that date."""
    found: dict[Cell, int] = {}
    while quarters > 0:
        least = min(cells, key=lambda cell: load[cell])
        if load[least] >= _LONG_DAY:
            least = min((*cells, *more), key=lambda cell: load[cell])
        part = min(quarters, _QUARTERS)
        found[least] = found.get(least, 0) + part
        load[least] += part
        quarters -= part
    return found
