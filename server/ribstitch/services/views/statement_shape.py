"""The owner's statement of one month: the shape of it, all amounts as decimal strings.

Unless a field says otherwise, amounts are in the project's currency, and those of the
money page.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.services.views.money_shape import AskedDecision, Cash, DelayMonth, LikelyCost


@dataclass(frozen=True, slots=True)
class PaidLine:
    """A payment of the month."""

    on: date
    of: str
    """Id of the cost line."""
    name: str
    vendor: str
    """Name of the vendor; empty without one."""
    document: str
    amount: str
    """In its own currency."""
    currency: str
    worth: str
    in_kind: bool
    """Settled with something other than money."""


@dataclass(frozen=True, slots=True)
class StatementChapter:
    """Spend against budget of one chapter."""

    chapter: str
    title: str
    budget: str
    this_month: str
    """Paid and worked in the month."""
    spent: str
    """By the as-of date."""
    committed: str
    expected: str
    at_completion: str
    over: str


@dataclass(frozen=True, slots=True)
class DecidedItem:
    """What the owner decided in the month."""

    key: str
    name: str
    amount: str
    currency: str
    state: str
    decided_on: date
    decided_by: str
    reason: str


@dataclass(frozen=True, slots=True)
class ApprovedBaseline:
    """A baseline of the month."""

    key: str
    approved_on: date
    finish: date
    reason: str
    amount: str


@dataclass(frozen=True, slots=True)
class DoneTask:
    """Work that was finished in the month."""

    id: str
    name: str
    zone: str
    """Name of its zone; empty without one."""
    finished: date


@dataclass(frozen=True, slots=True)
class ChapterMoved:
    """What a chapter comes to, before the month and now."""

    chapter: str
    title: str
    before: str
    now: str
    moved: str


@dataclass(frozen=True, slots=True)
class CostMoved:
    """How the forecast at completion moved; the chapters add up to it."""

    since: date
    """As-of date of the plan before the month."""
    finish_before: date
    before: str
    now: str
    moved: str
    sentence: str
    chapters: list[ChapterMoved]
    """Those that moved, the largest move first."""


@dataclass(frozen=True, slots=True)
class Statement:
    """The owner's statement of one month."""

    month: str
    """As 2026-10."""
    first: date
    last: date
    """Of the month, or the as-of date."""
    as_of: date
    plan_version: int
    project: str
    aircraft: str
    serial: str
    currency: str
    finish: date
    """If everything goes as written."""
    target_finish: date | None
    likely_finish: date | None
    by80: date | None
    budget: str | None
    contingency_left: str
    spent: str
    committed: str
    expected: str
    at_completion: str
    likely: LikelyCost | None
    sentence: str
    """Spent, committed, to go, when."""
    why: list[str]
    """What differs most from the budget."""
    moved: CostMoved | None
    """None where no plan from before the month was kept."""
    paid: list[PaidLine]
    """The payments of the month, by date."""
    paid_total: str
    worked_hours: str
    """Hours of the month's timesheet."""
    worked_total: str
    """Labour of the month."""
    chapters: list[StatementChapter]
    done: list[DoneTask]
    decided: list[DecidedItem]
    baselines: list[ApprovedBaseline]
    decisions: list[AskedDecision]
    cash: Cash
    delay_month: DelayMonth | None
    missing: list[str]
