"""Integer time: dates, instants, days and ticks."""

from __future__ import annotations

from datetime import date

import pytest

from ribstitch.planning.ticks import (
    TICKS_PER_DAY,
    date_at,
    date_before,
    days_from_ticks,
    end_of,
    start_of,
    ticks_from_days,
)

FRIDAY = date(2026, 1, 9)


def test_an_instant_is_1440_times_the_ordinal_and_an_offset() -> None:
    assert start_of(date(1, 1, 1)) == TICKS_PER_DAY == 1440
    assert start_of(FRIDAY) == 1440 * FRIDAY.toordinal()


def test_the_end_of_a_date_is_the_start_of_the_next() -> None:
    assert end_of(FRIDAY) == start_of(date(2026, 1, 10))


def test_an_instant_between_two_dates_belongs_to_the_one_that_asks() -> None:
    assert date_at(end_of(FRIDAY)) == date(2026, 1, 10)
    assert date_before(end_of(FRIDAY)) == FRIDAY


@pytest.mark.parametrize(("days", "ticks"), [(0, 0), (1, 1440), (0.125, 180), (2.5, 3600)])
def test_days_convert_to_ticks_and_back(days: float, ticks: int) -> None:
    assert ticks_from_days(days) == ticks
    assert days_from_ticks(ticks) == days


def test_whole_days_come_back_as_whole_numbers() -> None:
    assert isinstance(days_from_ticks(4320), int)


@pytest.mark.parametrize("days", [0.1, 1 / 3, 0.0625, float("nan"), float("inf"), -float("inf")])
def test_days_that_are_no_eighths_are_refused(days: float) -> None:
    with pytest.raises(ValueError, match="is not a whole number of eighths of a day"):
        ticks_from_days(days)
