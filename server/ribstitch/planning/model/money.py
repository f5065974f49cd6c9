"""What things cost, what was paid and approved, and what an hour took."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ribstitch.planning.model.words import Decision, DueAt, EarningRule


@dataclass(frozen=True, slots=True)
class CostStep:
    """What a cost line was in an earlier state."""

    state: str
    amount: Decimal
    on: date | None = None
    document: str = ""


@dataclass(frozen=True, slots=True)
class Payment:
    """A part of a cost line that is paid, in the line's currency."""

    on: date
    amount: Decimal
    in_kind: str = ""
    """What was given instead of money, such as a pattern lent against a new part."""


@dataclass(frozen=True, slots=True)
class Due:
    """When a part of a cost line falls due."""

    percent: Decimal
    """Of the line's amount."""
    at: DueAt = DueAt.DATE
    days: int = 0
    """So many dates after it."""
    on: date | None = None
    """With `at` date: which."""


@dataclass(frozen=True, slots=True)
class Cost:
    """One cost line: what something costs, as far as is known, and what is paid of it."""

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
    document: str = ""
    """Number of the quote, order or invoice."""
    earlier: tuple[CostStep, ...] = ()
    """What the line was before, oldest first."""
    payments: tuple[Payment, ...] = ()
    """A paid line without any counts as paid in full on its date."""
    dues: tuple[Due, ...] = ()


@dataclass(frozen=True, slots=True)
class HoursWorked:
    """Hours that somebody worked on a task on one date."""

    id: str
    task: str
    on: date
    hours: Decimal
    trade: str | None = None
    """None: the task's trade."""
    label: str = ""
    """Which person-slot of the crew."""


@dataclass(frozen=True, slots=True)
class Funding:
    """Money that is planned to come in, in the project's currency."""

    id: str
    on: date
    amount: Decimal
    name: str = ""
    every_months: int = 0
    """It comes again after so many months; 0: once."""
    until: date | None = None
    """No more after this date."""


@dataclass(frozen=True, slots=True)
class Package:
    """A part of a baseline: budget of one piece of work, and when it was to be done."""

    id: str
    """A task or a send-out; or a chapter, for what comes with time alone."""
    amount: Decimal
    start: date
    finish: date
    rule: EarningRule = EarningRule.WORK_DONE
    chapter: str | None = None


@dataclass(frozen=True, slots=True)
class Baseline:
    """The plan and its budget as approved on a date, in the project's currency."""

    id: str
    approved_on: date
    finish: date
    reason: str = ""
    packages: tuple[Package, ...] = ()


@dataclass(frozen=True, slots=True)
class OverAndAbove:
    """Work or a price found after the budget was agreed; it needs the owner's yes."""

    id: str
    name: str
    asked_on: date
    amount: Decimal = Decimal(0)
    currency: str | None = None
    """None: the project's currency."""
    hours: Decimal = Decimal(0)
    chapter: str | None = None
    task: str | None = None
    send_out: str | None = None
    state: Decision = Decision.WAITING
    decided_on: date | None = None
    decided_by: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """Approved money of one chapter."""

    chapter: str
    amount: Decimal
    currency: str
    name: str = ""
    kind: str = "other"
    """As of a cost; contingency is kept back and not planned for any work."""


@dataclass(frozen=True, slots=True)
class ExchangeRate:
    """What one unit of a currency is worth in the project's currency from a date on."""

    currency: str
    on: date
    rate: Decimal
