"""How much of its people's time a levelled plan takes, week by week."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.levelling.level_plan import LevelledPlan
from ribstitch.planning.ticks import TICKS_PER_DAY

LONG_ABSENCE = 90
"""So many dates in a row without anybody of a trade are worth a word. [dates]"""


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """
    One trade in one week.

    Attributes
    ----------
    trade
        Whose.
    week
        Its Monday.
    used, available
        Work asked of the trade, and time its people are there for it or for another of
        their trades. [ticks: 1,440 are a person's day]
    """

    trade: str
    week: date
    used: int
    available: int


def week_loads(levelled: LevelledPlan) -> tuple[WeekLoad, ...]:
    """
    Return the load of each trade, by trade and week.

    From the week of the first planned work of any trade to that of the last; weeks in
    which a trade has neither work nor people are left out.
    """
    problem, plan = levelled.problem, levelled.planned.prepared.plan
    tasks = {task.id: task for task in plan.tasks}
    used: dict[tuple[str, int], int] = defaultdict(int)
    origin = problem.prepared.network.origin
    for number, row in enumerate(problem.rows):
        task = tasks.get(levelled.planned.activities[number].task or "")
        if task is None or not row.asking or not task.trade:
            continue
        work = row.scale.work_before(levelled.begin[number] - origin)
        for day, first, last in row.scale.stretches(work, work + row.work):
            used[task.trade, _monday(problem.first + day)] += task.people * (last - first)
    if not used:
        return ()
    weeks = range(min(week for _, week in used), max(week for _, week in used) + 1, 7)
    found = []
    for pool in problem.pools:
        for trade in sorted(pool.trades):
            for week in weeks:
                there = sum(
                    group.people * problem.scale(group.calendar).worked[day - problem.first]
                    for group in pool.groups
                    if trade in group.trades
                    for day in range(week, week + 7)
                )
                work = used.get((trade, week), 0)
                if work or there:
                    found.append(WeekLoad(trade, date.fromordinal(week), work, there))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Absence:
    """Dates, both included, on which nobody of a trade works while tasks wait for them."""

    trade: str
    first: date
    last: date


def long_absences(levelled: LevelledPlan, days: int = LONG_ABSENCE) -> tuple[Absence, ...]:
    """
    Return when all people of a trade are away for long, by trade and date.

    From the first instant that can still be planned to the last work of the trade.

    Parameters
    ----------
    levelled
        A levelled plan.
    days
        Dates in a row without anybody that count as long.
    """
    problem = levelled.problem
    tasks = {task.id: task for task in levelled.planned.prepared.plan.tasks}
    last: dict[str, int] = {}
    for number, row in enumerate(problem.rows):
        trade = getattr(tasks.get(levelled.planned.activities[number].task or ""), "trade", None)
        if row.asking and trade:
            last[trade] = max(last.get(trade, 0), (levelled.finish[number] - 1) // TICKS_PER_DAY)
    origin = problem.prepared.network.origin
    first = (min((row.floor for row in problem.rows), default=0) + origin) // TICKS_PER_DAY
    found = []
    for pool in problem.pools:
        for trade in sorted(pool.trades & set(last)):
            scales = [problem.scale(one.calendar) for one in pool.groups if trade in one.trades]
            away = first
            for day in range(first, last[trade] + 1):
                if any(scale.worked[day - problem.first] for scale in scales):
                    if day - away >= days:
                        found.append(
                            Absence(trade, date.fromordinal(away), date.fromordinal(day - 1))
                        )
                    away = day + 1
    return tuple(found)


def _monday(ordinal: int) -> int:
    """Return the Monday of a date's week."""
    return ordinal - (ordinal - 1) % 7
