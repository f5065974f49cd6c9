"""The plan in the trade's words: frozen dataclasses, no arithmetic.

Durations and lags are in ticks (1,440 to a working day of the calendar that is meant);
everything a person enters as a date is a `date`. Tuples keep the order of entry.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Relation(StrEnum):
    """How a link ties two activities."""

    FINISH_START = "FS"
    START_START = "SS"
    FINISH_FINISH = "FF"
    START_FINISH = "SF"


class LagOn(StrEnum):
    """Whether a lag counts the successor's working days or elapsed days."""

    WORK = "work"
    ELAPSED = "elapsed"


class State(StrEnum):
    """Where a task stands at the as-of date."""

    NOT_STARTED = "not_started"
    IN_WORK = "in_work"
    HELD = "held"
    DONE = "done"
    DROPPED = "dropped"


class Milestone(StrEnum):
    """Which event a task without duration marks."""

    START = "start"
    FINISH = "finish"


class OutOfSequence(StrEnum):
    """What work that began too early does about its unfinished predecessors."""

    WAIT = "wait"
    CARRY_ON = "carry_on"


class WorkShape(StrEnum):
    """How work is spread between low, likely and high."""

    PERT = "pert"
    TRIANGULAR = "triangular"


class CrewLinkKind(StrEnum):
    """What one task gives up to another."""

    TRADE = "trade"
    PLACE = "place"


class ExpediteKind(StrEnum):
    """How days are bought."""

    OVERTIME = "overtime"
    SECOND_SHIFT = "second_shift"
    FEE = "fee"
    """The vendor takes the item before others."""
    AIR_FREIGHT = "air_freight"
    EXCHANGE_UNIT = "exchange_unit"
    OTHER = "other"


class Source(StrEnum):
    """How an item comes back to the shop."""

    OVERHAUL = "overhaul"
    """It leaves and the same item comes back."""
    EXCHANGE = "exchange"
    """Another unit comes; the worn core follows later and must reach the vendor."""
    IN_HAND = "in_hand"
    """The part is on the shelf: at most it is accepted."""
    PATTERN = "pattern"
    """A pattern is lent out, a new part comes, and the pattern must come back."""


@dataclass(frozen=True, slots=True)
class Calendar:
    """
    When somebody works.

    `week_hours` runs Monday to Sunday; a date on which `day_hours` are worked counts
    1,440 ticks. `closed` ranges include both ends. `opened` dates override closures
    and holidays. An `elapsed` calendar works on every date.
    """

    id: str
    day_hours: float = 8.0
    week_hours: tuple[float, ...] = (8.0, 8.0, 8.0, 8.0, 8.0, 0.0, 0.0)
    holidays: str | None = None
    closed: tuple[tuple[date, date], ...] = ()
    opened: tuple[tuple[date, float], ...] = ()
    elapsed: bool = False
    name: str = ""


ELAPSED = Calendar(id="elapsed", elapsed=True, name="Elapsed time")
"""Curing, drying, transit, customs: works every date; exists without being declared."""


@dataclass(frozen=True, slots=True)
class Project:
    """One aircraft in restoration."""

    start: date
    as_of: date
    name: str = ""
    aircraft: str = ""
    serial: str = ""
    currency: str = "EUR"
    calendar: str = "shop"
    target_finish: date | None = None
    out_of_sequence: OutOfSequence = OutOfSequence.WAIT
    work_shape: WorkShape = WorkShape.PERT
    zone_spread: float = 0.15
    """How much all work of one zone runs over or under together: the standard deviation
    of a common factor's logarithm."""
    trade_spread: float = 0.2
    """Likewise for all work of one trade."""
    standing_per_month: Decimal | None = None
    """What a month costs even if nobody works, in the project's currency."""
    health_limits: tuple[tuple[str, float], ...] = ()
    """The shop's own limits of plan health, by check, in alphabetical order."""


@dataclass(frozen=True, slots=True)
class Zone:
    """A region of the airframe."""

    id: str
    name: str = ""
    hidden_work_percent: float = 0.0
    """Allowance for work not yet found: on average so much is added to the zone's work."""
    opened_by: str | None = None
    """The task whose end shows what is there; from then on there is no allowance."""


@dataclass(frozen=True, slots=True)
class TaskStatus:
    """What is known of a task at the as-of date."""

    state: State = State.NOT_STARTED
    started: date | None = None
    finished: date | None = None
    remaining: int | None = None
    """Work still to do. [ticks]"""
    held_reason: str = ""
    held_until: date | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work."""

    id: str
    duration: int
    """Planned work on the task's own calendar. [ticks]"""
    name: str = ""
    zone: str | None = None
    chapter: str | None = None
    calendar: str | None = None
    """None: the project's calendar."""
    duration_range: tuple[int, int, int] | None = None
    """Low, likely, high. [ticks]"""
    trade: str | None = None
    people: int = 1
    places: tuple[str, ...] = ()
    """Bays, jigs or booths that it takes from start to finish."""
    not_before: date | None = None
    deadline: date | None = None
    milestone: Milestone | None = None
    status: TaskStatus = field(default_factory=TaskStatus)
    why: str = ""
    """Why the task exists: the finding and the method card it comes from."""
    hazards: tuple[str, ...] = ()
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Link:
    """A precedence relation between two tasks."""

    before: str
    after: str
    relation: Relation = Relation.FINISH_START
    lag: int = 0
    """Negative is a lead. [ticks]"""
    lag_on: LagOn = LagOn.WORK


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
class PastJob:
    """One finished job of a vendor."""

    kind: str
    quoted_days: float
    actual_days: float
    ordered: date | None = None
    trips: int = 1
    """2 or more: the item was rejected and went back."""
    promised_days: float | None = None
    """From the order to the date last promised before the item came."""


@dataclass(frozen=True, slots=True)
class SendOutKind:
    """What the trade knows of one kind of work that is sent out."""

    id: str
    over_median: float
    """Actual over quoted time, in the middle case."""
    over_p90: float
    """Actual over quoted time that nine of ten jobs keep within."""
    name: str = ""
    rejected: float = 0.05
    """Share of items that are turned down on arrival and go back."""


@dataclass(frozen=True, slots=True)
class Vendor:
    """Who does send-outs."""

    id: str
    name: str = ""
    calendar: str | None = None
    """None: the project's calendar."""
    currency: str | None = None
    country: str = ""
    history: tuple[PastJob, ...] = ()


@dataclass(frozen=True, slots=True)
class SendOutStatus:
    """Actual dates of a send-out; each ends the leg that leads up to it."""

    shipped: date | None = None
    arrived: date | None = None
    quoted: date | None = None
    approved: date | None = None
    promised: date | None = None
    """The vendor's latest promise of when the item leaves the vendor."""
    left_vendor: date | None = None
    received: date | None = None
    accepted: date | None = None
    rejected: date | None = None
    """Received and turned down; another send-out with `trip_of` goes on from here."""
    returned: date | None = None
    """The lent pattern is back in the shop."""


@dataclass(frozen=True, slots=True)
class Contact:
    """One word with a vendor about a send-out."""

    on: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class SendOut:
    """
    An item that leaves for a vendor and comes back, leg by leg.

    All durations in ticks of the leg's calendar; zero leaves the leg out.
    """

    id: str
    vendor: str
    name: str = ""
    kind: str = ""
    source: Source = Source.OVERHAUL
    after: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    trip_of: str | None = None
    """The rejected send-out whose item goes out again."""
    prepare: int = 0
    ship_out: int = 0
    customs_out: int = 0
    intake: int = 0
    approval: int = 0
    lead: int = 0
    ship_back: int = 0
    customs_back: int = 0
    accept: int = 0
    return_leg: int = 0
    """A lent pattern's way back; nothing in the shop waits for it."""
    status: SendOutStatus = field(default_factory=SendOutStatus)
    contacts: tuple[Contact, ...] = ()
    dropped: bool = False
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Crew:
    """People of one trade."""

    trade: str
    people: int = 1
    calendar: str | None = None
    label: str = ""
    rate: Decimal | None = None
    """Cost of an hour of one person, in the project's currency."""


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


@dataclass(frozen=True, slots=True)
class Risk:
    """Something that may happen."""

    id: str
    name: str = ""
    task: str | None = None
    """The task that takes longer if it happens; or `send_out`."""
    send_out: str | None = None
    """The send-out whose vendor's work takes longer."""
    probability: float = 0.0
    impact: int = 0
    """Extra work if it happens. [ticks of the task's or the vendor's calendar]"""
    impact_range: tuple[int, int, int] | None = None
    """Low, likely, high of the extra work. [ticks]"""
    impact_note: str = ""
    closed: bool = False
    """It has happened (and the plan says so) or can no longer happen."""


@dataclass(frozen=True, slots=True)
class Cost:
    """One cost line."""

    id: str
    amount: Decimal
    currency: str
    name: str = ""
    kind: str = "other"
    state: str = "estimate"
    on: date | None = None
    chapter: str | None = None
    task: str | None = None
    send_out: str | None = None


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """Approved money of one chapter."""

    chapter: str
    amount: Decimal
    currency: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class ExchangeRate:
    """What one unit of a currency is worth in the project's currency from a date on."""

    currency: str
    on: date
    rate: Decimal


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that is planned for one aircraft."""

    project: Project
    calendars: tuple[Calendar, ...] = ()
    zones: tuple[Zone, ...] = ()
    tasks: tuple[Task, ...] = ()
    links: tuple[Link, ...] = ()
    kinds: tuple[SendOutKind, ...] = ()
    vendors: tuple[Vendor, ...] = ()
    send_outs: tuple[SendOut, ...] = ()
    crew: tuple[Crew, ...] = ()
    places: tuple[Place, ...] = ()
    crew_links: tuple[CrewLink, ...] = ()
    expedites: tuple[Expedite, ...] = ()
    risks: tuple[Risk, ...] = ()
    costs: tuple[Cost, ...] = ()
    budget: tuple[BudgetLine, ...] = ()
    exchange_rates: tuple[ExchangeRate, ...] = ()

    def calendar_of_task(self, task: Task) -> str:
        """Return the id of the calendar on which a task is worked."""
        return task.calendar or self.project.calendar

    def calendar_of_vendor(self, vendor_id: str) -> str:
        """Return the id of a vendor's calendar."""
        vendor = next(one for one in self.vendors if one.id == vendor_id)
        return vendor.calendar or self.project.calendar
