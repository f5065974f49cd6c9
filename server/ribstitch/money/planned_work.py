"""The work that a baseline's budget is shared out over: tasks and send-outs, weighed.

A task weighs what it is planned to cost: people x hours x rate, and its cost lines. A
send-out with its further trips weighs what its cost lines come to. Hours tell apart what
costs nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ribstitch.money.budget import KEPT_BACK
from ribstitch.money.labour import hours_of_work, rates_of
from ribstitch.planning.activities import UNAWAITED_LEGS
from ribstitch.planning.exchange import exchange_of
from ribstitch.planning.model import Cost, EarningRule, Plan, SendOut, State
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY

LONGEST_AT_END = 5 * TICKS_PER_DAY
"""Tasks up to this long are earned when they are done, longer ones by what remains."""


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """One task, or one send-out with its further trips, as it is to be earned."""

    id: str
    chapter: str | None
    cost: Fraction
    """[project's currency]"""
    hours: Fraction
    """Person-hours; of a send-out none."""
    start: date
    finish: date
    rule: EarningRule


def planned_work(plan: Plan, schedule: Schedule, on: date) -> tuple[PlannedWork, ...]:
    """
    Return what a plan's budget is earned by, in order of entry.

    What is dropped is left out, and so are milestones that cost nothing. Rates and
    foreign money as on a date.
    """
    weighing = _Weighing(plan, schedule, on)
    return (*weighing.tasks(), *weighing.send_outs())


def trips_of(plan: Plan) -> dict[str, tuple[SendOut, ...]]:
    """Return each send-out that is no further trip, by id, with its trips in turn."""
    following = {item.trip_of: item for item in plan.send_outs if item.trip_of}
    found: dict[str, tuple[SendOut, ...]] = {}
    for item in plan.send_outs:
        if item.trip_of is None:
            trips = [item]
            while trips[-1].id in following:
                trips.append(following[trips[-1].id])
            found[item.id] = tuple(trips)
    return found


def chapters_of_work(plan: Plan) -> dict[str, str | None]:
    """
    Return the chapter that each task and send-out is charged to, by id.

    That of a send-out is the first that one of its cost lines names; a further trip
    stands with the first one.
    """
    found: dict[str, str | None] = {task.id: task.chapter for task in plan.tasks}
    named: dict[str, str] = {}
    for line in plan.costs:
        if line.send_out is not None and line.chapter is not None:
            named.setdefault(line.send_out, line.chapter)
    for trips in trips_of(plan).values():
        chapter = next((named[one.id] for one in trips if one.id in named), None)
        found |= {one.id: chapter for one in trips}
    return found


def awaited_legs(schedule: Schedule) -> dict[str, tuple[int, ...]]:
    """Return the legs (as numbers of activities) of each send-out that the shop waits for."""
    sources = {item.id: item.source for item in schedule.prepared.plan.send_outs}
    found: defaultdict[str, list[int]] = defaultdict(list)
    for number, one in enumerate(schedule.activities):
        if one.send_out and one.leg not in UNAWAITED_LEGS[sources[one.send_out]]:
            found[one.send_out].append(number)
    return {name: tuple(numbers) for name, numbers in found.items()}


class _Weighing:
    """A plan's work with its costs, hours and dates."""

    def __init__(self, plan: Plan, schedule: Schedule, on: date) -> None:
        self._plan = plan
        self._schedule = schedule
        self._on = on
        self._exchange = exchange_of(plan)
        self._rates = rates_of(plan)
        self._per_tick = hours_of_work(plan)
        self._chapters = chapters_of_work(plan)
        self._lines: defaultdict[str, list[Cost]] = defaultdict(list)
        for line in plan.costs:
            if line.task or line.send_out:
                self._lines[line.task or line.send_out or ""].append(line)
        self._legs = awaited_legs(schedule)

    def tasks(self) -> Iterator[PlannedWork]:
        """Yield the tasks."""
        for task in self._plan.tasks:
            hours = self._per_tick[task.id] * task.duration if task.trade else Fraction(0)
            priced = self._rates.knows(task.trade)
            rate = self._rates.of_trade(task.trade, self._on) if task.trade and priced else 0
            lines = [one for one in self._lines[task.id] if not (priced and one.kind == "labour")]
            cost = hours * rate + self._worth(lines, task.chapter)
            if task.status.state is State.DROPPED or not (task.duration or cost):
                continue
            rule = EarningRule.WORK_DONE
            if task.duration <= LONGEST_AT_END:
                rule = EarningRule.ALL_AT_END
            start, finish = self._dates([self._schedule.number(task.id)])
            yield PlannedWork(task.id, task.chapter, cost, hours, start, finish, rule)

    def send_outs(self) -> Iterator[PlannedWork]:
        """Yield the send-outs, each with its further trips."""
        for name, trips in trips_of(self._plan).items():
            if all(one.dropped for one in trips):
                continue
            chapter = self._chapters[name]
            lines = [line for one in trips for line in self._lines[one.id]]
            start, finish = self._dates(
                [leg for one in trips for leg in self._legs.get(one.id, ())]
            )
            yield PlannedWork(
                name, chapter, self._worth(lines, chapter), Fraction(0), start, finish,
                EarningRule.LEGS,
            )  # fmt: skip

    def _worth(self, lines: Iterable[Cost], chapter: str | None) -> Fraction:
        """Return what the cost lines of a chapter come to; not below nothing."""
        total = Fraction(0)
        for line in lines:
            mine = line.chapter in {None, chapter} and line.kind != KEPT_BACK
            if mine and self._exchange.knows(line.currency):
                total += Fraction(line.amount) * self._exchange.rate(line.currency, self._on)
        return max(total, Fraction(0))

    def _dates(self, numbers: list[int]) -> tuple[date, date]:
        """Return the first start and the last finish; of a part in hand the project's start."""
        if not numbers:
            start = self._plan.project.start
            return start, start
        finish = max(self._schedule.finish_on_of(number) for number in numbers)
        return min(finish, *(self._schedule.start_on(number) for number in numbers)), finish
