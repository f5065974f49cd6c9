"""Calendars: ticks on each date, work before an instant and back, refusals."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from ribstitch.planning.calendars import (
    On,
    WorkTables,
    check_calendar,
    public_holidays,
    ticks_per_date,
)
from ribstitch.planning.errors import EmptyCalendarError, InvalidValueError, PlanError
from ribstitch.planning.model import ELAPSED, Calendar
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.making import MONDAY, SHOP

HALF_FRIDAYS = Calendar(id="half", week_hours=(8, 8, 8, 8, 4, 0, 0))
SEVEN_HOURS = Calendar(id="seven", day_hours=7, week_hours=(7, 7, 7, 7, 3.5, 0, 0))
IRISH = Calendar(id="irish", holidays="IE")


def worked(calendar: Calendar, day: date, days: int = 1) -> list[int]:
    """Return the ticks a calendar works on some dates from a day."""
    found: list[int] = ticks_per_date(calendar, day.toordinal(), days).tolist()
    return found


def test_a_plain_week_works_monday_to_friday() -> None:
    assert worked(SHOP, MONDAY, 9) == [1440] * 5 + [0, 0, 1440, 1440]


@pytest.mark.parametrize("weekday", range(7))
def test_the_week_starts_on_monday_wherever_the_table_starts(weekday: int) -> None:
    first = MONDAY + timedelta(days=weekday)
    assert worked(HALF_FRIDAYS, first, 7) == (worked(HALF_FRIDAYS, MONDAY, 14))[weekday:][:7]


def test_a_half_day_is_720_ticks() -> None:
    assert worked(HALF_FRIDAYS, MONDAY, 5) == [1440, 1440, 1440, 1440, 720]


def test_hours_count_against_the_calendars_own_day() -> None:
    """Seven hours are a whole day where seven hours are the day; three and a half, half of it."""
    assert worked(SEVEN_HOURS, MONDAY, 5) == [1440, 1440, 1440, 1440, 720]


def test_hours_that_are_no_whole_ticks_are_rounded() -> None:
    """5 of 7 hours are 1028.57 ticks."""
    assert worked(replace(SEVEN_HOURS, week_hours=(5,) + (0,) * 6), MONDAY) == [1029]


def test_a_closed_range_includes_both_ends() -> None:
    closed = replace(SHOP, closed=((date(2026, 1, 6), date(2026, 1, 8)),))
    assert worked(closed, MONDAY, 5) == [1440, 0, 0, 0, 1440]


def test_a_closed_range_that_reaches_over_the_table_closes_what_is_inside() -> None:
    closed = replace(SHOP, closed=((date(2020, 1, 1), date(2026, 1, 6)),))
    assert worked(closed, MONDAY, 3) == [0, 0, 1440]


def test_saint_patricks_day_is_closed_in_ireland_and_open_when_opened() -> None:
    holiday = date(2026, 3, 17)
    assert worked(IRISH, holiday) == [0]
    assert worked(replace(IRISH, opened=((holiday, 6.0),)), holiday) == [1080]


def test_an_opening_overrides_a_closure_and_the_week() -> None:
    saturday = date(2026, 1, 10)
    opened = replace(SHOP, closed=((MONDAY, saturday),), opened=((saturday, 4.0),))
    assert worked(opened, MONDAY, 7) == [0, 0, 0, 0, 0, 720, 0]


def test_an_opening_of_no_hours_closes_a_date() -> None:
    assert worked(replace(SHOP, opened=((MONDAY, 0.0),)), MONDAY, 2) == [0, 1440]


def test_elapsed_time_works_on_every_date() -> None:
    assert worked(ELAPSED, MONDAY, 7) == [1440] * 7


class OneTable:
    """The tables of one calendar from Monday 5 January 2026, four weeks, one instant at a time."""

    def __init__(self, calendar: Calendar) -> None:
        self.tables = WorkTables([SHOP, calendar], MONDAY.toordinal(), 28)
        self.on: On = self.tables.on(np.array([1]))

    def work_before(self, days: float) -> float:
        instant = np.array([round(days * TICKS_PER_DAY)])
        return int(self.tables.work_before(self.on, instant)[0]) / TICKS_PER_DAY

    def earliest(self, days: float) -> float:
        work = np.array([round(days * TICKS_PER_DAY)])
        return int(self.tables.earliest(self.on, work)[0]) / TICKS_PER_DAY

    def latest(self, days: float) -> float:
        work = np.array([round(days * TICKS_PER_DAY)])
        return int(self.tables.latest(self.on, work)[0]) / TICKS_PER_DAY

    def next_working(self, days: float) -> float:
        instant = np.array([round(days * TICKS_PER_DAY)])
        return int(self.tables.next_working(self.on, instant)[0]) / TICKS_PER_DAY


@pytest.mark.parametrize(
    ("instant", "work"),
    [(0, 0), (0.25, 0.25), (4, 4), (4.25, 4.25), (4.5, 4.5), (4.75, 4.5), (6.9, 4.5), (7.5, 5)],
)
def test_work_is_done_from_the_start_of_the_date(instant: float, work: float) -> None:
    """On a half Friday the first 720 ticks are worked, then nothing until Monday."""
    assert OneTable(HALF_FRIDAYS).work_before(instant) == work


def test_work_that_is_done_at_an_instant_was_done_first_before_the_weekend() -> None:
    table = OneTable(HALF_FRIDAYS)
    assert table.earliest(4.5) == 4.5
    assert table.latest(4.5) == 7


def test_an_instant_outside_working_time_moves_up_to_the_next_worked_tick() -> None:
    table = OneTable(HALF_FRIDAYS)
    assert table.next_working(4.25) == 4.25
    assert table.next_working(4.5) == 7
    assert table.next_working(6.5) == 7


def test_several_calendars_in_one_step_do_not_touch_each_other() -> None:
    tables = WorkTables([SHOP, ELAPSED, HALF_FRIDAYS], MONDAY.toordinal(), 28)
    on = tables.on(np.array([0, 1, 2]))
    week = np.full(3, 7 * TICKS_PER_DAY)
    done = tables.work_before(on, week)
    assert (done / TICKS_PER_DAY).tolist() == [5, 7, 4.5]
    assert (tables.earliest(on, done) / TICKS_PER_DAY).tolist() == [5, 7, 4.5]


def test_beyond_the_table_arithmetic_goes_on_in_elapsed_time() -> None:
    """It is for the schedule to widen the tables; nothing fails and order is kept."""
    table = OneTable(SHOP)
    assert table.work_before(28) == 20
    assert table.work_before(38) == 30
    assert table.earliest(30) == 38


def refused(calendar: Calendar) -> tuple[type[PlanError], str, str]:
    """Return the error that a calendar meets."""
    with pytest.raises(PlanError) as caught:
        check_calendar(calendar, "calendars[3]")
    return type(caught.value), caught.value.where, caught.value.reason


@pytest.mark.parametrize(
    ("change", "where", "reason"),
    [
        ({"day_hours": 0}, "day_hours", "0 is not between 0 and 24 hours"),
        ({"day_hours": 25}, "day_hours", "25 is not between 0 and 24 hours"),
        ({"day_hours": float("nan")}, "day_hours", "nan is not between 0 and 24 hours"),
        ({"week_hours": (8, 8)}, "week", "a week has seven days, Monday to Sunday"),
        (
            {"week_hours": (8, 9, 8, 8, 8, 0, 0)},
            "week[1]",
            "9 hours do not fit into the calendar's day of 8 hours",
        ),
        (
            {"week_hours": (8, 8, 8, 8, 8, 0, -1)},
            "week[6]",
            "-1 hours do not fit into the calendar's day of 8 hours",
        ),
        (
            {"opened": ((MONDAY, 8.0), (MONDAY, 8.5))},
            "open[1].hours",
            "8.5 hours do not fit into the calendar's day of 8 hours",
        ),
        (
            {"closed": ((date(2026, 8, 14), date(2026, 8, 3)),)},
            "closed[0]",
            "the closed range ends (2026-08-03) before it begins (2026-08-14)",
        ),
        ({"holidays": "XX"}, "holidays", '"XX" is not a country whose holidays are known'),
        ({"holidays": "GB-XX"}, "holidays", '"GB-XX" is not a country whose holidays are known'),
        ({"id": "elapsed"}, "id", 'the id "elapsed" is kept for elapsed time'),
    ],
)
def test_calendars_that_make_no_sense_are_refused(
    change: dict[str, object], where: str, reason: str
) -> None:
    calendar = replace(SHOP, **change)  # type: ignore[arg-type]
    assert refused(calendar) == (InvalidValueError, f"calendars[3].{where}", reason)


@pytest.mark.parametrize(
    "code", ["", "ie", "Ireland", "IE-", "-ENG", "GB-eng", "NYSE", "HolidayBase", "registry", "I€"]
)
def test_holidays_are_named_by_country_codes_and_nothing_else(code: str) -> None:
    """Names of the holiday package's own parts are no countries either."""
    with pytest.raises(KeyError):
        public_holidays(code, 2026)


def test_a_calendar_without_a_working_day_is_refused() -> None:
    assert refused(replace(SHOP, week_hours=(0.0,) * 7)) == (
        EmptyCalendarError, "calendars[3].week", 'the calendar "shop" has no working day',
    )  # fmt: skip


def test_a_calendar_of_openings_alone_is_accepted() -> None:
    check_calendar(replace(SHOP, week_hours=(0.0,) * 7, opened=((MONDAY, 8.0),)), "calendars[0]")
