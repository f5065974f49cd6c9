"""The only place that asks the machine what time it is.

Whatever needs the time is given a `Clock`, so that a test (or a demo that stands still)
can give it another one.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta


class Clock:
    """The machine's clock."""

    def now_utc(self) -> datetime:
        """Return this instant, aware, in UTC."""
        return datetime.now(UTC)


class StoppedClock(Clock):
    """A clock that stands still until it is moved."""

    def __init__(self, at: datetime) -> None:
        if at.tzinfo is None:
            raise ValueError(f"{at} has no time zone")
        self._at = at.astimezone(UTC)

    def now_utc(self) -> datetime:
        """Return the instant at which the clock stands."""
        return self._at

    def move(self, by: timedelta) -> None:
        """Move the clock by `by`, back where that is negative."""
        self._at += by
