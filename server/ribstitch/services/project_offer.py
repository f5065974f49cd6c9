"""What a project can begin with: kinds of aircraft, rule books, a usual crew."""

from __future__ import annotations

from dataclasses import dataclass

from ribstitch.money.currencies import DIGITS
from ribstitch.planning.model import Calendar, Place
from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows
from ribstitch.services.project_told import (
    BALANCING,
    OPENING,
    CrewLine,
    Surface,
    ZoneToOpen,
)
from ribstitch.services.record_rules import RuleBook, rule_books
from ribstitch.store import Store


@dataclass(frozen=True, slots=True)
class KindOffered:
    """A kind of aircraft, with what it usually has."""

    airframe: str
    zones: tuple[ZoneToOpen, ...]
    surfaces: tuple[Surface, ...]
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class ChapterOffered:
    """A chapter that a budget can be shared out to."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class OtherProject:
    """A project whose method cards can be copied."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Offered:
    """What can be chosen, and what stands there until somebody changes it."""

    kinds: tuple[KindOffered, ...]
    rule_books: tuple[RuleBook, ...]
    chapters: tuple[ChapterOffered, ...]
    currencies: tuple[str, ...]
    countries: tuple[str, ...]
    """Codes of the countries whose public holidays are known."""
    crew: tuple[CrewLine, ...]
    """Invented; what a shop puts its own people in place of."""
    week: tuple[float, ...]
    projects: tuple[OtherProject, ...]


def offered(store: Store) -> Offered:
    """
    Return what a project can begin with.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    import holidays  # takes long, and only this needs all of them

    with store.reading() as reading:
        projects = reading.projects()
    return Offered(
        kinds=tuple(kind_offered(airframe) for airframe in library.airframes()),
        rule_books=rule_books(),
        chapters=tuple(ChapterOffered(one.number, one.title) for one in library.chapters()),
        currencies=tuple(sorted(DIGITS)),
        countries=tuple(sorted(filter(_is_short, holidays.list_supported_countries()))),
        crew=_usual_crew(),
        week=Calendar("").week_hours,
        projects=tuple(OtherProject(one.id, one.project.name) for one in projects),
    )


def kind_offered(airframe: str) -> KindOffered:
    """Return what a kind of aircraft usually has."""
    jobs = library.standing_jobs(airframe)
    bays = {job.zone: int(job.quantity) for job in jobs if job.card == OPENING}
    zones = (
        ZoneToOpen(zone.id, zone.name, bays.get(zone.id, 0)) for zone in library.zones(airframe)
    )
    surfaces = (Surface(job.id, job.title, job.zone or "") for job in jobs if job.card == BALANCING)
    places = (
        Place(row["place"], name=row["name"])
        for row in rows(library.shipped()["starting_places"])
        if row["airframe"] == airframe
    )
    return KindOffered(airframe, tuple(zones), tuple(surfaces), tuple(places))


def _is_short(code: str) -> bool:
    """Whether a country is given by its code of two letters (ISO 3166-1); others come twice."""
    return len(code) == 2


def _usual_crew() -> tuple[CrewLine, ...]:
    """Return a small invented crew with every trade that the method cards ask for."""
    return tuple(
        CrewLine(
            row["label"],
            tuple(row["trades"].split()),
            int(row["people"]),
            tuple(float(hours) for hours in row["hours_mon_to_sun"].split()),
        )
        for row in rows(library.shipped()["starting_crew"])
    )
