"""Whose calendar the work of a trade stands on, and how many days its hours take."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from ribstitch.planning.crews import people_of
from ribstitch.planning.drafting.hours import HOURS_A_DATE, Hours, in_eighths
from ribstitch.planning.model import ELAPSED, Calendar, Crew, Plan
from ribstitch.planning.ticks import TICKS_PER_DAY

DATES_A_WEEK = 7


class Hands:
    """
    The crew of a plan, by trade.

    The tasks of a trade stand on the calendar of the first people who have only that
    trade, else of the first who have it. Where nobody has it, the project's calendar
    stands in, with as many hands as are wanted.
    """

    def __init__(self, plan: Plan) -> None:
        self._shop = plan.project.calendar
        self._calendars = {one.id: one for one in plan.calendars}
        self._day_hours = {one.id: _day_hours(one) for one in plan.calendars}
        trades = Counter(people_of(number, row) for number, row in enumerate(plan.crew))
        rows: dict[str, list[tuple[bool, Crew]]] = {}
        for number, row in enumerate(plan.crew):
            if row.people:
                several = trades[people_of(number, row)] > 1
                rows.setdefault(row.trade, []).append((several, row))
        self._main = {
            trade: min(of_trade, key=lambda one: one[0])[1] for trade, of_trade in rows.items()
        }
        self._people = {
            trade: sum(row.people for _several, row in of_trade) for trade, of_trade in rows.items()
        }

    def has(self, trade: str | None) -> bool:
        """Whether anybody has a trade; nobody is needed for what only takes time."""
        return trade is None or trade in self._main

    def calendar(self, trade: str | None, season: str | None = None) -> str:
        """Return the calendar of a trade's tasks: that of their season, where the plan has it."""
        if trade is None:
            return ELAPSED.id
        if season in self._calendars:
            return str(season)
        main = self._main.get(trade)
        return (main.calendar if main else None) or self._shop

    def count(self, trade: str, wanted: int) -> int:
        """Return how many of the wanted people there are, at least one."""
        return max(1, min(wanted, self._people.get(trade, wanted)))

    def days(
        self, trade: str | None, people: int, hours: Fraction, season: str | None = None
    ) -> Fraction:
        """
        Return the working days that person-hours take, rounded up to an eighth of a day.

        Hours / people there / hours of the calendar's full day; without a trade, hours on
        the clock / 24.
        """
        if trade is None:
            return in_eighths(hours / HOURS_A_DATE)
        a_day = self._day_hours.get(self.calendar(trade, season), _USUAL_DAY)
        return in_eighths(hours / (self.count(trade, people) * a_day))

    def span(
        self, trade: str | None, people: int, hours: Hours, season: str | None = None
    ) -> tuple[int, int, int]:
        """Return low, likely and high durations. [ticks]"""
        low, likely, high = (
            ticks(self.days(trade, people, one, season))
            for one in (hours.low, hours.likely, hours.high)
        )
        return low, likely, high

    def dates_a_week(self, trade: str | None) -> int:
        """Return on how many dates a week a trade works; without a trade time just passes."""
        if trade is None:
            return DATES_A_WEEK
        return worked_dates(self._calendars.get(self.calendar(trade)))


def worked_dates(calendar: Calendar | None) -> int:
    """Return on how many dates a week somebody works on a calendar, at least one."""
    if calendar is None or calendar.elapsed:
        return DATES_A_WEEK
    return max(1, sum(1 for hours in calendar.week_hours if hours))


def ticks(days: Fraction) -> int:
    """Return days, in eighths, as ticks."""
    return int(days * TICKS_PER_DAY)


def _day_hours(calendar: Calendar) -> Fraction:
    """Return the hours of a full day, as they were written down: 4.8 is 24/5."""
    return Fraction(str(calendar.day_hours))


_USUAL_DAY = _day_hours(Calendar(""))
