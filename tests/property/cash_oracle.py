"""When money is needed once more, on its own: month by month, in pandas and Decimal.

Written from "Cash need" in docs/reference/money.md. It takes the ledger's entries (which
tests/property/test_ledger.py checks) and the schedule's dates, and shares nothing else with
the code that it checks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from typing import NamedTuple

import pandas as pd

from ribstitch.money import Entry, Ledger
from ribstitch.planning.model import Cost, DueAt, Plan, SendOut, Source
from ribstitch.planning.schedule import Schedule
from tests.property.money_oracle import PLACES as OF_STRATEGIES

EXACT = Context(prec=80, rounding=ROUND_HALF_UP)
PLACES = {**OF_STRATEGIES, "CAD": 2, "USD": 2}
LEGS = ("prepare", "ship_out", "customs_out", "intake", "approval", "vendor_work", "ship_back",
        "customs_back", "accept")  # fmt: skip
LEG_OF = {DueAt.ORDER: "prepare", DueAt.APPROVED: "approval", DueAt.LEFT_VENDOR: "vendor_work",
          DueAt.ACCEPTED: "accept"}  # fmt: skip
EARLY = {DueAt.ORDER, DueAt.APPROVED}


class Event(NamedTuple):
    """A date, and whether it goes with the schedule."""

    on: date
    moves: bool = False


@dataclass(frozen=True)
class Band:
    """How far a band reaches."""

    finish: date
    cost: int | None


def half_up(value: Decimal) -> int:
    """Round to a whole, halves up."""
    return int(EXACT.add(value, Decimal("0.5")).to_integral_value(ROUND_FLOOR))


def units(amount: Decimal, currency: str) -> int:
    """Return an amount in minor units, halves away from zero."""
    return int(amount.scaleb(PLACES[currency], context=EXACT).to_integral_value(ROUND_HALF_UP))


class Cash:
    """One plan's need for money."""

    def __init__(self, plan: Plan, schedule: Schedule, ledger: Ledger) -> None:
        self.plan, self.schedule, self.ledger = plan, schedule, ledger
        self.as_of = plan.project.as_of
        self.lines = {line.id: line for line in plan.costs}
        self.items = {item.id: item for item in plan.send_outs}
        self.numbers = {
            (one.send_out, one.leg) if one.send_out else (one.id, None): number
            for number, one in enumerate(schedule.activities)
        }

    # --- When it falls due -------------------------------------------------------------

    def _end(self, number: int) -> Event:
        return Event(
            self.schedule.finish_on_of(number), not self.schedule.activities[number].is_done
        )

    def _start(self, number: int) -> Event:
        begun = self.schedule.activities[number].started is not None
        return Event(self.schedule.start_on(number), not begun)

    def _trips(self, name: str) -> list[SendOut]:
        """Return the trips of an item, from the first to the last."""
        trips = [self.items[name]]
        while trips[0].trip_of:
            trips.insert(0, self.items[trips[0].trip_of])
        while again := [one for one in self.items.values() if one.trip_of == trips[-1].id]:
            trips += again
        return trips

    def _of_item(self, trips: list[SendOut], at: DueAt) -> Event:
        """Return when something happens to an item."""
        item = trips[0] if at in EARLY else trips[-1]
        core = ("prepare", "ship_out", "customs_out") if item.source is Source.EXCHANGE else ()
        legs = [leg for leg in LEGS if leg not in core and (item.id, leg) in self.numbers]
        if not legs:
            return Event(self.as_of)
        last = LEG_OF[at]
        if at is DueAt.ORDER and "prepare" not in legs and "ship_out" not in legs:
            last = "approval"
        until = [leg for leg in legs if LEGS.index(leg) <= LEGS.index(last)]
        if until:
            return self._end(self.numbers[item.id, until[-1]])
        return self._start(self.numbers[item.id, legs[0]])

    def _event(self, line: Cost, at: DueAt) -> Event:
        """Return when something happens to what a line pays for."""
        trips = self._trips(line.send_out) if line.send_out else []
        if any(not one.dropped for one in trips):
            return self._of_item(trips, at)
        if at in EARLY:
            steps = [one.on for one in line.earlier if one.state == "ordered"]
            steps += [line.on] if line.state in {"ordered", "invoiced", "paid"} else []
            ordered = [on for on in steps if on]
            if ordered:
                return Event(ordered[0])
        if line.task:
            number = self.numbers[line.task, None]
            return self._start(number) if at in EARLY else self._end(number)
        return Event(line.on or self.as_of)

    def _dues(self, line: Cost) -> list[tuple[Event, Decimal]]:
        """Return when the parts of a line fall due, in order."""
        parts = [(due.at, due.on, due.days, due.percent) for due in line.dues]
        found = []
        for at, on, days, percent in parts or [(DueAt.ACCEPTED, None, 30, Decimal(100))]:
            event = Event(on) if at is DueAt.DATE and on else self._event(line, at)
            found.append((Event(event.on + timedelta(days=days), event.moves), percent))
        return sorted(found, key=lambda one: one[0].on)

    def _price(self, line: Cost, on: date) -> Decimal:
        """Return what a line came to on a date that is gone, or comes to."""
        steps = [(one.on, one.amount) for one in line.earlier if one.on]
        steps += [(line.on, line.amount)] if line.on else []
        if on > self.as_of or not steps:
            return line.amount
        known = [amount for day, amount in steps if day <= on]
        return known[-1] if known else steps[0][1]

    def _parts(self, line: Cost, rest: int) -> Iterator[tuple[Event, int]]:
        """Yield the parts of what is not paid of a line. [minor units, without sign]"""
        whole, run = abs(units(line.amount, line.currency)), Decimal(0)
        settled = whole - abs(rest)
        dues = self._dues(line)
        for place, (event, percent) in enumerate(dues, start=1):
            price = abs(units(self._price(line, event.on), line.currency))
            run = EXACT.add(
                run, EXACT.divide(EXACT.multiply(percent, Decimal(price)), Decimal(100))
            )
            by_then = whole if place == len(dues) else min(half_up(run), whole)
            if by_then > settled:
                yield event, by_then - settled
                settled = by_then

    # --- What is needed ----------------------------------------------------------------

    def needs(self) -> pd.DataFrame:
        """Return what is open: date, whether it moves, whether it is firm, its worth."""
        rows = [
            (event.on, event.moves, one.bucket in {"invoiced", "committed"}, worth)
            for one in self.ledger.entries
            if one.bucket in {"invoiced", "committed", "expected"}
            for event, worth in self._of_entry(one)
        ]
        return pd.DataFrame(rows, columns=["on", "moves", "firm", "worth"]).astype(object)

    def _of_entry(self, one: Entry) -> list[tuple[Event, int]]:
        """Return when the worth of an entry is needed: parts by largest remainder."""
        if one.origin == "growth":
            return [(self._dues(self.lines[one.of])[-1][0], one.worth)]
        if one.origin != "line":
            return [(Event(one.on, moves=True), one.worth)]
        parts = list(self._parts(self.lines[one.of], one.amount))
        whole = sum(part for _, part in parts)
        sign = -1 if one.worth < 0 else 1
        shares = [divmod(abs(one.worth) * part, whole) for _, part in parts]
        left = abs(one.worth) - sum(share for share, _ in shares)
        by_remainder = sorted(range(len(parts)), key=lambda place: -shares[place][1])
        more = set(by_remainder[:left])
        return [
            (event, sign * (shares[place][0] + (place in more)))
            for place, (event, _) in enumerate(parts)
        ]

    def overdue(self) -> int:
        """Return what was due before the as-of date of what is owed or ordered."""
        table = self.needs()
        return int(table[(table["on"] < self.as_of) & table["firm"].astype(bool)]["worth"].sum())

    def band(self, band: Band | None, *, firm: bool = False) -> dict[date, int]:
        """Return what is needed by month; of what is committed alone, or up to a band."""
        table = self.needs()
        gone = table["on"] < self.as_of
        table.loc[gone, "moves"] = False
        table.loc[gone, "on"] = self.as_of
        if firm:
            return self._monthly(table[table["firm"].astype(bool)])
        if band is not None:
            table["on"] = [
                self._stretched(on, band.finish) if moves else on
                for on, moves in zip(table["on"], table["moves"], strict=True)
            ]
        if band is None or band.cost is None:
            return self._monthly(table)
        is_firm = table["firm"].astype(bool)
        owed, open_ = self._monthly(table[is_firm]), self._monthly(table[~is_firm])
        whole, run, before = sum(open_.values()), 0, 0
        settled = sum(one.worth for one in self.ledger.entries if one.bucket in {"paid", "worked"})
        target = max(band.cost - settled - sum(owed.values()), 0)
        for month in sorted(open_) if whole > 0 else ():
            run += open_[month]
            now = half_up(EXACT.divide(Decimal(target * run), Decimal(whole)))
            open_[month], before = now - before, now
        return {
            month: owed.get(month, 0) + open_.get(month, 0) for month in owed.keys() | open_.keys()
        }

    def _stretched(self, on: date, finish: date) -> date:
        """Return a date moved away from the as-of date in proportion."""
        written = self.schedule.finish_on
        if written <= self.as_of:
            return on
        days = Decimal((on - self.as_of).days * max((finish - self.as_of).days, 0))
        share = EXACT.divide(days, Decimal((written - self.as_of).days))
        return self.as_of + timedelta(days=half_up(share))

    @staticmethod
    def _monthly(table: pd.DataFrame) -> dict[date, int]:
        """Add up by month."""
        months = [on.replace(day=1) for on in table["on"]]
        sums = table["worth"].groupby(pd.Series(months, index=table.index, dtype=object)).sum()
        return {month: int(worth) for month, worth in sums.items() if isinstance(month, date)}

    # --- The account -------------------------------------------------------------------

    def account(self, needed: dict[date, int], months: list[date]) -> list[tuple[int, int | None]]:
        """Return, month by month, what comes in and what is left at the end."""
        project = self.plan.project
        since = project.balance_on or self.as_of
        now = max(since, self.as_of)
        came = pd.DataFrame(self._funding(), columns=["on", "units"])
        balance: int | None = None
        if project.balance is not None:
            balance = units(project.balance, self.ledger.currency)
            balance += int(came[(came["on"] > since) & (came["on"] <= now)]["units"].sum())
            balance -= sum(
                one.worth
                for one in self.ledger.entries
                if one.bucket in {"paid", "worked"} and not one.in_kind and since < one.on <= now
            )
        found = []
        for month in months:
            end = (pd.Timestamp(month) + pd.offsets.MonthEnd(0)).date()
            here = (came["on"] > now) & (came["on"] >= month) & (came["on"] <= end)
            coming = int(came[here]["units"].sum())
            if balance is not None:
                balance += coming - needed.get(month, 0)
            found.append((coming, balance))
        return found

    def _funding(self) -> Iterator[tuple[date, int]]:
        """Yield planned money date by date, for fifty years."""
        for one in self.plan.funding:
            amount = units(one.amount, self.ledger.currency)
            for count in range(600 if one.every_months else 1):
                months = pd.DateOffset(months=count * one.every_months)
                on = (pd.Timestamp(one.on) + months).date()
                if on <= (one.until or date.max):
                    yield on, amount
