"""The clock: what date it is depends on where the shop stands."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfoNotFoundError

import pytest

from ribstitch.clock import Clock, StoppedClock

NEARLY_MIDNIGHT = datetime(2026, 6, 30, 23, 30, tzinfo=UTC)


def test_stopped_clock_stands_until_it_is_moved() -> None:
    clock = StoppedClock(NEARLY_MIDNIGHT)
    assert clock.now_utc() == NEARLY_MIDNIGHT
    clock.move(timedelta(hours=1))
    assert clock.now_utc() == NEARLY_MIDNIGHT + timedelta(hours=1)


def test_date_is_that_of_the_shop() -> None:
    clock = StoppedClock(NEARLY_MIDNIGHT)
    assert clock.today() == date(2026, 6, 30)
    assert clock.today("Europe/Dublin") == date(2026, 7, 1)
    assert clock.today("America/Los_Angeles") == date(2026, 6, 30)


def test_unknown_time_zone_is_refused() -> None:
    with pytest.raises(ZoneInfoNotFoundError, match="Atlantis"):
        StoppedClock(NEARLY_MIDNIGHT).today("Ocean/Atlantis")


def test_time_without_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        StoppedClock(NEARLY_MIDNIGHT.replace(tzinfo=None))


def test_machine_clock_is_aware_and_goes_forward() -> None:
    clock = Clock()
    first = clock.now_utc()
    assert first.utcoffset() == timedelta(0)
    assert clock.now_utc() >= first
