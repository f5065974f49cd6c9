"""A calendar as text (RFC 5545), by way of a library that folds and escapes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime, timedelta

from ribstitch.services.feed.dates import KeptDate

MEDIA_TYPE = "text/calendar; charset=utf-8"
_CONTROL = re.compile(r"[\x00-\x1f\x7f]+")
"""What no text of a calendar can hold, and the ends of lines."""
_ASK_AGAIN = timedelta(hours=6)


def ics_text(
    name: str, domain: str, dates: Iterable[KeptDate], changed_at: datetime, version: int
) -> bytes:
    """
    Write dates as a calendar of whole days that keep nobody's time.

    Parameters
    ----------
    name
        What the calendar is called.
    domain
        Names the calendar, and with its key each entry, among all there are.
    dates
        The entries.
    changed_at
        When the plan was last changed, in UTC.
    version
        How often it was.
    """
    from icalendar import Calendar, Event

    calendar = Calendar.new(
        prodid="-//Ribstitch//Ribstitch//EN", uid=domain, last_modified=changed_at
    )
    calendar.add("name", _one_line(name))
    calendar.add("refresh-interval", _ASK_AGAIN, parameters={"VALUE": "DURATION"})
    for one in dates:
        event = Event.new(
            uid=f"{_one_line(one.key)}@{domain}",
            summary=_one_line(one.summary),
            description=_one_line(one.note) or None,
            start=one.first,
            end=one.last + timedelta(days=1),
            stamp=changed_at,
            last_modified=changed_at,
            sequence=version,
        )
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _one_line(text: str) -> str:
    """Return a text without ends of lines and other control characters."""
    return _CONTROL.sub(" ", text)
