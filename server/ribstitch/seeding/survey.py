"""The evaluation of a scenario, and what it is planned with: all that stands before a draft."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile import parse_plan, plan_document
from ribstitch.planning.model import (
    Authenticity,
    Finding,
    Plan,
    Project,
    Source,
    Treatment,
)
from ribstitch.planning.model.survey import HourRange
from ribstitch.seeding import library
from ribstitch.seeding.costing import budget_lines
from ribstitch.seeding.crew import HOLIDAYS, Crew, Person
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.plan_text import number, plan_text
from ribstitch.seeding.sending import vendor_calendars, vendors

Entry = dict[str, Any]
Texts = Mapping[str, str]

DOPE_CALENDAR = "dope-season"
"""Build coats: dope blushes in damp air, so they wait for the drier half of the year
(common practice, no source)."""

_AUTHENTICITY = {
    "o": Authenticity.ORIGINAL,
    "l": Authenticity.LATER_CHANGE,
    "u": Authenticity.UNKNOWN,
}
_BY = "Shop lead"


def survey_plan(texts: Texts, crew: Crew) -> Plan:
    """
    Return a plan that holds what was found and nothing of what is to be done.

    Raises
    ------
    PlanFileError
        If a row names what is not there, or a figure is none.
    """
    project = {row["key"]: row["value"] for row in rows(texts["project"])}
    start = date.fromisoformat(project["start"])
    surveyed = Plan(
        Project(start, start),
        zones=library.zones(project["airframe"], texts),
        kinds=library.send_out_kinds(texts),
        cards=library.method_cards(texts),
        standing_jobs=library.standing_jobs(project["airframe"], texts),
        findings=_findings(texts, start),
    )
    document: Entry = plan_document(surveyed) | {
        "project": project,
        "calendars": [*_crew_calendars(texts, crew), *vendor_calendars(texts)],
        "vendors": vendors(texts),
        "crew": crew.entries(),
        "places": [
            {"id": row["place"], "name": row["name"], "capacity": int(row["capacity"])}
            for row in rows(texts["places"])
        ],
        "budget": budget_lines(texts),
    }
    return parse_plan(plan_text(document).encode(), "the evaluation")


def _findings(texts: Texts, seen_on: date) -> tuple[Finding, ...]:
    """Return the lines of the evaluation, all of them decided."""
    patterns = {
        row["kind"]
        for row in rows(texts["send_out_kinds"])
        if "pattern back" in row["must_come_back"]
    }
    kinds = {row["send_out"]: row["kind"] for row in rows(texts["send_outs"])}
    return tuple(
        _finding(row, kinds.get(row["send_out"]), patterns, seen_on)
        for row in rows(texts["findings"])
    )


def _finding(
    row: Mapping[str, str], kind: str | None, patterns: set[str], seen_on: date
) -> Finding:
    """Return one line; what is made new after a pattern needs the pattern back."""
    own_hours, own_trade = _own_work(row["own_hours"])
    return Finding(
        id=row["finding"],
        seen=row["text"],
        zone=row["zone"],
        chapter=row["chapter"],
        title=row["title"],
        grade=int(row["grade"]),
        authenticity=_AUTHENTICITY[row["authenticity"]],
        treatment=Treatment(row["treatment"].replace("-", "_")),
        card=row["card"] or None,
        quantity=Decimal(row["qty"] or 1),
        own_hours=own_hours,
        own_trade=own_trade,
        send_out_kind=kind,
        send_out=row["send_out"] or None,
        source=Source.PATTERN if kind in patterns else Source.OVERHAUL,
        seen_on=seen_on,
        seen_by=_BY,
        decided_on=seen_on,
        decided_by=_BY,
    )


def _own_work(text: str) -> tuple[HourRange | None, str | None]:
    """Read hours and trade, such as ``3/5/8 metal``; blank is none."""
    if not text:
        return None, None
    hours, trade = text.split()
    low, likely, high = (Decimal(one) for one in hours.split("/"))
    return (low, likely, high), trade


def _crew_calendars(texts: Texts, crew: Crew) -> list[Entry]:
    """Return the shop's calendar, one for each person, and the dope season."""
    closures: dict[str, list[list[str]]] = {}
    for row in rows(texts["closures"]):
        closures.setdefault(row["who"], []).append([row["from"], row["to"]])
    shop = closures["shop"]
    base: Entry = {"holidays": HOLIDAYS, "closed": shop}
    calendars: list[Entry] = [{"id": "shop", "name": "Shop", **base}]
    for person in crew.people:
        if person.week:
            closed = sorted(shop + closures.get(person.id, []))
            calendars.append(_week(person, person.calendar, person.label, closed))
    fabric = crew.main("fabric")
    closed = sorted(shop + closures.get(fabric.id, []) + closures["dope"])
    calendars.append(_week(fabric, DOPE_CALENDAR, "Dope season", closed))
    return calendars


def _week(person: Person, calendar: str, name: str, closed: list[list[str]]) -> Entry:
    """Return a calendar with the hours of a person that reach this project."""
    return {
        "id": calendar,
        "name": name,
        "day_hours": number(person.day_hours * person.share),
        "week": [number(hours * person.share) for hours in person.week],
        "holidays": HOLIDAYS,
        "closed": closed,
    }
