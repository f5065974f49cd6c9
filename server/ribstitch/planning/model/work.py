"""Work on the airframe: calendars, zones, tasks, links, risks."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from ribstitch.planning.model.words import CheckKind, LagOn, Milestone, Relation, State


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
class Check:
    """What has to be settled before a task counts as done, and before the next may begin."""

    kind: CheckKind
    wants: str = ""
    """What is to be seen, measured or signed."""


@dataclass(frozen=True, slots=True)
class Origin:
    """What a task was drafted from."""

    job: str
    """A finding, one batch of it, or a standing job."""
    finding: str | None = None
    card: str | None = None
    step: int | None = None
    quantity: Decimal = Decimal(1)
    """Driver units of the card."""


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
    check: Check | None = None
    origin: Origin | None = None
    """None: somebody planned it by hand."""


@dataclass(frozen=True, slots=True)
class Link:
    """A precedence relation between two tasks."""

    before: str
    after: str
    relation: Relation = Relation.FINISH_START
    lag: int = 0
    """Negative is a lead. [ticks]"""
    lag_on: LagOn = LagOn.WORK


def link_key(before: str, after: str, relation: Relation = Relation.FINISH_START) -> str:
    """Return what a link is called, such as ``T010 > T020 FS``."""
    return f"{before} > {after} {relation.value}"


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
