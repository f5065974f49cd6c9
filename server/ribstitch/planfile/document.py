"""The shape of a plan file, ``ribstitch-plan/1``: what may stand where.

These models check types, required keys and unknown keys; whether the plan makes sense
is for `ribstitch.planning.checks`. Durations are in days here and in ticks there.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationInfo

from ribstitch.money.currencies import DIGITS
from ribstitch.planning.check_values import LONGEST_ID, LONGEST_NAME
from ribstitch.planning.checks import LONGEST, LONGEST_YEARS
from ribstitch.planning.model import (
    Authenticity,
    CheckKind,
    CrewLinkKind,
    Decision,
    DueAt,
    EarningRule,
    EvidenceRung,
    ExpediteKind,
    LagOn,
    Milestone,
    OutOfSequence,
    Relation,
    Source,
    State,
    Treatment,
    WorkShape,
)
from ribstitch.planning.ticks import days_from_ticks, ticks_from_days

LONGEST_DAYS = days_from_ticks(LONGEST)


def _in_eighths(days: float) -> float:
    """Refuse a duration finer than an eighth of a day, or too long to be one."""
    if abs(days) > LONGEST_DAYS:
        raise ValueError(f"{days:g} days is more than {LONGEST_YEARS} years")
    ticks_from_days(days)
    return days


def _is_current(code: str, info: ValidationInfo) -> str:
    """
    Refuse a code of three capitals that stands for no current currency.

    Only what is read is refused: a plan that was stored before shows what it holds.
    """
    if info.mode == "json" and code not in DIGITS:
        raise ValueError(f'"{code}" is no current currency of ISO 4217')
    return code


Days = Annotated[
    float,
    Field(allow_inf_nan=False, description="Working days, to an eighth"),
    AfterValidator(_in_eighths),
]
DaysRange = tuple[Days, Days, Days]
"""Low, likely, high."""
Hours = Annotated[float, Field(allow_inf_nan=False, description="Hours")]
JobDays = Annotated[float, Field(allow_inf_nan=False, ge=0, le=LONGEST_DAYS)]
Number = Annotated[float, Field(allow_inf_nan=False)]
NO_NUL = r"^[^\x00]*$"
"""Text that every database can keep."""
ONE_LINE = r"^[^\x00-\x1f\x7f]*$"
"""Text that can stand in an address and in a sentence."""
CURRENCY = r"^[A-Z]{3}$"
SHA_256 = r"^[0-9a-f]{64}$"
Id = Annotated[str, Field(min_length=1, max_length=LONGEST_ID, pattern=ONE_LINE)]
Name = Annotated[str, Field(max_length=LONGEST_NAME, pattern=NO_NUL)]
Text = Annotated[str, Field(max_length=10_000, pattern=NO_NUL)]
People = Annotated[int, Field(le=1_000)]
Currency = Annotated[
    str,
    Field(pattern=CURRENCY, description="ISO 4217 code of a current currency"),
    AfterValidator(_is_current),
]
Money = Annotated[
    Decimal,
    Field(allow_inf_nan=False, max_digits=20, decimal_places=6, description="Decimal string"),
]
"""So short that sums of it are exact within the 28 digits that a Decimal adds with."""
StepNumber = Annotated[int, Field(ge=1, le=999, description="Step of a method card")]
HourRange = tuple[Money, Money, Money]
"""Low, likely, high."""


class Document(BaseModel):
    """Base of all parts of a plan file: strict types, no unknown keys."""

    model_config = ConfigDict(extra="forbid", strict=True)


class ProjectDocument(Document):
    """One aircraft in restoration."""

    name: Name = ""
    aircraft: Name = ""
    serial: Name = ""
    start: date
    as_of: date | None = None
    currency: Currency = "EUR"
    calendar: Id | None = None
    target_finish: date | None = None
    out_of_sequence: OutOfSequence = OutOfSequence.WAIT
    work_shape: WorkShape = WorkShape.PERT
    zone_spread: Number = 0.15
    trade_spread: Number = 0.2
    standing_per_month: Money | None = None
    balance: Money | None = None
    balance_on: date | None = None
    health_limits: dict[Id, Number] = {}
    airframe: Name = ""
    restored_to: Name = ""
    rule_book: Name = ""


class OpeningDocument(Document):
    """One extra date on which a calendar works."""

    date: date
    hours: Hours


class CalendarDocument(Document):
    """When somebody works."""

    id: Id
    name: Name = ""
    elapsed: bool = False
    day_hours: Hours = 8
    week: list[Hours] = [8, 8, 8, 8, 8, 0, 0]
    holidays: Annotated[str, Field(max_length=20)] | None = None
    closed: list[tuple[date, date]] = []
    open: list[OpeningDocument] = []


class ZoneDocument(Document):
    """A region of the airframe."""

    id: Id
    name: Name = ""
    hidden_work_percent: Number = 0
    opened_by: Id | None = None


class StatusDocument(Document):
    """Where a task stands at the as-of date."""

    state: State = State.NOT_STARTED
    started: date | None = None
    finished: date | None = None
    remaining_days: Days | None = None
    held_reason: Text = ""
    held_until: date | None = None


class CheckDocument(Document):
    """What has to be settled before a task counts as done."""

    kind: CheckKind
    wants: Text = ""


class OriginDocument(Document):
    """What a task was drafted from."""

    job: Id
    finding: Id | None = None
    card: Id | None = None
    step: StepNumber | None = None
    quantity: Money = Decimal(1)


class TaskDocument(Document):
    """One piece of work."""

    id: Id
    name: Name = ""
    zone: Id | None = None
    chapter: Id | None = None
    calendar: Id | None = None
    days: Days | None = None
    days_range: DaysRange | None = None
    trade: Id | None = None
    people: People = 1
    places: list[Id] = []
    not_before: date | None = None
    deadline: date | None = None
    milestone: Milestone | None = None
    status: StatusDocument = StatusDocument()
    why: Text = ""
    hazards: list[Id] = []
    notes: Text = ""
    check: CheckDocument | None = None
    origin: OriginDocument | None = None


class LinkDocument(Document):
    """A precedence relation between two tasks."""

    before: Id = Field(alias="from")
    after: Id = Field(alias="to")
    type: Relation = Relation.FINISH_START
    lag_days: Days = 0
    lag_on: LagOn = LagOn.WORK


class SendOutKindDocument(Document):
    """What the trade knows of one kind of send-out."""

    id: Id
    name: Name = ""
    over_median: Number
    over_p90: Number
    rejected: Number = 0.05
    growth_median: Number | None = None
    growth_p90: Number | None = None
    quoted_days: JobDays | None = None


class PastJobDocument(Document):
    """One finished job of a vendor."""

    kind: Id
    quoted_days: JobDays
    actual_days: JobDays
    ordered: date | None = None
    trips: Annotated[int, Field(le=100)] = 1
    promised_days: JobDays | None = None
    quoted_price: Money | None = None
    final_price: Money | None = None


class VendorDocument(Document):
    """Who does send-outs."""

    id: Id
    name: Name = ""
    country: Name = ""
    calendar: Id | None = None
    currency: Currency | None = None
    kinds: list[Id] = []
    history: list[PastJobDocument] = []


class SendOutStatusDocument(Document):
    """Actual dates of a send-out, and the latest promise."""

    shipped: date | None = None
    arrived: date | None = None
    quoted: date | None = None
    approved: date | None = None
    promised: date | None = None
    left_vendor: date | None = None
    received: date | None = None
    accepted: date | None = None
    rejected: date | None = None
    returned: date | None = None


class ContactDocument(Document):
    """One word with a vendor."""

    on: date
    note: Text = ""


class SendOutDocument(Document):
    """An item that leaves for a vendor and comes back."""

    id: Id
    name: Name = ""
    kind: Name = ""
    source: Source = Source.OVERHAUL
    vendor: Id
    after: list[Id] = []
    before: list[Id] = []
    trip_of: Id | None = None
    prepare_days: Days = 0
    ship_out_days: Days = 0
    customs_out_days: Days = 0
    intake_days: Days = 0
    approval_days: Days = 0
    lead_days: Days = 0
    ship_back_days: Days = 0
    customs_back_days: Days = 0
    accept_days: Days = 0
    return_days: Days = 0
    status: SendOutStatusDocument = SendOutStatusDocument()
    contacts: list[ContactDocument] = []
    dropped: bool = False
    notes: Text = ""


class RateFromDocument(Document):
    """What an hour costs from a date on."""

    on: date
    rate: Money


class CrewDocument(Document):
    """People of one trade."""

    trade: Id
    people: People = 1
    calendar: Id | None = None
    label: Name = ""
    rate: Money | None = None
    rates: list[RateFromDocument] = []


class PlaceDocument(Document):
    """A bay, jig or booth."""

    id: Id
    name: Name = ""
    capacity: Annotated[int, Field(ge=0, le=1_000)] = 1


class CrewLinkDocument(Document):
    """A task that waits for another to give up people or a place."""

    before: Id = Field(alias="from")
    after: Id = Field(alias="to")
    kind: CrewLinkKind = CrewLinkKind.TRADE
    names: list[Id] = []
    units: Annotated[int, Field(ge=1, le=1_000)] = 1


class ExpediteDocument(Document):
    """A way to have a task or a leg done in fewer days for a price."""

    id: Id
    name: Name = ""
    kind: ExpediteKind = ExpediteKind.OTHER
    task: Id | None = None
    send_out: Id | None = None
    leg: Id = "vendor_work"
    gains_days: Days
    cost: Money
    currency: Currency | None = None
    by_the_day: bool = False
    taken_days: Days = 0


class RiskDocument(Document):
    """Something that may happen."""

    id: Id
    name: Name = ""
    task: Id | None = None
    send_out: Id | None = None
    probability: Number = 0
    impact_days: Days = 0
    impact_days_range: DaysRange | None = None
    impact_note: Text = ""
    closed: bool = False


CostKind = Literal[
    "labour", "material", "vendor", "freight", "duty", "standing", "contingency", "other"
]
CostState = Literal["estimate", "quoted", "ordered", "invoiced", "paid"]


class CostStepDocument(Document):
    """What a cost line was in an earlier state."""

    state: CostState
    amount: Money
    on: date | None = None
    document: Name = ""


class PaymentDocument(Document):
    """A part of a cost line that is paid."""

    on: date
    amount: Money
    in_kind: Name = ""


class DueDocument(Document):
    """When a part of a cost line falls due."""

    percent: Money
    at: DueAt = DueAt.DATE
    days: Annotated[int, Field(ge=-3660, le=3660)] = 0
    on: date | None = None


class CostDocument(Document):
    """One cost line."""

    id: Id
    name: Name = ""
    kind: CostKind = "other"
    state: CostState = "estimate"
    amount: Money
    currency: Currency
    on: date | None = None
    chapter: Id | None = None
    task: Id | None = None
    send_out: Id | None = None
    document: Name = ""
    earlier: list[CostStepDocument] = []
    payments: list[PaymentDocument] = []
    dues: list[DueDocument] = []


class HoursWorkedDocument(Document):
    """Hours that somebody worked on a task on one date."""

    id: Id
    task: Id
    on: date
    hours: Money
    trade: Id | None = None
    label: Name = ""


class FundingDocument(Document):
    """Money that is planned to come in."""

    id: Id
    name: Name = ""
    on: date
    amount: Money
    every_months: Annotated[int, Field(ge=0, le=120)] = 0
    until: date | None = None


class PackageDocument(Document):
    """A part of a baseline."""

    id: Id
    amount: Money
    start: date
    finish: date
    rule: EarningRule = EarningRule.WORK_DONE
    chapter: Id | None = None


class BaselineDocument(Document):
    """The plan and its budget as approved on a date."""

    id: Id
    approved_on: date
    finish: date
    reason: Text = ""
    packages: list[PackageDocument] = []


class OverAndAboveDocument(Document):
    """Work or a price found after the budget was agreed."""

    id: Id
    name: Name
    asked_on: date
    amount: Money = Decimal(0)
    currency: Currency | None = None
    hours: Money = Decimal(0)
    chapter: Id | None = None
    task: Id | None = None
    send_out: Id | None = None
    state: Decision = Decision.WAITING
    decided_on: date | None = None
    decided_by: Name = ""
    reason: Text = ""


class BudgetDocument(Document):
    """Approved money of one chapter."""

    chapter: Id
    name: Name = ""
    kind: CostKind = "other"
    amount: Money
    currency: Currency


class ExchangeRateDocument(Document):
    """What one unit of a currency is worth from a date on."""

    currency: Currency
    on: date
    rate: Money


class FindingDocument(Document):
    """One line of the evaluation."""

    id: Id
    seen: Text
    zone: Id | None = None
    chapter: Id | None = None
    title: Name = ""
    grade: Annotated[int, Field(ge=0, le=5)] = 0
    authenticity: Authenticity = Authenticity.UNKNOWN
    rung: EvidenceRung | None = None
    treatment: Treatment | None = None
    card: Id | None = None
    quantity: Money = Decimal(1)
    own_hours: HourRange | None = None
    own_trade: Id | None = None
    send_out_kind: Id | None = None
    send_out: Id | None = None
    source: Source = Source.OVERHAUL
    seen_on: date | None = None
    seen_by: Name = ""
    decided_on: date | None = None
    decided_by: Name = ""
    measurements: Text = ""
    kept_at: Name = ""
    labelled: bool = False
    notes: Text = ""
    dropped: bool = False


class StandingJobDocument(Document):
    """Work by a method card that the aircraft needs whatever is found."""

    id: Id
    card: Id
    title: Name = ""
    zone: Id | None = None
    chapter: Id | None = None
    quantity: Money = Decimal(1)


class StepPlaceDocument(Document):
    """A place that a step takes from start to finish."""

    place: Id
    zones: list[Id] = []


class CardStepDocument(Document):
    """One step of a method card."""

    number: StepNumber
    name: Name
    hours: HourRange
    trade: Id | None = None
    people: People = 1
    after: list[StepNumber] = []
    check: CheckKind | None = None
    places: list[StepPlaceDocument] = []
    calendar: Id | None = None


class StepOrderDocument(Document):
    """A step that waits for one step of another card."""

    card: Id
    step: StepNumber
    before: StepNumber


class CardRiskDocument(Document):
    """What may happen on a card."""

    event: Name
    probability: Number
    step: StepNumber | None = None
    each_unit: bool = False
    hours: HourRange | None = None
    weeks: HourRange | None = None
    percent: Money = Decimal(0)
    note: Text = ""


class MethodCardDocument(Document):
    """A reusable, ordered set of steps."""

    id: Id
    name: Name
    driver: Id
    steps: list[CardStepDocument]
    after_cards: list[Id] = []
    inside: list[StepOrderDocument] = []
    one_by_one: bool = False
    leaves_after: StepNumber | None = None
    back_before: StepNumber | None = None
    hazards: list[Id] = []
    evidence: Text = ""
    material: Annotated[str, Field(max_length=1)] = ""
    risk: CardRiskDocument | None = None
    sources: Text = ""
    from_memory: bool = True
    retired: bool = False


class EvidenceDocument(Document):
    """A photo or a document that is kept beside the database."""

    id: Id
    sha256: Annotated[str, Field(pattern=SHA_256)]
    media_type: Annotated[str, Field(max_length=100, pattern=ONE_LINE)]
    size: Annotated[int, Field(ge=0)]
    added_on: date
    name: Name = ""
    caption: Text = ""
    taken_on: date | None = None
    by: Name = ""
    zone: Id | None = None
    finding: Id | None = None
    task: Id | None = None
    send_out: Id | None = None
    over_and_above: Id | None = None


class OutlineDocument(Document):
    """A zone on a drawing."""

    zone: Id
    corners: Annotated[
        list[Annotated[list[Number], Field(min_length=2, max_length=2)]],
        Field(description="From the left and from the top: shares of the width and the height"),
    ]


class DrawingDocument(Document):
    """The shop's own picture of the aircraft, kept beside the database."""

    id: Id
    sha256: Annotated[str, Field(pattern=SHA_256)]
    width: int
    height: int
    added_on: date
    name: Name = ""
    by: Name = ""
    shown: bool = True
    outlines: list[OutlineDocument] = []


class SignOffDocument(Document):
    """What a named person says to have seen, tested, accepted or signed."""

    id: Id
    on: date
    by: Name
    task: Id | None = None
    record: Id | None = None
    kind: CheckKind | None = None
    licence: Name = ""
    statement: Text = ""
    evidence: list[Id] = []
    override: Text = ""
    reopens: bool = False


class DraftDocument(Document):
    """What the planner drafted last of one kind of thing."""

    id: Id
    marks: dict[Annotated[str, Field(max_length=200)], Annotated[str, Field(max_length=64)]] = {}


class PlanDocument(Document):
    """A whole plan file."""

    format: Literal["ribstitch-plan/1"]
    project: ProjectDocument
    calendars: list[CalendarDocument] = []
    zones: list[ZoneDocument] = []
    tasks: list[TaskDocument] = []
    links: list[LinkDocument] = []
    kinds: list[SendOutKindDocument] = []
    vendors: list[VendorDocument] = []
    send_outs: list[SendOutDocument] = []
    crew: list[CrewDocument] = []
    places: list[PlaceDocument] = []
    crew_links: list[CrewLinkDocument] = []
    expedites: list[ExpediteDocument] = []
    risks: list[RiskDocument] = []
    costs: list[CostDocument] = []
    budget: list[BudgetDocument] = []
    exchange_rates: list[ExchangeRateDocument] = []
    hours: list[HoursWorkedDocument] = []
    funding: list[FundingDocument] = []
    baselines: list[BaselineDocument] = []
    over_and_above: list[OverAndAboveDocument] = []
    cards: list[MethodCardDocument] = []
    standing_jobs: list[StandingJobDocument] = []
    findings: list[FindingDocument] = []
    evidence: list[EvidenceDocument] = []
    sign_offs: list[SignOffDocument] = []
    drafts: list[DraftDocument] = []
    drawings: list[DrawingDocument] = []
