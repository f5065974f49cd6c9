"""The project, and everything that is planned for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.planning.model.crew import Crew, CrewLink, Expedite, Place
from ribstitch.planning.model.drawing import Drawing
from ribstitch.planning.model.money import (
    Baseline,
    BudgetLine,
    Cost,
    ExchangeRate,
    Funding,
    HoursWorked,
    OverAndAbove,
)
from ribstitch.planning.model.sending import SendOut, SendOutKind, Vendor
from ribstitch.planning.model.survey import (
    Draft,
    Evidence,
    Finding,
    MethodCard,
    SignOff,
    StandingJob,
)
from ribstitch.planning.model.words import OutOfSequence, WorkShape
from ribstitch.planning.model.work import Calendar, Link, Risk, Task, Zone


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
    balance: Decimal | None = None
    """Money on the project's account at `balance_on`, in the project's currency."""
    balance_on: date | None = None
    health_limits: tuple[tuple[str, float], ...] = ()
    """The shop's own limits of plan health, by check, in alphabetical order."""
    airframe: str = ""
    """Which drawing shows it: `amphibian`, `landplane`, `biplane`; empty: none."""
    restored_to: str = ""
    """The date that the restoration shows, as the shop writes it."""
    rule_book: str = ""
    """Whose rules it will fly by."""


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
    hours: tuple[HoursWorked, ...] = ()
    funding: tuple[Funding, ...] = ()
    baselines: tuple[Baseline, ...] = ()
    over_and_above: tuple[OverAndAbove, ...] = ()
    cards: tuple[MethodCard, ...] = ()
    standing_jobs: tuple[StandingJob, ...] = ()
    findings: tuple[Finding, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    sign_offs: tuple[SignOff, ...] = ()
    drafts: tuple[Draft, ...] = ()
    drawings: tuple[Drawing, ...] = ()

    def calendar_of_task(self, task: Task) -> str:
        """Return the id of the calendar on which a task is worked."""
        return task.calendar or self.project.calendar

    def calendar_of_vendor(self, vendor_id: str) -> str:
        """Return the id of a vendor's calendar."""
        vendor = next(one for one in self.vendors if one.id == vendor_id)
        return vendor.calendar or self.project.calendar
