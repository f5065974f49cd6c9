"""The tables of money: cost lines, payments, hours; figures as in the ledger."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ribstitch.money import Bucket, Entry, Origin
from ribstitch.money.minor_units import from_minor_units
from ribstitch.services.exports.table import Export, Row, yes_or_no
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import send_outs, vendor_names
from ribstitch.services.views.money_sums import ledger


def _costs(current: CurrentPlan) -> Iterator[Row]:
    """Yield the cost lines in order of entry; worth as in the ledger."""
    own, parts = current.plan.project.currency, _parts(current)
    for line in current.plan.costs:
        entries = parts.get(line.id, [])
        paid = [one for one in entries if one.bucket is Bucket.PAID]
        rest = [one for one in entries if one.bucket is not Bucket.PAID]
        yield {
            "id": line.id,
            "name": line.name,
            "kind": line.kind,
            "state": line.state,
            "date": line.on,
            "document": line.document,
            "chapter": _chapter_of(current, line.chapter, line.task),
            "vendor": _vendor_of(current, line.send_out),
            "send_out": line.send_out,
            "task": line.task,
            "amount": line.amount,
            "currency": line.currency,
            "paid": _sum(paid, "amount", line.currency),
            "open": _sum(rest, "amount", line.currency),
            "project_currency": own,
            "paid_worth": _worth(current, paid),
            "open_worth": _worth(current, rest),
        }


def _payments(current: CurrentPlan) -> Iterator[Row]:
    """Yield the payments by date."""
    lines = {line.id: line for line in current.plan.costs}
    own, parts = current.plan.project.currency, _parts(current)
    paid = [one for of in parts.values() for one in of if one.bucket is Bucket.PAID]
    for one in sorted(paid, key=lambda entry: (entry.on, entry.of)):
        line = lines[one.of]
        yield {
            "date": one.on,
            "cost": line.id,
            "name": line.name,
            "kind": line.kind,
            "document": line.document,
            "chapter": one.chapter,
            "vendor": _vendor_of(current, line.send_out),
            "in_kind": yes_or_no(bool(one.in_kind)),
            "amount": from_minor_units(one.amount, one.currency),
            "currency": one.currency,
            "project_currency": own,
            "worth": _worth(current, [one]),
        }


def _hours(current: CurrentPlan) -> Iterator[Row]:
    """Yield the timesheet by date; what an entry cost as in the ledger."""
    tasks = {task.id: task for task in current.plan.tasks}
    own = current.plan.project.currency
    cost = {
        one.of: from_minor_units(one.worth, own)
        for one in ledger(current).entries
        if one.origin is Origin.TIMESHEET
    }
    for entry in sorted(current.plan.hours, key=lambda one: (one.on, one.id)):
        task = tasks[entry.task]
        yield {
            "date": entry.on,
            "id": entry.id,
            "person": entry.label,
            "trade": entry.trade or task.trade,
            "task": task.id,
            "task_name": task.name,
            "chapter": task.chapter,
            "hours": entry.hours,
            "cost": cost.get(entry.id),
            "project_currency": own,
        }


def _parts(current: CurrentPlan) -> dict[str, list[Entry]]:
    """Return the entries of each cost line."""
    found: dict[str, list[Entry]] = {}
    book = ledger(current)
    for one in (*book.entries, *book.without_rate):
        if one.origin is Origin.LINE:
            found.setdefault(one.of, []).append(one)
    return found


def _worth(current: CurrentPlan, entries: list[Entry]) -> Decimal | None:
    """Return what entries are worth in the project's currency; None without a rate."""
    book = ledger(current)
    if any(one in book.without_rate for one in entries):
        return None
    return _sum(entries, "worth", book.currency)


def _sum(entries: list[Entry], what: str, currency: str) -> Decimal:
    return from_minor_units(sum(getattr(one, what) for one in entries), currency)


def _chapter_of(current: CurrentPlan, chapter: str | None, task_id: str | None) -> str | None:
    """Return the chapter of a cost line: its own, or that of its task."""
    if chapter or task_id is None:
        return chapter
    return next((task.chapter for task in current.plan.tasks if task.id == task_id), None)


def _vendor_of(current: CurrentPlan, send_out: str | None) -> str:
    """Return the name of the vendor of a send-out; empty without one."""
    if send_out is None:
        return ""
    return vendor_names(current)[send_outs(current)[send_out].vendor]


COSTS = Export(
    "costs",
    (
        "id", "name", "kind", "state", "date", "document", "chapter", "vendor", "send_out",
        "task", "amount", "currency", "paid", "open", "project_currency", "paid_worth",
        "open_worth",
    ),
    _costs,
    money={
        "amount": "currency", "paid": "currency", "open": "currency",
        "paid_worth": "project_currency", "open_worth": "project_currency",
    },
)  # fmt: skip
PAYMENTS = Export(
    "payments",
    (
        "date", "cost", "name", "kind", "document", "chapter", "vendor", "in_kind", "amount",
        "currency", "project_currency", "worth",
    ),
    _payments,
    money={"amount": "currency", "worth": "project_currency"},
)  # fmt: skip
HOURS = Export(
    "hours",
    (
        "date", "id", "person", "trade", "task", "task_name", "chapter", "hours", "cost",
        "project_currency",
    ),
    _hours,
    money={"cost": "project_currency"},
)  # fmt: skip
