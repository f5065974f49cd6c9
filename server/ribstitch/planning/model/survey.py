"""What the walk-round found, how it is to be treated, and what proves that it was done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.planning.model.words import (
    Authenticity,
    CheckKind,
    EvidenceRung,
    Source,
    Treatment,
)

HourRange = tuple[Decimal, Decimal, Decimal]
"""Low, likely and high hours."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One line of the evaluation: where, what was seen, how bad, and what is decided."""

    id: str
    seen: str
    """What was seen, in the finder's words."""
    zone: str | None = None
    chapter: str | None = None
    title: str = ""
    """A short name of the work that it leads to."""
    grade: int = 0
    """Condition: 0 not seen, 1 sound, 2 worn, 3 repairable, 4 beyond limits, 5 missing or wrong."""
    authenticity: Authenticity = Authenticity.UNKNOWN
    rung: EvidenceRung | None = None
    """What the decision rests on."""
    treatment: Treatment | None = None
    """None: not decided yet."""
    card: str | None = None
    """The method card that carries the treatment out; None: `own_hours`, or no work."""
    quantity: Decimal = Decimal(1)
    """In the card's driver unit."""
    own_hours: HourRange | None = None
    """Person-hours where no card fits."""
    own_trade: str | None = None
    send_out_kind: str | None = None
    """The item leaves the shop for work of this kind."""
    send_out: str | None = None
    """Several findings can leave in one crate: the id of their send-out."""
    source: Source = Source.OVERHAUL
    """How the item that leaves comes back."""
    seen_on: date | None = None
    seen_by: str = ""
    decided_on: date | None = None
    decided_by: str = ""
    measurements: str = ""
    kept_at: str = ""
    """Where the removed part or later work is kept; empty: it is not kept."""
    labelled: bool = False
    """What is kept bears a label."""
    notes: str = ""
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class StandingJob:
    """Work by a method card that the aircraft needs whatever is found, such as weighing."""

    id: str
    card: str
    title: str = ""
    zone: str | None = None
    chapter: str | None = None
    quantity: Decimal = Decimal(1)
    """In the card's driver unit."""


@dataclass(frozen=True, slots=True)
class StepPlace:
    """A place that a step of a card takes from start to finish."""

    place: str
    zones: tuple[str, ...] = ()
    """Only there; empty: in every zone."""


@dataclass(frozen=True, slots=True)
class CardStep:
    """One step of a method card."""

    number: int
    name: str
    hours: HourRange
    """Person-hours for each driver unit; without a trade, hours on the clock, once."""
    trade: str | None = None
    """None: it only takes time, as curing does."""
    people: int = 1
    after: tuple[int, ...] = ()
    """Steps of the same card; empty: what comes before the card."""
    check: CheckKind | None = None
    places: tuple[StepPlace, ...] = ()
    calendar: str | None = None
    """A season of its own; None: the calendar of its trade."""


@dataclass(frozen=True, slots=True)
class StepOrder:
    """A card that is worked inside another: its step waits for one step of the other."""

    card: str
    step: int
    before: int
    """Which step of this card waits."""


@dataclass(frozen=True, slots=True)
class CardRisk:
    """What may happen on a card, and what it adds."""

    event: str
    probability: float
    """Of each driver unit with `each_unit`, else of each job."""
    step: int | None = None
    """The step that takes longer; None: the send-out."""
    each_unit: bool = False
    hours: HourRange | None = None
    """Person-hours of the step's trade."""
    weeks: HourRange | None = None
    """Weeks of the shop or of the vendor."""
    percent: Decimal = Decimal(0)
    """Of the job's hours."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class MethodCard:
    """A reusable, ordered set of steps that carries out one treatment on one kind of thing."""

    id: str
    name: str
    driver: str
    """The unit that hours are given for; `aircraft`: done once, for the whole of it."""
    steps: tuple[CardStep, ...]
    after_cards: tuple[str, ...] = ()
    """Cards that come first: in the same zone, or everywhere where this one is `aircraft`."""
    inside: tuple[StepOrder, ...] = ()
    """Step by step, in place of the whole of a card in `after_cards`."""
    one_by_one: bool = False
    """Each unit is a job of its own, as plating goes out in batches."""
    leaves_after: int | None = None
    """The step after which an item leaves the shop."""
    back_before: int | None = None
    """The step that waits until it is back."""
    hazards: tuple[str, ...] = ()
    evidence: str = ""
    """What its checks want to see."""
    material: str = ""
    """Class of the cost of materials for each unit, A to E."""
    risk: CardRisk | None = None
    sources: str = ""
    from_memory: bool = True
    """Hours are placeholders until the shop has put in its own."""
    retired: bool = False
    """No longer offered; what was planned by it stays."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """A photo or a document: a file that is kept beside the database under its own digest."""

    id: str
    sha256: str
    media_type: str
    size: int
    """[bytes]"""
    added_on: date
    name: str = ""
    """As the file was called."""
    caption: str = ""
    taken_on: date | None = None
    by: str = ""
    zone: str | None = None
    finding: str | None = None
    task: str | None = None
    send_out: str | None = None
    over_and_above: str | None = None


@dataclass(frozen=True, slots=True)
class SignOff:
    """What a named person says to have seen, tested, accepted or signed."""

    id: str
    on: date
    by: str
    task: str | None = None
    """Whose check it settles; or `record`."""
    record: str | None = None
    """Which of the records that licensed people must settle before flight."""
    licence: str = ""
    """Number and scope, as that person gives them."""
    statement: str = ""
    evidence: tuple[str, ...] = ()
    override: str = ""
    """Why the check is passed over without what it wants; empty: it is not."""
    kind: CheckKind | None = None
    """Of the task's check when it was signed."""
    reopens: bool = False
    """It takes back what was signed before: the check, or the record, is open again."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What the planner drafted last of one kind of thing, so that later edits can be told."""

    id: str
    """Which kind of thing: `task`, `link`, `zone`, ..."""
    marks: tuple[tuple[str, str], ...] = ()
    """Key of each thing, and a digest of it as it was drafted."""
