"""The ledger once more, on its own: tables of pandas, Decimal arithmetic, date by date.

Written from docs/reference/money.md; it shares the model, the schedule's dates and the mean
growth of a price (which tests/core/test_price_growth.py checks against scipy) with the code
that it checks, and nothing of its arithmetic.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import Any

import pandas as pd

from ribstitch.planning.model import Cost, Plan, Source, State, Task
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.uncertainty.price_growth import price_growths

EXACT = Context(prec=80, rounding=ROUND_HALF_UP)
PLACES = {"EUR": 2, "GBP": 2, "CZK": 2, "JPY": 0, "KWD": 3}
COLUMNS = ["bucket", "kind", "on", "currency", "amount", "worth", "chapter", "vendor", "task"]


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Round an amount to its currency's places, halves away from zero."""
    return amount.quantize(Decimal(1).scaleb(-PLACES[currency]), context=EXACT)


class Books:
    """One plan's books."""

    def __init__(self, plan: Plan, schedule: Schedule) -> None:
        self.plan, self.schedule = plan, schedule
        self.own, self.as_of = plan.project.currency, plan.project.as_of
        self.tasks = {task.id: task for task in plan.tasks}

    def table(self) -> pd.DataFrame:
        """Return one row for each entry that has a worth."""
        rows = [
            *self._lines(), *self._growth(), *self._timesheet(), *self._planned(),
            *self._standing(),
        ]  # fmt: skip
        return pd.DataFrame(rows, columns=COLUMNS).astype({"worth": object, "amount": object})

    # --- Cost lines --------------------------------------------------------------------

    def _rate(self, currency: str, on: date) -> Decimal | None:
        """Return what a unit is worth on a date: as of the date, or else the first."""
        if currency == self.own:
            return Decimal(1)
        known = {one.on: one.rate for one in self.plan.exchange_rates if one.currency == currency}
        if not known:
            return None
        return known[max((day for day in known if day <= on), default=min(known))]

    def _lines(self) -> Iterator[tuple[Any, ...]]:
        """Yield what is paid of lines and what is not."""
        vendors = {item.id: item.vendor for item in self.plan.send_outs}
        for line in self.plan.costs:
            for bucket, on, rated_on, amount in self._parts(line):
                rate = self._rate(line.currency, rated_on)
                if rate is None or not self._counts(line, bucket):
                    continue
                worth = rounded(EXACT.multiply(amount, rate), self.own)
                vendor = vendors[line.send_out] if line.send_out else None
                yield (bucket, line.kind, on, line.currency, amount, worth, self._chapter(line),
                       vendor, line.task)  # fmt: skip

    def _parts(self, line: Cost) -> Iterator[tuple[str, date, date, Decimal]]:
        """Yield bucket, date, date of the rate, and amount as it can be paid."""
        booked_on = line.on or self.as_of
        whole = rounded(line.amount, line.currency)
        if line.state == "paid" and not line.payments:
            yield "paid", booked_on, booked_on, whole
            return
        rest = whole
        for payment in line.payments:
            amount = rounded(payment.amount, line.currency)
            rest = EXACT.subtract(rest, amount)
            yield "paid", payment.on, payment.on, amount
        same_way = (rest > 0 and whole > 0) or (rest < 0 and whole < 0)
        if line.state != "paid" and same_way:
            bucket = {"ordered": "committed", "invoiced": "invoiced"}.get(line.state, "expected")
            yield bucket, booked_on, self.as_of, rest

    def _counts(self, line: Cost, bucket: str) -> bool:
        """Return whether a part of a line is not reckoned otherwise."""
        if line.kind == "labour":
            return line.task is not None and not self._is_priced(self.tasks[line.task].trade)
        if bucket == "paid":
            return True
        if line.kind == "standing" and self.plan.project.standing_per_month is not None:
            return line.on is not None and line.on < self.as_of
        return line.kind != "contingency"

    def _growth(self) -> Iterator[tuple[Any, ...]]:
        """Yield what prices grow by that no vendor has looked into yet."""
        means = {name: one.mean for name, one in price_growths(self.schedule.prepared).items()}
        for item in self.plan.send_outs:
            never = item.dropped or item.intake == 0
            if (
                never
                or item.status.quoted is not None
                or item.source in {Source.EXCHANGE, Source.IN_HAND}
            ):
                continue
            for line in self.plan.costs:
                rate = self._rate(line.currency, self.as_of)
                is_price = line.send_out == item.id and line.kind == "vendor" and line.amount > 0
                if not is_price or line.state in {"invoiced", "paid"} or rate is None:
                    continue
                mean = EXACT.divide(means[item.id].numerator, means[item.id].denominator)
                more = rounded(
                    EXACT.multiply(line.amount, EXACT.subtract(mean, Decimal(1))), line.currency
                )
                if more:
                    yield ("expected", line.kind, line.on or self.as_of, line.currency, more,
                           rounded(EXACT.multiply(more, rate), self.own), self._chapter(line),
                           item.vendor, line.task)  # fmt: skip

    def _chapter(self, line: Cost) -> str | None:
        """Return the chapter of a line: its own, or that of its task."""
        return line.chapter or (self.tasks[line.task].chapter if line.task else None)

    # --- Labour ------------------------------------------------------------------------

    def _is_priced(self, trade: str | None) -> bool:
        """Return whether anybody of a trade is ever paid."""
        wages = [row.rate for row in self.plan.crew if row.trade == trade]
        wages += [later.rate for row in self.plan.crew if row.trade == trade for later in row.rates]
        return any(wage for wage in wages)

    def _wage(self, trade: str, on: date, label: str = "") -> Fraction:
        """Return what an hour costs: of the labelled row, else the mean by head."""
        rows = [row for row in self.plan.crew if row.trade == trade]
        table = pd.DataFrame(
            {
                "label": [row.label for row in rows],
                "heads": [row.people for row in rows],
                "wage": [
                    next((one.rate for one in reversed(row.rates) if one.on <= on), row.rate)
                    or Decimal(0)
                    for row in rows
                ],
            }
        )
        mine = table[table["label"] == label] if label else table.iloc[:0]
        if len(mine):
            return Fraction(mine["wage"].iloc[0])
        heads = table["heads"] if table["heads"].sum() else table["heads"] + 1
        total = sum(
            (int(n) * Fraction(w) for n, w in zip(heads, table["wage"], strict=True)), Fraction(0)
        )
        return total / int(heads.sum())

    def _work(self, bucket: str, task: Task, on: date, cost: Fraction) -> tuple[Any, ...]:
        """Return a row of labour; divided last, so that half a cent is half a cent."""
        worth = rounded(EXACT.divide(Decimal(cost.numerator), Decimal(cost.denominator)), self.own)
        return (bucket, "labour", on, self.own, worth, worth, task.chapter, None, task.id)

    def _timesheet(self) -> Iterator[tuple[Any, ...]]:
        """Yield the hours that were entered."""
        for entry in self.plan.hours:
            task = self.tasks[entry.task]
            trade = entry.trade or task.trade
            if trade is not None and self._is_priced(trade):
                cost = Fraction(entry.hours) * self._wage(trade, entry.on, entry.label)
                yield self._work("worked", task, entry.on, cost)

    def _planned(self) -> Iterator[tuple[Any, ...]]:
        """Yield planned hours: of what is worked without a timesheet, and of what remains."""
        entered = {entry.task for entry in self.plan.hours}
        for task in self.plan.tasks:
            trade, status = task.trade, task.status
            if trade is None or not self._is_priced(trade) or status.state is State.DROPPED:
                continue
            left = 0 if status.state is State.DONE else task.duration
            left = left if status.remaining is None else status.remaining
            hours = Fraction(8 * task.people, 1440)
            if task.id not in entered and left < task.duration:
                on = status.finished or self.as_of
                done = hours * (task.duration - left)
                yield self._work("worked", task, on, done * self._wage(trade, on))
            for on, ticks in self._stretches(task, left):
                yield self._work("expected", task, on, hours * ticks * self._wage(trade, on))

    def _stretches(self, task: Task, left: int) -> Iterator[tuple[date, int]]:
        """Walk what is left date by date; yield it where a month ends or a wage changes."""
        begin = int(self.schedule.begin[self.schedule.number(task.id)])
        day, gone, part = date.fromordinal(begin // 1440), begin % 1440, 0
        changes = {
            one.on for row in self.plan.crew if self._is_priced(row.trade) for one in row.rates
        }
        while left > 0:
            worked = 1440 if task.calendar == "elapsed" or day.weekday() < 5 else 0
            done = min(left, max(worked - gone, 0))
            left, part, gone = left - done, part + done, 0
            tomorrow = day + timedelta(days=1)
            if part and (left == 0 or tomorrow.day == 1 or tomorrow in changes):
                yield day, part
                part = 0
            day = tomorrow

    # --- Standing ----------------------------------------------------------------------

    def _standing(self) -> Iterator[tuple[Any, ...]]:
        """Yield standing cost by month: the growth of the running total as rounded."""
        per_month = self.plan.project.standing_per_month
        begin, finish = 1440 * self.as_of.toordinal(), self.schedule.project_finish
        if not per_month or finish <= begin:
            return
        dates = pd.date_range(self.as_of, date.fromordinal((finish - 1) // 1440))
        ends = {(day.year, day.month): day.date() for day in dates}
        per_tick = EXACT.divide(per_month, Decimal("30.4375") * 1440)
        whole = rounded(EXACT.multiply(per_tick, Decimal(finish - begin)), self.own)
        booked = Decimal(0)
        for end in ends.values():
            until = min(1440 * (end.toordinal() + 1), finish) - begin
            share = EXACT.divide(EXACT.multiply(whole, Decimal(until)), Decimal(finish - begin))
            units = rounded(share, self.own) - booked
            booked += units
            yield ("expected", "standing", end, self.own, units, units, self._rent(), None, None)

    def _rent(self) -> str | None:
        """Return the chapter of standing cost."""
        lines = [line.chapter for line in self.plan.costs if line.kind == "standing"]
        return next((chapter for chapter in lines if chapter), None)
