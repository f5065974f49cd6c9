"""What an hour costs, what was worked, and what is still to be worked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

import numpy as np

from ribstitch.money.months import months_from
from ribstitch.planning.activities import floor_of
from ribstitch.planning.calendars import Ints
from ribstitch.planning.model import Crew, HoursWorked, Plan, State, Task
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before, start_of


@dataclass(frozen=True)
class Rates:
    """
    What an hour of one person costs, by trade and by person-slot, date by date.

    A trade is priced if any of its crew entries has a rate above nothing. Hours of a
    priced trade with several entries are shared by head; an entry without a rate is a
    volunteer.
    """

    crew: tuple[Crew, ...]

    @cached_property
    def _by_trade(self) -> Mapping[str, tuple[Crew, ...]]:
        """The entries of each priced trade."""
        priced = dict.fromkeys(row.trade for row in self.crew if _has_rate(row))
        return {trade: tuple(row for row in self.crew if row.trade == trade) for trade in priced}

    @cached_property
    def _known(self) -> dict[tuple[str, date], Fraction]:
        """What was asked before: a plan asks for the same few again and again."""
        return {}

    @property
    def trades(self) -> tuple[str, ...]:
        """The trades that are priced, in order of entry."""
        return tuple(self._by_trade)

    def knows(self, trade: str | None) -> bool:
        """Return whether a trade is priced."""
        return trade in self._by_trade

    @cached_property
    def changes(self) -> tuple[date, ...]:
        """The dates on which some rate changes, in order."""
        rows = (row for rows in self._by_trade.values() for row in rows)
        return tuple(sorted({later.on for row in rows for later in row.rates}))

    def of_trade(self, trade: str, on: date) -> Fraction:
        """
        Return what an hour of a priced trade costs on a date.

        Raises
        ------
        KeyError
            If the trade is not priced.
        """
        if (trade, on) not in self._known:
            rows = self._by_trade[trade]
            heads = sum(row.people for row in rows)
            weights = [row.people if heads else 1 for row in rows]
            priced = zip(rows, weights, strict=True)
            total = sum((_rate(row, on) * weight for row, weight in priced), Fraction(0))
            self._known[trade, on] = total / sum(weights)
        return self._known[trade, on]

    def of_slot(self, trade: str, label: str, on: date) -> Fraction:
        """
        Return what an hour of a person-slot costs on a date; if it is not known, of the trade.

        Raises
        ------
        KeyError
            If the trade is not priced.
        """
        for row in self._by_trade[trade]:
            if is_slot(row, label):
                return _rate(row, on)
        return self.of_trade(trade, on)


def rate_on(row: Crew, on: date) -> Decimal | None:
    """
    Return what an hour of one person of a crew entry costs on a date.

    Parameters
    ----------
    row
        The crew entry.
    on
        The date; the last rate that began by then counts.

    Returns
    -------
    Decimal or None
        In the project's currency per hour; None where the entry has no rate yet.
    """
    begun = [later.rate for later in row.rates if later.on <= on]
    return begun[-1] if begun else row.rate


def rates_of(plan: Plan) -> Rates:
    """Return what an hour costs in a plan."""
    return Rates(plan.crew)


@dataclass(frozen=True, slots=True)
class Labour:
    """Priced person-hours of one task."""

    task: Task
    on: date
    hours: Fraction
    cost: Fraction
    """In the project's currency, not rounded."""


def hours_of_work(plan: Plan) -> Mapping[str, Fraction]:
    """Return the person-hours that a tick of each task's work stands for, by task."""
    of_one = {one.id: Fraction(str(one.day_hours)) / TICKS_PER_DAY for one in calendars_of(plan)}
    return {task.id: task.people * of_one[plan.calendar_of_task(task)] for task in plan.tasks}


def timesheet(plan: Plan, rates: Rates) -> Iterator[tuple[HoursWorked, Labour]]:
    """Yield the hours that were entered, priced; those of trades without a rate are not."""
    tasks = {task.id: task for task in plan.tasks}
    for entry in plan.hours:
        task = tasks[entry.task]
        trade = entry.trade or task.trade
        if trade is not None and rates.knows(trade):
            hours = Fraction(entry.hours)
            cost = hours * rates.of_slot(trade, entry.label, entry.on)
            yield entry, Labour(task, entry.on, hours, cost)


def work_done(plan: Plan, rates: Rates) -> Iterator[Labour]:
    """
    Yield the planned hours of what is worked, where no hours were entered for a task.

    At the rate of the day on which it was finished; of what is under way, of the as-of
    date.
    """
    entered = {entry.task for entry in plan.hours}
    per_tick = hours_of_work(plan)
    for task in plan.tasks:
        hours = per_tick[task.id] * worked_ticks(task)
        if task.trade is None or not rates.knows(task.trade) or task.id in entered or not hours:
            continue
        on = task.status.finished or plan.project.as_of
        yield Labour(task, on, hours, hours * rates.of_trade(task.trade, on))


def worked_ticks(task: Task) -> int:
    """Return how much of the planned work of a task is done. [ticks]"""
    status = task.status
    if status.state is State.DONE:
        return task.duration
    if status.state is State.DROPPED or status.remaining is None:
        return 0
    return max(task.duration - status.remaining, 0)


def work_to_go(schedule: Schedule, rates: Rates) -> Iterator[Labour]:
    """
    Yield the work that remains on its scheduled dates, month by month.

    Where a rate changes in between, before and after separately; `on` is the last date
    of the stretch.
    """
    plan = schedule.prepared.plan
    network, work = schedule.prepared.network, schedule.prepared.values.work
    per_tick = hours_of_work(plan)
    cuts = _cuts(schedule, rates)
    for task in plan.tasks:
        if task.trade is None or not rates.knows(task.trade):
            continue
        number = schedule.number(task.id)
        activity = schedule.activities[number]
        left = int(work[network.rank[number]])
        if activity.is_done or activity.dropped or left == 0:
            continue
        hours = per_tick[task.id] * left
        for on, share in _stretches(schedule, number, cuts):
            part = hours * share
            yield Labour(task, on, part, part * rates.of_trade(task.trade, on))


def _cuts(schedule: Schedule, rates: Rates) -> Ints:
    """Return the instants at which months begin or rates change, in order. [ticks]"""
    first = floor_of(schedule.prepared.plan)
    last = int(schedule.finish.max(initial=first))
    begins = set(months_from(date_at(first), date_at(last))) | set(rates.changes)
    return np.array(sorted(map(start_of, begins)), dtype=np.int64)


def _stretches(schedule: Schedule, number: int, cuts: Ints) -> Iterator[tuple[date, Fraction]]:
    """Yield the parts between cuts of an activity's remaining work: last date and share."""
    begin, finish = int(schedule.begin[number]), int(schedule.finish[number])
    inner = cuts[cuts.searchsorted(begin, side="right") : cuts.searchsorted(finish)]
    if inner.size == 0:
        yield date_before(finish), Fraction(1)
        return
    network = schedule.prepared.network
    rank = int(network.rank[number])
    edges = np.array([begin, *inner.tolist(), finish])
    on = network.on[np.full(edges.size, rank)]
    done = network.tables.work_before(on, edges - network.origin)
    parts = np.diff(done).tolist()
    total = sum(parts)
    for edge, part in zip(edges[1:].tolist(), parts, strict=True):
        if part:
            yield date_before(edge), Fraction(part, total)


def _has_rate(row: Crew) -> bool:
    """Return whether an hour of a crew entry ever costs something."""
    return bool(row.rate) or any(later.rate for later in row.rates)


def _rate(row: Crew, on: date) -> Fraction:
    """Return what an hour of a crew entry costs on a date; nothing where it has no rate."""
    return Fraction(rate_on(row, on) or 0)


def is_slot(row: Crew, label: str) -> bool:
    """Return whether a label is that of a crew entry, or of one of its people by number."""
    if not label:
        return False
    name, _, number = label.rpartition(" ")
    numbered = number.isdecimal() and 1 <= int(number) <= row.people
    return label == row.label or (numbered and name == (row.label or row.trade))
