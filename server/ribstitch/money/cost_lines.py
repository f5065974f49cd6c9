"""Cost lines as entries of the ledger: what is paid of them, and the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from ribstitch.money.entries import Bucket, Entry, Origin
from ribstitch.money.labour import Rates
from ribstitch.money.minor_units import in_minor_units, worth
from ribstitch.planning.exchange import Exchange, exchange_of
from ribstitch.planning.model import Cost, Payment, Plan

_REST = {"invoiced": Bucket.INVOICED, "ordered": Bucket.COMMITTED}
"""How firm the unpaid rest of a line is, by its state; otherwise it is expected."""


@dataclass(frozen=True)
class CostLines:
    """
    The cost lines of a plan, in minor units.

    Attributes
    ----------
    entries
        Those that have a worth in the project's currency.
    without_rate
        Those in a currency of which no rate is known; their `worth` is nothing.
    left_out
        Ids of lines that are reckoned otherwise, wholly or as to their unpaid rest.
    """

    entries: tuple[Entry, ...]
    without_rate: tuple[Entry, ...]
    left_out: tuple[str, ...]


def cost_lines(plan: Plan, rates: Rates) -> CostLines:
    """Turn the cost lines of a plan into entries."""
    priced = {task.id for task in plan.tasks if rates.knows(task.trade)}
    found: list[tuple[Cost, LinePart]] = []
    left_out: list[str] = []
    for line in plan.costs:
        parts = list(_parts(line, plan.project.as_of))
        kept = [one for one in parts if not _is_reckoned_otherwise(line, one, plan, priced)]
        if len(kept) < len(parts):
            left_out.append(line.id)
        found += [(line, one) for one in kept]
    return booked(plan, found, tuple(left_out))


def booked(
    plan: Plan, parts: Iterable[tuple[Cost, LinePart]], left_out: tuple[str, ...] = ()
) -> CostLines:
    """Turn parts of cost lines into entries, in their order."""
    exchange = exchange_of(plan)
    vendor_of = {item.id: item.vendor for item in plan.send_outs}
    chapter_of = {task.id: task.chapter for task in plan.tasks}
    entries: list[Entry] = []
    without_rate: list[Entry] = []
    for line, part in parts:
        found = entries if exchange.knows(line.currency) else without_rate
        found.append(_entry(line, part, exchange, vendor_of, chapter_of))
    return CostLines(tuple(entries), tuple(without_rate), left_out)


def payments_of(line: Cost, as_of: date) -> tuple[Payment, ...]:
    """Return what is paid of a line; a paid line without payments is paid in full."""
    if line.state == "paid" and not line.payments:
        return (Payment(line.on or as_of, line.amount),)
    return line.payments


@dataclass(frozen=True, slots=True)
class LinePart:
    """A payment of a line, its rest, or what it grows by."""

    bucket: Bucket
    on: date
    rated_on: date
    """The date whose exchange rate counts."""
    units: int
    in_kind: bool = False
    origin: Origin = Origin.LINE


def _parts(line: Cost, as_of: date) -> Iterator[LinePart]:
    """Yield the payments of a line, each rounded to minor units, and the rest."""
    paid = 0
    for payment in payments_of(line, as_of):
        units = in_minor_units(payment.amount, line.currency)
        paid += units
        yield LinePart(Bucket.PAID, payment.on, payment.on, units, bool(payment.in_kind))
    whole = in_minor_units(line.amount, line.currency)
    rest = whole - paid
    if line.state != "paid" and rest * whole > 0:
        yield LinePart(_REST.get(line.state, Bucket.EXPECTED), line.on or as_of, as_of, rest)


def _is_reckoned_otherwise(line: Cost, part: LinePart, plan: Plan, priced: set[str]) -> bool:
    """Return whether a part of a cost line would count something a second time."""
    if line.kind == "labour":
        return line.task is None or line.task in priced
    if part.bucket is Bucket.PAID:
        return False
    if line.kind == "standing":
        to_come = line.on is None or line.on >= plan.project.as_of
        return to_come and plan.project.standing_per_month is not None
    return line.kind == "contingency"


def _entry(
    line: Cost,
    part: LinePart,
    exchange: Exchange,
    vendor_of: Mapping[str, str],
    chapter_of: Mapping[str, str | None],
) -> Entry:
    """Return the entry of a part of a line."""
    known = exchange.knows(line.currency)
    units = worth(part.units, line.currency, exchange, part.rated_on) if known else 0
    return Entry(
        of=line.id,
        origin=part.origin,
        bucket=part.bucket,
        kind=line.kind,
        on=part.on,
        currency=line.currency,
        amount=part.units,
        worth=units,
        chapter=line.chapter or (chapter_of.get(line.task) if line.task else None),
        vendor=vendor_of.get(line.send_out) if line.send_out else None,
        task=line.task,
        send_out=line.send_out,
        in_kind=part.in_kind,
    )
