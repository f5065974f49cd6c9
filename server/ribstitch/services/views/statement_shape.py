"""The owner's statement of one month: the shape of it, all amounts as decimal strings.

Unless a field says otherwise, amounts are in the project's currency, and those of the
money page.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.services.views.money_shape import (
    AskedDecision,
    Cash,
    DelayMonth,
    LikelyCost,
    PriceGrowth,
)


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
    is_agreed: bool
    """As on the page of money."""
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
class MonthPhoto:
    """A photo of the month; the evidence of the project tells the rest."""

    key: str
    sha256: str
    media_type: str
    name: str
    caption: str
    taken_on: date | None
    added_on: date
    by: str


@dataclass(frozen=True, slots=True)
class ChapterMoved:
    """What a chapter was to come to, and what it comes to now."""

    chapter: str
    title: str
    before: str
    now: str
    moved: str


@dataclass(frozen=True, slots=True)
class MovedStep:
    """A part of a move of the finish."""

    what: str
    days: int
    """By which the finish as written got later; negative: sooner."""


@dataclass(frozen=True, slots=True)
class Moved:
    """How finish and cost as written moved; the chapters add up to it."""

    since: date | None
    """As-of date of the earlier plan, or the date of the approval; None: nothing was approved."""
    since_version: int | None
    """Of the earlier plan, to ask for what moved it; None for an approval."""
    finish_before: date | None
    finish: date
    days: int | None
    """None without a finish before."""
    before: str
    now: str
    moved: str
    sentence: str
    steps: list[MovedStep]
    """Of the days since an approval; those that moved something."""
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
    invoiced: str
    """Part of what is committed: billed, and not paid yet."""
    committed: str
    expected: str
    allowance: str
    """Part of what is expected."""
    at_completion: str
    price_growth: PriceGrowth | None
    """Part of what is expected; None where no price may grow."""
    likely: LikelyCost | None
    sentence: str
    """Spent, committed, to go, when."""
    why: list[str]
    """What was approved over and above, and which prices moved most."""
    moved: Moved | None
    """Since the last plan before the month; None where the project began later."""
    approved: Moved | None
    """Since the newest baseline, and against the budget; None without a budget."""
    paid: list[PaidLine]
    """The payments of the month, by date."""
    paid_total: str
    worked_hours: str
    """Hours of the month's timesheet."""
    worked_total: str
    """Labour of the month."""
    chapters: list[StatementChapter]
    done: list[DoneTask]
    photos: list[MonthPhoto]
    """Some of the month: those with a caption first, then the latest; by date."""
    decided: list[DecidedItem]
    baselines: list[ApprovedBaseline]
    decisions: list[AskedDecision]
    cash: Cash
    delay_month: DelayMonth | None
    missing: list[str]
