"""The ticks of one calendar, date by date: slow, obvious, without arrays."""

from __future__ import annotations

from bisect import bisect_left
from datetime import date
from functools import cache

import holidays

from ribstitch.planning.model import Calendar

DAY = 1440
BASE = date(2024, 1, 1).toordinal()
"""Work is counted from this date; every plan of the property tests begins later."""


class WorkDays:
    """How much a calendar works on each date."""

    def __init__(self, calendar: Calendar) -> None:
        self.calendar = calendar
        self.known: dict[int, int] = {}
        self.totals = [0]
        """Ticks worked from the base up to the morning of each date after it."""

    def worked(self, ordinal: int) -> int:
        """Return the ticks worked on a date: opened, else closed, else holiday, else week."""
        if ordinal not in self.known:
            self.known[ordinal] = round(DAY * self._hours(ordinal) / self.calendar.day_hours)
        return self.known[ordinal]

    def _hours(self, ordinal: int) -> float:
        calendar, day = self.calendar, date.fromordinal(ordinal)
        if calendar.elapsed:
            return calendar.day_hours
        for opened, hours in calendar.opened:
            if opened == day:
                return hours
        if any(first <= day <= last for first, last in calendar.closed):
            return 0.0
        if calendar.holidays and _is_holiday(calendar.holidays, day):
            return 0.0
        return calendar.week_hours[day.weekday()]

    def before(self, instant: int) -> int:
        """Return the ticks worked before an instant."""
        ordinal, offset = divmod(instant, DAY)
        while len(self.totals) <= ordinal - BASE:
            self.totals.append(self.totals[-1] + self.worked(BASE + len(self.totals) - 1))
        return self.totals[ordinal - BASE] + min(offset, self.worked(ordinal))

    def first_with(self, work: int) -> int:
        """Return the smallest instant before which `work` ticks have been worked."""
        assert work > 0
        while self.totals[-1] < work:
            self.totals.append(self.totals[-1] + self.worked(BASE + len(self.totals) - 1))
        day = bisect_left(self.totals, work) - 1
        return DAY * (BASE + day) + work - self.totals[day]

    def next_working(self, instant: int) -> int:
        """Return the instant itself if its tick is worked, else the next such instant."""
        ordinal, offset = divmod(instant, DAY)
        while offset >= self.worked(ordinal):
            ordinal, offset = ordinal + 1, 0
        return DAY * ordinal + offset

    def next_end(self, instant: int) -> int:
        """Return the instant itself if it ends a worked tick, else the next that does."""
        ordinal, offset = divmod(instant - 1, DAY)
        if offset < self.worked(ordinal):
            return instant
        return self.next_working(instant) + 1

    def last_with(self, work: int) -> int:
        """Return the largest instant before which only `work` ticks have been worked."""
        return self.next_working(self.first_with(work))


@cache
def _is_holiday(code: str, day: date) -> bool:
    """Return whether a date is a public holiday of a country or of a part of one."""
    country, _, part = code.partition("-")
    return day in holidays.country_holidays(country, subdiv=part or None, years=day.year)


ELAPSED_DAYS = WorkDays(Calendar(id="elapsed", elapsed=True))
