"""When what is not paid of a cost line falls due.

A price falls due in parts, each at an event of its send-out or on a date. What fell due in
the past was that part of the price as it was then; what the price has risen since falls due
with the last part. Payments settle the parts in turn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import floor

from ribstitch.money.minor_units import in_minor_units
from ribstitch.money.planned_work import awaited_legs, trips_of
from ribstitch.planning.activities import SHIP_LEG, VENDOR_LEG
from ribstitch.planning.model import Cost, Due, DueAt, SendOut
from ribstitch.planning.schedule import Schedule

USUAL_DAYS = 30
"""A line without parts falls due so many dates after what it pays for (own choice)."""

_LEGS = (
    "prepare", SHIP_LEG, "customs_out", "intake", "approval", VENDOR_LEG,
    "ship_back", "customs_back", "accept",
)  # fmt: skip
_ENDS = {
    DueAt.ORDER: "prepare",
    DueAt.APPROVED: "approval",
    DueAt.LEFT_VENDOR: VENDOR_LEG,
    DueAt.ACCEPTED: "accept",
}
"""The leg whose end an event is; an order goes with the item."""


@dataclass(frozen=True, slots=True)
class When:
    """A date, and whether it goes with the schedule."""

    on: date
    moves: bool = False


@dataclass(frozen=True, slots=True)
class DuePart:
    """A part of a line's unpaid rest. [minor units of the line's currency]"""

    when: When
    units: int


class DueDates:
    """When the cost lines of a scheduled plan fall due."""

    def __init__(self, schedule: Schedule) -> None:
        plan = schedule.prepared.plan
        self._schedule = schedule
        self._as_of = plan.project.as_of
        self._tasks = {task.id for task in plan.tasks}
        self._legs = awaited_legs(schedule)
        self._trips = {trip.id: trips for trips in trips_of(plan).values() for trip in trips}

    def parts(self, line: Cost, rest: int) -> tuple[DuePart, ...]:
        """
        Return when the unpaid rest of a line falls due, in order.

        Parameters
        ----------
        line
            The cost line.
        rest
            What is not paid of it. [minor units of its currency]
        """
        whole = in_minor_units(line.amount, line.currency)
        paid = abs(whole) - abs(rest)
        sign = -1 if rest < 0 else 1
        found = []
        for when, by_then in self._running(line, abs(whole)):
            units = max(by_then - paid, 0)
            if units:
                found.append(DuePart(when, sign * units))
                paid = by_then
        return tuple(found)

    def last(self, line: Cost) -> When:
        """Return when the last part of a line falls due."""
        *_, (when, _) = self._running(line, 0)
        return when

    def _running(self, line: Cost, whole: int) -> Iterator[tuple[When, int]]:
        """Yield by when how much falls due in all. [minor units, without sign]"""
        dues = sorted(
            ((self._of(line, due), due.percent) for due in line.dues), key=lambda one: one[0].on
        )
        run = Fraction(0)
        for when, percent in dues[:-1]:
            run += Fraction(percent) / 100 * self._price(line, when)
            yield when, min(floor(run + Fraction(1, 2)), whole)
        last = dues[-1][0] if dues else self._usual(line)
        yield last, whole

    def _price(self, line: Cost, when: When) -> int:
        """Return a line's price as it was on a past date, or is. [minor units]"""
        amount = line.amount
        if when.on <= self._as_of:
            known = [(step.on, step.amount) for step in line.earlier if step.on is not None]
            amount = _as_at(when.on, known, line)
        return abs(in_minor_units(amount, line.currency))

    def _of(self, line: Cost, due: Due) -> When:
        """Return when one part of a price falls due."""
        if due.at is DueAt.DATE and due.on is not None:
            return _later(When(due.on), due.days)
        return _later(self._event(line, due.at), due.days)

    def _usual(self, line: Cost) -> When:
        """Return when a line without parts falls due."""
        return _later(self._event(line, DueAt.ACCEPTED), USUAL_DAYS)

    def _event(self, line: Cost, at: DueAt) -> When:
        """Return when an event of what a line pays for was or will be."""
        trips = self._trips.get(line.send_out or "", ())
        if trips and not all(trip.dropped for trip in trips):
            return self._of_send_out(trips, at)
        at_order = at in {DueAt.ORDER, DueAt.APPROVED}
        ordered = _ordered_on(line)
        if at_order and ordered is not None:
            return When(ordered)
        if line.task in self._tasks and line.task is not None:
            number = self._schedule.number(line.task)
            one = self._schedule.activities[number]
            day = self._schedule.start_on(number) if at_order else None
            is_known = one.started is not None if at_order else one.is_done
            return When(day or self._schedule.finish_on_of(number), moves=not is_known)
        return When(line.on or self._as_of)

    def _of_send_out(self, trips: Sequence[SendOut], at: DueAt) -> When:
        """Return when an event of a send-out was or will be, read off its legs."""
        early = at in {DueAt.ORDER, DueAt.APPROVED}
        trip = trips[0] if early else trips[-1]
        by_leg = {
            self._schedule.activities[number].leg: number for number in self._legs.get(trip.id, ())
        }
        end = _ENDS[at]
        if at is DueAt.ORDER and not {"prepare", SHIP_LEG} & set(by_leg):
            end = _ENDS[DueAt.APPROVED]
        before = [by_leg[leg] for leg in _LEGS[: _LEGS.index(end) + 1] if leg in by_leg]
        if before:
            number = before[-1]
            is_done = self._schedule.activities[number].is_done
            return When(self._schedule.finish_on_of(number), moves=not is_done)
        if by_leg:
            number = min(by_leg.values())
            begun = self._schedule.activities[number].started is not None
            return When(self._schedule.start_on(number), moves=not begun)
        return When(self._as_of)


def _later(when: When, days: int) -> When:
    """Return a date so many dates later."""
    return When(when.on + timedelta(days=days), when.moves)


def _ordered_on(line: Cost) -> date | None:
    """Return when a line was ordered; None: it is not, or nobody said."""
    steps = [step.on for step in line.earlier if step.state == "ordered"]
    if line.state in {"ordered", "invoiced", "paid"}:
        steps.append(line.on)
    return next((on for on in steps if on is not None), None)


def _as_at(on: date, known: Sequence[tuple[date, Decimal]], line: Cost) -> Decimal:
    """Return what a line came to on a date; before its first step, what that says."""
    steps = [*known, *([(line.on, line.amount)] if line.on is not None else [])]
    begun = [amount for day, amount in steps if day <= on]
    if begun:
        return begun[-1]
    return steps[0][1] if steps else line.amount
