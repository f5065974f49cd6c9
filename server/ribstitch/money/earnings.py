"""What is earned of a baseline's packages, and since when: the earning rules.

======================  =============================================================
rule                    earned
======================  =============================================================
``all_at_end``          nothing until it is done, then all
``half_and_half``       half once it is begun, the rest when it is done
``work_done``           1 - what remains / what was planned
``legs``                the time of its legs that is over / the time of all its legs
``time``                as planned, or all once the aircraft is finished
======================  =============================================================

Of a leg under way, what the schedule says remains is not over, so a promise that is put off
earns nothing. Legs count in days of their own calendars. What was turned down on arrival
is not accepted: its further trips count with it.

What is dropped, or no longer in the plan, has earned nothing. When something was earned is
known for what happened at once; between its start and its finish (or the as-of date),
work is taken to have been done evenly.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from enum import StrEnum
from fractions import Fraction
from math import floor

import numpy as np

from ribstitch.money.curve import Accrual
from ribstitch.money.labour import worked_ticks
from ribstitch.money.minor_units import in_minor_units
from ribstitch.money.planned_value import planned_accruals
from ribstitch.money.planned_work import awaited_legs, trips_of
from ribstitch.planning.activities import floor_of
from ribstitch.planning.model import EarningRule, Package, SendOut, State, Task
from ribstitch.planning.schedule import Schedule

Accruals = tuple[Accrual, ...]


class Lost(StrEnum):
    """Why a package can earn nothing any more."""

    DROPPED = "dropped"
    GONE = "gone"
    """It is no longer in the plan."""


class Earnings:
    """
    What the packages of a baseline have earned in a plan as it stands.

    Parameters
    ----------
    schedule
        The plan's schedule as of the as-of date.
    finished_on
        When the last work was done; None: there is work to do.
    """

    def __init__(self, schedule: Schedule, finished_on: date | None) -> None:
        plan = schedule.prepared.plan
        self._schedule = schedule
        self._finished_on = finished_on
        self._as_of = plan.project.as_of
        self._currency = plan.project.currency
        self._tasks = {task.id: task for task in plan.tasks}
        self._trips = trips_of(plan)
        self._legs = awaited_legs(schedule)

    def of(self, package: Package) -> Accruals | Lost:
        """Return when what a package has earned was earned, or why it earns nothing."""
        units = in_minor_units(package.amount, self._currency)
        if package.rule is EarningRule.TIME:
            return self._with_time(package, units)
        task, trips = self._tasks.get(package.id), self._trips.get(package.id)
        if trips is not None and (task is None or package.rule is EarningRule.LEGS):
            if all(trip.dropped for trip in trips):
                return Lost.DROPPED
            return tuple(self._by_legs(package, units, trips))
        if task is None:
            return Lost.GONE
        if task.status.state is State.DROPPED:
            return Lost.DROPPED
        return tuple(self._by_status(package.rule, units, task))

    def _with_time(self, package: Package, units: int) -> Accruals:
        """Return what time alone brings; the aircraft finished early, all of it by then."""
        if self._finished_on is None:
            return planned_accruals(package, self._currency)
        finish = min(package.finish, self._finished_on)
        return (Accrual(units, min(package.start, finish), finish),)

    def _by_status(self, rule: EarningRule, units: int, task: Task) -> Iterator[Accrual]:
        """Yield what a task has earned."""
        status = task.status
        begun = status.started or status.finished
        if begun is None:
            return
        done = status.state is State.DONE
        over = (status.finished or self._as_of) if done else self._as_of
        match rule:
            case EarningRule.ALL_AT_END:
                if done:
                    yield Accrual(units, over, over)
            case EarningRule.HALF_AND_HALF:
                half = (units + 1) // 2
                yield Accrual(half, begun, begun)
                if done:
                    yield Accrual(units - half, over, over)
            case _:
                share = Fraction(worked_ticks(task), task.duration) if task.duration else done
                yield Accrual(floor(units * share + Fraction(1, 2)), begun, over)

    def _by_legs(
        self, package: Package, units: int, trips: tuple[SendOut, ...]
    ) -> Iterator[Accrual]:
        """Yield what a send-out has earned by each of its legs."""
        legs = [(trip, number) for trip in trips for number in self._legs.get(trip.id, ())]
        if not legs:
            yield Accrual(units, package.start, package.start)
            return
        accepted = trips[-1].status.accepted is not None
        total = sum(self._ticks(trip, number) for trip, number in legs)
        run, before = Fraction(0), 0
        for trip, number in legs:
            one = self._schedule.activities[number]
            if one.started is None or (self._is_turned_down(trip, number) and not accepted):
                continue
            run += self._ticks(trip, number) * self._share_over(trip, number)
            now = floor(units * run / total + Fraction(1, 2))
            first = self._schedule.start_on(number)
            last = self._schedule.finish_on_of(number) if one.is_done else self._as_of
            yield Accrual(now - before, min(first, last), last)
            before = now

    def _ticks(self, trip: SendOut, number: int) -> int:
        """Return how long a leg was to take; of a leg without a duration one tick."""
        leg = self._schedule.activities[number].leg or ""
        return int(getattr(trip, "lead" if leg == "vendor_work" else leg)) or 1

    def _share_over(self, trip: SendOut, number: int) -> Fraction:
        """Return how much of the planned time of a leg that has begun is over."""
        schedule = self._schedule
        if schedule.activities[number].is_done:
            return Fraction(1)
        network = schedule.prepared.network
        instants = np.array([floor_of(schedule.prepared.plan), int(schedule.finish[number])])
        on = network.on[np.full(2, network.rank[number])]
        gone, whole = network.tables.work_before(on, instants - network.origin).tolist()
        return max(1 - Fraction(whole - gone, self._ticks(trip, number)), Fraction(0))

    def _is_turned_down(self, trip: SendOut, number: int) -> bool:
        """Return whether a leg ended with the item being turned down."""
        leg = self._schedule.activities[number].leg
        return leg == "accept" and trip.status.rejected is not None
