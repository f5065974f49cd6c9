"""Practice 3: hours asked of each trade on each date against the hours that it has."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.calendars import Ints
from ribstitch.planning.health.check import Found, Offender, in_days
from ribstitch.planning.health.look import Look
from ribstitch.planning.levelling.dated import Dated, dated, people_of
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.trades import trade_work

Hours = NDArray[np.float64]
_A_LITTLE = 1e-6
"""Hours are fractions of ticks: less than this is no hour too many."""


def overloaded(look: Look) -> Found:
    """
    Return the days on which a trade is asked for more hours than it has.

    Work counts on the dates on which the schedule has it, from the as-of date on: its
    people times the hours that its calendar works. A day of a trade is one date on which
    the trade is asked for anything. Trades that are not in the crew have no hours to
    compare with; their tasks are another check's.
    """
    of = dated(look.schedule)
    trades = {one.trade for one in look.plan.crew}
    asked = {
        number: _asked(of, number, look.task(number).people)
        for number in look.open_tasks
        if look.task(number).trade in trades and look.activities[number].work
    }
    over_days, days, offenders = 0, 0, []
    for trade in sorted(trades):
        mine = {n: one for n, one in asked.items() if look.task(n).trade == trade}
        if not mine:
            continue
        first = min(start for start, _ in mine.values())
        load = np.zeros(max(start + hours.size for start, hours in mine.values()) - first)
        for start, hours in mine.values():
            load[start - first : start - first + hours.size] += hours
        over = load > _there(of, trade, first, load.size) + _A_LITTLE
        over_days += int(over.sum())
        days += int((load > 0).sum())
        offenders += [
            Offender(look.activities[number].id, _note(trade, start + clash))
            for number, (start, hours) in mine.items()
            if (clash := np.flatnonzero(over[start - first :][: hours.size] & (hours > 0))).size
        ]
    return Found(over_days, days, tuple(offenders))


def _asked(of: Dated, number: int, people: int) -> tuple[int, Hours]:
    """Return the ordinal of a task's first date, and its hours on each date from there."""
    first, ticks = of.worked_by_date(number)
    hours = of.day_hours(of.prepared.expansion.activities[number].calendar) / TICKS_PER_DAY
    return first, ticks.astype(np.float64) * hours * people


def _there(of: Dated, trade: str, first: int, days: int) -> Hours:
    """Return the hours that a trade has on each date. Shape (days,)."""
    there = np.zeros(days)
    for group in people_of(of.plan, trade.__eq__):
        hours = group.people * of.day_hours(group.calendar) / TICKS_PER_DAY
        there += of.there_by_date(group.calendar, first, days) * hours
    return there


def _note(trade: str, clashes: Ints) -> str:
    """Say when a task asks for hours that its trade does not have."""
    first = date.fromordinal(int(clashes[0]))
    return f"too much {trade_work(trade)} on {in_days(clashes.size)} of it, first on {first}"
