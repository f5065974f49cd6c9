"""Calendars, crew, places."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.alike import part_of, thing_from
from ribstitch.planfile.convert import (
    calendar_document,
    calendar_from,
)
from ribstitch.planfile.document import CalendarDocument, CrewDocument, PlaceDocument
from ribstitch.planning.model import Calendar, Crew, Place, RateFrom
from ribstitch.store.kinds.kind import Kind
from ribstitch.store.tables import CalendarRow, CrewRow, PlaceRow


def _calendar(
    key: str,
    name: str,
    elapsed: bool,
    day_hours: float,
    week_hours: list[float],
    holidays: str | None,
    closed: list[list[str]],
    opened: list[tuple[str, float]],
) -> Calendar:
    return Calendar(
        id=key,
        day_hours=day_hours,
        week_hours=tuple(week_hours),
        holidays=holidays,
        closed=tuple((date.fromisoformat(a), date.fromisoformat(b)) for a, b in closed),
        opened=tuple((date.fromisoformat(day), hours) for day, hours in opened),
        elapsed=elapsed,
        name=name,
    )


def _calendar_values(calendar: Calendar) -> dict[str, Any]:
    return {
        "name": calendar.name,
        "elapsed": calendar.elapsed,
        "day_hours": calendar.day_hours,
        "week_hours": list(calendar.week_hours),
        "holidays": calendar.holidays,
        "closed": [[a.isoformat(), b.isoformat()] for a, b in calendar.closed],
        "opened": [[day.isoformat(), hours] for day, hours in calendar.opened],
    }


def _crew(
    key: str,  # noqa: ARG001
    trade: str,
    people: int,
    calendar: str | None,
    label: str,
    rate: Decimal | None,
    rates: list[tuple[str, str]] | None,
) -> Crew:
    later = tuple(RateFrom(date.fromisoformat(on), Decimal(value)) for on, value in rates or ())
    return Crew(trade, people, calendar, label, rate, later)


def _crew_values(crew: Crew) -> dict[str, Any]:
    return {
        "trade": crew.trade,
        "people": crew.people,
        "calendar": crew.calendar,
        "label": crew.label,
        "rate": crew.rate,
        "rates": [[one.on.isoformat(), str(one.rate)] for one in crew.rates] or None,
    }


def _place(key: str, capacity: int, name: str) -> Place:
    return Place(key, capacity, name)


def _place_values(place: Place) -> dict[str, Any]:
    return {"capacity": place.capacity, "name": place.name}


CALENDAR = Kind(
    name="calendar",
    plan_field="calendars",
    row=CalendarRow,
    key_of=lambda calendar: calendar.id,
    build=_calendar,
    values=_calendar_values,
    part=CalendarDocument,
    to_part=calendar_document,
    from_part=calendar_from,
)
CREW = Kind(
    name="crew",
    plan_field="crew",
    row=CrewRow,
    key_of=lambda crew: crew.trade,
    build=_crew,
    values=_crew_values,
    part=CrewDocument,
    to_part=part_of,
    from_part=thing_from,
)
PLACE = Kind(
    name="place",
    plan_field="places",
    row=PlaceRow,
    key_of=lambda place: place.id,
    build=_place,
    values=_place_values,
    part=PlaceDocument,
    to_part=part_of,
    from_part=thing_from,
)
