"""Who works where, in which order, and how days are bought."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.planning.model.words import CrewLinkKind, ExpediteKind


@dataclass(frozen=True, slots=True)
class CrewLink:
    """
    A task that waits for another to give up people or a place: the order of the crew.

    It counts like a finish-start link for as long as the shop keeps to it.
    """

    before: str
    after: str
    kind: CrewLinkKind = CrewLinkKind.TRADE
    names: tuple[str, ...] = ()
    """The place; or the trade, with others where people have several."""
    units: int = 1
    """How many people (or how much room) go from the one to the other."""


@dataclass(frozen=True, slots=True)
class RateFrom:
    """What an hour costs from a date on."""

    on: date
    rate: Decimal


@dataclass(frozen=True, slots=True)
class Crew:
    """People of one trade."""

    trade: str
    people: int = 1
    calendar: str | None = None
    label: str = ""
    rate: Decimal | None = None
    """Cost of an hour of one person, in the project's currency."""
    rates: tuple[RateFrom, ...] = ()
    """Later rates, by date; `rate` holds before the first."""


@dataclass(frozen=True, slots=True)
class Place:
    """A bay, jig or booth."""

    id: str
    capacity: int = 1
    name: str = ""


@dataclass(frozen=True, slots=True)
class Expedite:
    """A way to have a task, or a leg of a send-out, done in fewer days for a price."""

    id: str
    gains: int
    """The most that it takes off. [ticks of the calendar of the task or leg]"""
    cost: Decimal
    """Of all of it; with `by_the_day`, of each day."""
    name: str = ""
    kind: ExpediteKind = ExpediteKind.OTHER
    currency: str | None = None
    """None: the project's currency."""
    task: str | None = None
    """The task that becomes shorter; or `send_out`."""
    send_out: str | None = None
    leg: str = "vendor_work"
    """Which leg of the send-out becomes shorter, as legs are called in output."""
    by_the_day: bool = False
    """Any whole number of days can be bought, up to `gains`; otherwise all or nothing."""
    taken: int = 0
    """What the plan has taken of it, and the durations contain. [ticks]"""
