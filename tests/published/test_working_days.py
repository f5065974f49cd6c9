"""Working-day arithmetic: numpy's documented examples, public holidays, week dates.

The rule of display, stated once: arithmetic says that one day of work begun on Monday is
over at "Tuesday 00:00"; the task is shown to finish on Monday, the date of its last
worked tick, and what follows it starts on Tuesday.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray
from pandas.tseries.offsets import CustomBusinessDay

from ribstitch.planning.calendars import WorkTables
from ribstitch.planning.model import Calendar, Milestone, Task
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of, start_of
from tests.core.making import link, plan, shown, ticks

FIVE = (8.0, 8.0, 8.0, 8.0, 8.0, 0.0, 0.0)
FOUR = (8.0, 8.0, 8.0, 8.0, 0.0, 0.0, 0.0)
ONE = np.array([0])


def only(*weekdays: int) -> tuple[float, ...]:
    """Return a week worked on the given ISO weekdays alone (1 is Monday)."""
    return tuple(8.0 if day in weekdays else 0.0 for day in range(1, 8))


class Days:
    """Whole working days of one calendar, in the words of numpy's functions."""

    def __init__(
        self, week: tuple[float, ...] = FIVE, holidays: str | None = None, first: int = 2004
    ) -> None:
        self.calendar = Calendar(id="days", week_hours=week, holidays=holidays)
        begin = date(first, 1, 1).toordinal()
        self.tables = WorkTables([self.calendar], begin, 366 * 42)
        self.origin = TICKS_PER_DAY * begin
        self.on = self.tables.on(ONE)

    def _work(self, instant: int) -> NDArray[np.int64]:
        return self.tables.work_before(self.on, np.array([instant - self.origin]))

    def count(self, begin: date, end: date) -> int:
        """Return the working days from `begin` up to, not including, `end`."""
        whole, rest = divmod(
            int((self._work(start_of(end)) - self._work(start_of(begin)))[0]), 1440
        )
        assert rest == 0
        return whole

    def offset(self, day: date, days: int, roll: str = "forward") -> date:
        """Return the working day `days` after a day rolled onto a working one."""
        work = self._work(start_of(day) if roll == "forward" else end_of(day))
        if roll == "backward":
            work = work - TICKS_PER_DAY
        instant = int(self.tables.latest(self.on, work + ticks(days))[0]) + self.origin
        return date.fromordinal(instant // TICKS_PER_DAY)


def by_schedule(calendar: Calendar, begin: date, days: int) -> date:
    """Return the day on which work may follow `days` of work not to begin before `begin`."""
    tasks = [
        Task("work", ticks(days), not_before=begin),
        Task("next", 0, milestone=Milestone.START),
    ]
    made = plan(
        tasks, [link("work", "next")], start=begin, calendar=calendar.id, calendars=[calendar]
    )
    return shown(schedule(made), "next")[0]


@pytest.mark.parametrize(
    ("day", "days", "roll", "week", "expected"),
    [
        ("2011-10-01", 0, "forward", FIVE, "2011-10-03"),
        ("2011-10-01", -1, "forward", FIVE, "2011-09-30"),
        ("2012-05-01", 1, "forward", only(7), "2012-05-13"),
        ("2011-03-20", 0, "forward", FIVE, "2011-03-21"),
        ("2011-03-22", 0, "forward", FIVE, "2011-03-22"),
        ("2011-03-20", 1, "backward", FIVE, "2011-03-21"),
        ("2011-03-22", 1, "backward", FIVE, "2011-03-23"),
    ],
)
def test_numpy_offset_examples(
    day: str, days: int, roll: str, week: tuple[float, ...], expected: str
) -> None:
    """CAL-1: the examples in numpy's documentation of busday_offset. From memory, recomputed."""
    found = Days(week).offset(date.fromisoformat(day), days, roll)
    assert found == date.fromisoformat(expected)


@pytest.mark.parametrize(
    ("begin", "end", "week", "expected"),
    [
        ("2011-01-01", "2011-02-01", FIVE, 21),
        ("2011-01-01", "2012-01-01", FIVE, 260),
        ("2011-01-01", "2012-01-01", only(6), 53),
    ],
)
def test_numpy_count_examples(begin: str, end: str, week: tuple[float, ...], expected: int) -> None:
    """CAL-1: the examples in numpy's documentation of busday_count. From memory, recomputed."""
    assert Days(week).count(date.fromisoformat(begin), date.fromisoformat(end)) == expected


FEDERAL = {
    2026: "01-01 01-19 02-16 05-25 06-19 07-03 09-07 10-12 11-11 11-26 12-25",
    2027: "01-01 01-18 02-15 05-31 06-18 07-05 09-06 10-11 11-11 11-25 12-24 12-31",
    2028: "01-17 02-21 05-29 06-19 07-04 09-04 10-09 11-10 11-23 12-25",
}
"""CAL-2: federal holidays on the days they are observed, 5 U.S.C. 6103. From memory."""
ENGLAND = {
    2026: "01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-28",
    2027: "01-01 03-26 03-29 05-03 05-31 08-30 12-27 12-28",
}
"""CAL-2: bank holidays in England and Wales on weekdays. From memory."""


@pytest.mark.parametrize(
    ("code", "year", "printed"),
    [("US", year, days) for year, days in FEDERAL.items()]
    + [("GB-ENG", year, days) for year, days in ENGLAND.items()],
)
def test_weekdays_closed_by_public_holidays(code: str, year: int, printed: str) -> None:
    calendar = Days(FIVE, code)
    day, closed = date(year, 1, 1), []
    while day.year == year:
        if day.isoweekday() <= 5 and calendar.count(day, day + timedelta(days=1)) == 0:
            closed.append(f"{day:%m-%d}")
        day += timedelta(days=1)
    assert closed == printed.split()


@pytest.mark.parametrize(
    "easter", ["2024-03-31", "2025-04-20", "2026-04-05", "2027-03-28", "2028-04-16", "2030-04-21"]
)
def test_easter_closes_the_friday_before_and_the_monday_after(easter: str) -> None:
    """CAL-2: dates of Easter Sunday, from memory; both days are bank holidays in England."""
    sunday = date.fromisoformat(easter)
    calendar = Days(FIVE, "GB-ENG")
    assert calendar.count(sunday - timedelta(days=2), sunday + timedelta(days=2)) == 0
    assert calendar.count(sunday - timedelta(days=3), sunday + timedelta(days=3)) == 2


@pytest.mark.parametrize(
    ("begin", "days", "five", "four"),
    [
        ("2026-06-18", 1, "2026-06-22", "2026-06-22"),
        ("2026-07-02", 1, "2026-07-06", "2026-07-06"),
        ("2026-11-25", 1, "2026-11-27", "2026-11-30"),
        ("2026-11-25", 5, "2026-12-03", "2026-12-07"),
        ("2026-12-18", 10, "2027-01-05", "2027-01-06"),
    ],
)
def test_offsets_over_federal_holidays(begin: str, days: int, five: str, four: str) -> None:
    """CAL-3: derived with numpy and pandas, which agree; on tables and through a schedule."""
    for week, expected in ((FIVE, five), (FOUR, four)):
        calendar = Days(week, "US")
        day = date.fromisoformat(begin)
        assert calendar.offset(day, days) == date.fromisoformat(expected)
        assert by_schedule(calendar.calendar, day, days) == date.fromisoformat(expected)


@pytest.mark.parametrize(
    ("week", "holidays", "begin", "end", "expected"),
    [
        (FIVE, None, "2026-01-01", "2027-01-01", 261),
        (FIVE, "US", "2026-01-01", "2027-01-01", 250),
        (FOUR, "US", "2026-01-01", "2027-01-01", 201),
        (FIVE, "US", "2026-11-01", "2027-01-01", 41),
    ],
)
def test_working_days_counted(
    week: tuple[float, ...], holidays: str | None, begin: str, end: str, expected: int
) -> None:
    """CAL-3: working days of 2026, derived."""
    found = Days(week, holidays).count(date.fromisoformat(begin), date.fromisoformat(end))
    assert found == expected


@pytest.mark.parametrize(
    ("day", "iso"),
    [
        ("2005-01-01", "2004-W53-6"), ("2008-12-29", "2009-W01-1"), ("2010-01-03", "2009-W53-7"),
        ("2020-12-31", "2020-W53-4"), ("2021-01-03", "2020-W53-7"), ("2024-12-30", "2025-W01-1"),
        ("2026-01-01", "2026-W01-4"), ("2026-12-28", "2026-W53-1"), ("2026-12-31", "2026-W53-4"),
        ("2027-01-01", "2026-W53-5"), ("2027-01-03", "2026-W53-7"), ("2027-01-04", "2027-W01-1"),
    ],
)  # fmt: skip
def test_week_pattern_falls_on_iso_weekdays(day: str, iso: str) -> None:
    """CAL-4: ISO 8601 week dates, from memory; a week pattern runs from ISO weekday 1 to 7."""
    here = date.fromisoformat(day)
    worked = [
        weekday
        for weekday in range(1, 8)
        if Days(only(weekday)).count(here, here + timedelta(days=1)) == 1
    ]
    assert worked == [int(iso[-1])]
    assert date.fromisocalendar(int(iso[:4]), int(iso[6:8]), worked[0]) == here


def test_years_of_53_weeks_have_53_thursdays() -> None:
    """CAL-4: years with 53 ISO weeks from 2000 to 2040, from memory."""
    thursdays = Days(only(4), first=2000)
    long_years = [
        y for y in range(2000, 2041) if thursdays.count(date(y, 1, 1), date(y + 1, 1, 1)) == 53
    ]
    assert long_years == [2004, 2009, 2015, 2020, 2026, 2032, 2037]


def test_one_day_begun_on_monday_finishes_on_monday_and_the_next_starts_on_tuesday() -> None:
    """CAL-3 asks that this be stated once and tested."""
    monday, tuesday = date(2026, 1, 5), date(2026, 1, 6)
    tasks = [Task("first", ticks(1)), Task("second", ticks(1))]
    result = schedule(plan(tasks, [link("first", "second")], start=monday))
    assert shown(result, "first") == (monday, monday)
    assert int(result.finish[0]) == start_of(tuesday)
    assert shown(result, "second") == (tuesday, tuesday)


@pytest.mark.parametrize("seed", range(25))
def test_random_offsets_agree_with_numpy_and_pandas(seed: int) -> None:
    """Random weeks and closures: numpy busday_offset, pandas CustomBusinessDay, our schedule."""
    chance = random.Random(seed)
    weekdays = sorted(chance.sample(range(1, 8), chance.randint(1, 6)))
    mask = "".join("1" if day in weekdays else "0" for day in range(1, 8))
    begin = date(2026, 1, 1) + timedelta(days=chance.randint(0, 700))
    closed = [begin + timedelta(days=chance.randint(0, 60)) for _ in range(12)]
    calendar = replace(Days(only(*weekdays)).calendar, closed=tuple((day, day) for day in closed))
    for days in (1, 2, chance.randint(3, 40)):
        found = by_schedule(calendar, begin, days)
        expected = np.busday_offset(
            np.datetime64(begin, "D"), days, roll="forward", weekmask=mask,
            holidays=[np.datetime64(day, "D") for day in closed],
        ).item()  # fmt: skip
        assert found == expected
        business = CustomBusinessDay(weekmask=mask, holidays=closed)
        assert found == (business.rollforward(pd.Timestamp(begin)) + days * business).date()
