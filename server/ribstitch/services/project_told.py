"""What is told of a project that begins, and whether it makes sense."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import Calendar, Place, Project
from ribstitch.seeding import library
from ribstitch.services.record_rules import rule_books

OPENING, BALANCING = "M05", "M29"
"""Cards of the standing jobs that a shop chooses: bays to open up, surfaces to balance."""
MOST_BAYS = 50


@dataclass(frozen=True, slots=True)
class ZoneToOpen:
    """A zone, and how many bays of it are opened up."""

    id: str
    name: str
    bays: int = 0


@dataclass(frozen=True, slots=True)
class Surface:
    """A control surface that is balanced: the id of its standing job, its name and its zone."""

    id: str
    name: str
    zone: str


@dataclass(frozen=True, slots=True)
class CrewLine:
    """People who do the same trades on the same days."""

    label: str
    trades: tuple[str, ...]
    people: int
    hours: tuple[float, ...]
    """Of each of them that reach this aircraft, Monday to Sunday."""
    rate: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Share:
    """What of the budget is agreed for a chapter."""

    chapter: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class NewProject:
    """What is told of a project that begins."""

    project: Project
    zones: tuple[ZoneToOpen, ...]
    surfaces: tuple[Surface, ...]
    calendar: Calendar
    crew: tuple[CrewLine, ...]
    places: tuple[Place, ...]
    budget: Decimal | None = None
    """All together; None: what the chapters come to."""
    shares: tuple[Share, ...] = ()
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    """Of the trades, for whoever has no rate of their own. [an hour]"""
    cards_of: int | None = None
    """The project whose method cards are copied; None: those that are shipped."""


def check_told(told: NewProject) -> None:
    """
    Check what is told of a project that begins.

    Raises
    ------
    InvalidValueError, UnknownReferenceError
        `where` is the key path of the first fault, in the terms of `NewProject`.
    """
    project = told.project
    if not project.name.strip():
        raise InvalidValueError("name", "a project needs a name", project.name)
    known = library.airframes()
    if project.airframe not in known:
        raise InvalidValueError(
            "airframe", f'"{project.airframe}" is not one of {", ".join(known)}', project.airframe
        )
    books = [book.id for book in rule_books()]
    if project.rule_book not in books:
        raise InvalidValueError(
            "rule_book",
            f'"{project.rule_book}" is not one of {", ".join(books)}',
            project.rule_book,
        )
    if project.target_finish is not None and project.target_finish <= project.start:
        raise InvalidValueError(
            "target_finish",
            f"{project.target_finish} is not after the start on {project.start}",
            project.target_finish,
        )
    _check_amount(project.standing_per_month, "standing_per_month")
    _check_budget(told)
    _check_zones(told)
    _check_crew(told.crew)
    trades = {trade for line in told.crew for trade in line.trades}
    for trade, rate in told.rates.items():
        if trade not in trades:
            raise UnknownReferenceError(f"rates.{trade}", "trade", trade)
        _check_amount(rate, f"rates.{trade}")


def _check_budget(told: NewProject) -> None:
    """Check that the chapters share out no more than the budget, each once."""
    _check_amount(told.budget, "budget")
    known: set[str] = set()
    for number, share in enumerate(told.shares):
        where = f"shares[{number}]"
        if share.chapter in known:
            raise InvalidValueError(
                f"{where}.chapter", f"chapter {share.chapter} has a share already", share.chapter
            )
        known.add(share.chapter)
        _check_amount(share.amount, f"{where}.amount")
    together = sum(share.amount for share in told.shares)
    if told.budget is not None and together > told.budget:
        raise InvalidValueError(
            "budget",
            f"the chapters come to {together:f}, which is more than the budget of {told.budget:f}",
            told.budget,
        )


def _check_zones(told: NewProject) -> None:
    """Check zones, bays and surfaces."""
    needed = {
        str(job.zone)
        for job in library.standing_jobs(told.project.airframe)
        if job.card not in (OPENING, BALANCING)
    }
    zones = {zone.id for zone in told.zones}
    for zone in sorted(needed - zones):
        raise UnknownReferenceError("zones", "zone", zone)
    for number, one in enumerate(told.zones):
        where = f"zones[{number}]"
        if not one.name.strip():
            raise InvalidValueError(f"{where}.name", f'the zone "{one.id}" needs a name', one.name)
        if not 0 <= one.bays <= MOST_BAYS:
            raise InvalidValueError(
                f"{where}.bays", f"{one.bays} bays are not between 0 and {MOST_BAYS}", one.bays
            )
    for number, surface in enumerate(told.surfaces):
        where = f"surfaces[{number}]"
        if surface.zone not in zones:
            raise UnknownReferenceError(f"{where}.zone", "zone", surface.zone)
        if not surface.name.strip():
            raise InvalidValueError(f"{where}.name", "a surface needs a name", surface.name)


def _check_crew(crew: Sequence[CrewLine]) -> None:
    """Check who is there, and when."""
    labels: set[str] = set()
    for number, line in enumerate(crew):
        where = f"crew[{number}]"
        label = line.label.strip()
        if not label:
            raise InvalidValueError(f"{where}.label", "people need a label", line.label)
        if label in labels:
            raise InvalidValueError(f"{where}.label", f'"{label}" is there already', label)
        labels.add(label)
        if not line.trades or len(set(line.trades)) < len(line.trades):
            raise InvalidValueError(
                f"{where}.trades", f'"{label}" needs a trade, and each only once', line.trades
            )
        if line.people < 1:
            raise InvalidValueError(
                f"{where}.people", f"{line.people} people are fewer than one", line.people
            )
        if len(line.hours) != 7 or not all(0 <= hours <= 24 for hours in line.hours):
            raise InvalidValueError(
                f"{where}.hours", f'"{label}" needs hours of seven days, 0 to 24 each', line.hours
            )
        if not any(line.hours):
            raise InvalidValueError(f"{where}.hours", f'"{label}" is there on no day', line.hours)
        _check_amount(line.rate, f"{where}.rate")


def _check_amount(amount: Decimal | None, where: str) -> None:
    """Refuse money below zero."""
    if amount is not None and amount < 0:
        raise InvalidValueError(where, f"{amount:f} is less than nothing", amount)
