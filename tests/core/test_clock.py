"""The clock: instants in UTC, and a clock that stands still."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from ribstitch.clock import Clock, StoppedClock

NEARLY_MIDNIGHT = datetime(2026, 6, 30, 23, 30, tzinfo=UTC)


def test_stopped_clock_stands_until_it_is_moved() -> None:
    clock = StoppedClock(NEARLY_MIDNIGHT)
    assert clock.now_utc() == NEARLY_MIDNIGHT
    clock.move(timedelta(hours=1))
    assert clock.now_utc() == NEARLY_MIDNIGHT + timedelta(hours=1)


def test_time_without_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        StoppedClock(NEARLY_MIDNIGHT.replace(tzinfo=None))


def test_machine_clock_is_aware_and_goes_forward() -> None:
    clock = Clock()
    first = clock.now_utc()
    assert first.utcoffset() == timedelta(0)
    assert clock.now_utc() >= first
