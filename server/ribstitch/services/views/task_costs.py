"""What one task costs: its cost lines, and the labour on it."""

from __future__ import annotations

from dataclasses import dataclass

from ribstitch.money import Bucket, Entry
from ribstitch.money.entries import Origin
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_sums import ledger
from ribstitch.services.views.money_words import text

_CALLED = {
    Origin.TIMESHEET: "Labour worked",
    Origin.WORK_DONE: "Labour worked",
    Origin.WORK_TO_GO: "Labour to come",
    Origin.ALLOWANCE: "Allowance for hidden work",
}
"""What is no cost line; the growth of a price belongs to its line."""


@dataclass(frozen=True, slots=True)
class TaskCost:
    """One sum of a task."""

    line: str | None
    """Id of the cost line; None: labour."""
    name: str
    sort: Bucket
    amount: str
    currency: str
    """The project's, unless no exchange rate is known."""


@dataclass(frozen=True, slots=True)
class TaskCosts:
    """What a task costs."""

    lines: list[TaskCost]
    total: str
    currency: str
    has_left_out: bool
    """A line in a currency without an exchange rate is in no total."""


def task_costs(current: CurrentPlan, task_id: str) -> TaskCosts:
    """Return the money of a task as the ledger has it, sum by sum."""
    book = ledger(current)
    names = {line.id: line.name or line.id for line in current.plan.costs}
    found: dict[tuple[str | None, str, Bucket, str], int] = {}

    def add(entry: Entry, units: int, currency: str) -> None:
        called = _CALLED.get(entry.origin)
        line = None if called else entry.of
        key = (line, called or names.get(entry.of, entry.of), entry.bucket, currency)
        found[key] = found.get(key, 0) + units

    own = [entry for entry in book.entries if entry.task == task_id]
    for entry in own:
        add(entry, entry.worth, book.currency)
    foreign = [entry for entry in book.without_rate if entry.task == task_id]
    for entry in foreign:
        add(entry, entry.amount, entry.currency)
    lines = [
        TaskCost(line, name, sort, text(units, currency), currency)
        for (line, name, sort, currency), units in found.items()
    ]
    total = text(sum(entry.worth for entry in own), book.currency)
    return TaskCosts(lines, total, book.currency, bool(foreign))
