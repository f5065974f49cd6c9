"""The ledger: all the money of a plan, spent and to come, each entry rounded once.

Because nothing is rounded after that, sums by chapter, month, vendor or anything else
always add up to the same total, to the last minor unit.

Nothing is counted twice:

- Labour is reckoned from hours and rates, done or to come. Cost lines of kind "labour"
  are left out, paid or not, unless they belong to a task whose trade has no rate.
- Work that is done costs the hours of the timesheet; only a task for which no hours
  were entered costs the planned hours of what is worked.
- Standing cost from the as-of date on is reckoned by the month where the project says
  what a month costs. What is not paid of lines of kind "standing", unless dated before
  then, is left out.
- What is not paid of lines of kind "contingency" is money set aside; it is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from ribstitch.money.cost_lines import cost_lines
from ribstitch.money.entries import Bucket, Entry, Flag, Origin
from ribstitch.money.flags import flags_of
from ribstitch.money.labour import Labour, Rates, rates_of, timesheet, work_done, work_to_go
from ribstitch.money.minor_units import from_minor_units, in_minor_units, spread_evenly
from ribstitch.money.months import months_from
from ribstitch.money.price_growth import expected_growth
from ribstitch.planning.activities import floor_of
from ribstitch.planning.model import Plan, Task
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before, start_of
from ribstitch.planning.uncertainty.hidden_work import hidden_zones

DAYS_PER_MONTH = Fraction("30.4375")
"""Of an average month, so that each day of standing costs the same."""

_STANDING = "standing"

Key = TypeVar("Key")


@dataclass(frozen=True)
class Ledger:
    """
    All the money of a plan.

    Attributes
    ----------
    currency
        The project's (ISO 4217).
    entries
        In order: cost lines, what they grow by, labour done, labour to go, allowances,
        standing cost.
    without_rate
        Entries in a currency of which no rate is known: they have no worth, and are in
        no total.
    left_out
        Ids of the cost lines that are reckoned otherwise, in order of entry.
    missing
        One sentence for each thing without which the totals are not whole.
    flags
        What somebody should look at.
    """

    currency: str
    as_of: date
    entries: tuple[Entry, ...]
    without_rate: tuple[Entry, ...] = ()
    left_out: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()

    def total(self, buckets: Iterable[Bucket] = Bucket) -> int:
        """Return the worth of all entries in some buckets. [minor units]"""
        wanted = frozenset(buckets)
        return sum(one.worth for one in self.entries if one.bucket in wanted)

    def sums(self, key: Callable[[Entry], Key]) -> dict[Key, int]:
        """
        Add up the worth of entries by whatever `key` says of each. [minor units]

        ``ledger.sums(lambda one: (one.chapter, one.bucket))``
        """
        found: dict[Key, int] = {}
        for one in self.entries:
            name = key(one)
            found[name] = found.get(name, 0) + one.worth
        return found

    def amount(self, units: int) -> Decimal:
        """Return minor units as an amount of the project's currency."""
        return from_minor_units(units, self.currency)


def ledger_of(schedule: Schedule) -> Ledger:
    """
    Put together the ledger of a scheduled plan.

    What is paid is worth what it was on the day of payment, all else what it is at the
    as-of date.
    """
    plan = schedule.prepared.plan
    rates = rates_of(plan)
    lines, growth = cost_lines(plan, rates), expected_growth(schedule.prepared)
    return Ledger(
        currency=plan.project.currency,
        as_of=plan.project.as_of,
        entries=(
            *lines.entries,
            *growth.entries,
            *labour_done(plan, rates),
            *_labour_to_go(schedule, rates),
            *standing_to_come(plan, schedule.project_finish),
        ),
        without_rate=(*lines.without_rate, *growth.without_rate),
        left_out=lines.left_out,
        missing=tuple(missing_of(plan)),
        flags=tuple(flags_of(plan)),
    )


def missing_of(plan: Plan) -> Iterator[str]:
    """Say, a sentence each, what is missing for totals that are whole."""
    if not rates_of(plan).trades:
        yield "No trade has a rate, so labour cannot be priced: give the crew's rate."
    own = plan.project.currency
    rated = {own, *(rate.currency for rate in plan.exchange_rates)}
    for line in plan.costs:
        if line.currency not in rated:
            yield (
                f'The cost line "{line.id}" is in {line.currency}, of which no exchange rate '
                f"into {own} is given."
            )


def labour_done(plan: Plan, rates: Rates) -> Iterator[Entry]:
    """Yield labour that is done: the timesheet, and work of which no hours were entered."""
    currency = plan.project.currency
    for entry, labour in timesheet(plan, rates):
        yield _labour(labour, Origin.TIMESHEET, Bucket.WORKED, currency, of=entry.id)
    for labour in work_done(plan, rates):
        yield _labour(labour, Origin.WORK_DONE, Bucket.WORKED, currency)


def _labour_to_go(schedule: Schedule, rates: Rates) -> Iterator[Entry]:
    """Yield labour to go, and what hidden work adds to it on average."""
    plan = schedule.prepared.plan
    shares = {zone.id: Fraction(str(zone.hidden_work_percent)) / 100 for zone in plan.zones}
    hidden = hidden_zones(plan, schedule.prepared)
    to_go = list(work_to_go(schedule, rates))
    for labour in to_go:
        yield _labour(labour, Origin.WORK_TO_GO, Bucket.EXPECTED, plan.project.currency)
    for labour in to_go:
        if _may_grow(labour.task, hidden):
            share = shares[hidden[labour.task.id]]
            more = Labour(labour.task, labour.on, labour.hours * share, labour.cost * share)
            yield _labour(more, Origin.ALLOWANCE, Bucket.EXPECTED, plan.project.currency)


def _may_grow(task: Task, hidden: dict[str, str]) -> bool:
    """Return whether work that is not begun may grow by what is found in its zone."""
    return task.id in hidden and task.status.started is None


def standing_to_come(plan: Plan, finish: int) -> Iterator[Entry]:
    """Yield the standing cost from the as-of date to a finish, month by month."""
    per_month, floor = plan.project.standing_per_month, floor_of(plan)
    if not per_month or finish <= floor:
        return
    days = Fraction(finish - floor, TICKS_PER_DAY)
    currency = plan.project.currency
    whole = in_minor_units(Fraction(per_month) / DAYS_PER_MONTH * days, currency)
    months = months_from(date_at(floor), date_before(finish))
    ends = [*(start_of(month) for month in months if start_of(month) > floor), finish]
    shares = [
        Fraction(end - begin, finish - floor)
        for begin, end in zip([floor, *ends], ends, strict=False)
    ]
    chapter = _chapter_of_standing(plan)
    for end, units in zip(ends, spread_evenly(whole, shares), strict=True):
        yield Entry(
            of=_STANDING,
            origin=Origin.STANDING,
            bucket=Bucket.EXPECTED,
            kind=_STANDING,
            chapter=chapter,
            on=date_before(end),
            currency=currency,
            amount=units,
            worth=units,
        )


def _chapter_of_standing(plan: Plan) -> str | None:
    """Return the chapter that standing cost is budgeted under, or was booked to."""
    budgeted = [line.chapter for line in plan.budget if line.kind == _STANDING]
    booked = [line.chapter for line in plan.costs if line.kind == _STANDING]
    return next((chapter for chapter in budgeted + booked if chapter), None)


def _labour(
    labour: Labour, origin: Origin, bucket: Bucket, currency: str, of: str | None = None
) -> Entry:
    """Return the entry of priced hours."""
    units = in_minor_units(labour.cost, currency)
    task = labour.task
    return Entry(
        of=of or task.id,
        origin=origin,
        bucket=bucket,
        kind="labour",
        on=labour.on,
        currency=currency,
        amount=units,
        worth=units,
        chapter=task.chapter,
        task=task.id,
    )
