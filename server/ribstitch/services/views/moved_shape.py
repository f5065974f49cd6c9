"""What moved since an earlier plan, and why: the shape of it, all amounts as decimal strings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from ribstitch.services.views.statement_shape import Moved


@dataclass(frozen=True, slots=True)
class CauseChange:
    """A line of the change log behind a cause."""

    number: int
    plan_version: int
    at: datetime
    who: str
    role: str
    action: str
    kind: str
    key: str
    name: str
    """Of the thing, if it has one."""
    fields: list[str]
    """Keys of the plan file whose value differs."""
    reason: str


@dataclass(frozen=True, slots=True)
class MovedCause:
    """What one cause moved."""

    kind: str
    """time, item, task, finding, order, hands, vendors, hidden, prices; or other: the small
    ones together."""
    id: str
    """Of the item, task or finding; else empty."""
    what: str
    days: int
    """By which the finish as written got later; negative: sooner."""
    amount: str
    """By which the cost as written rose."""
    changes: list[CauseChange]
    """Some of the changes behind it, newest first."""
    changes_count: int
    """How many there are."""


@dataclass(frozen=True, slots=True)
class LikelyMoved:
    """How the likely date moved; what the causes moved and `surer_days` add up to `days`."""

    before: date
    """As it was logged for the earlier plan."""
    now: date
    days: int
    """By which it got later; negative: sooner."""
    surer_days: int
    """Of them, what became more or less uncertain."""
    sentence: str


@dataclass(frozen=True, slots=True)
class MovedSince:
    """What moved since an earlier plan; the causes add up to it, days and amounts."""

    moved: Moved
    likely: LikelyMoved | None
    """None where it is not known of both plans."""
    causes: list[MovedCause]
    """What moved most comes first."""
    is_exact: bool
    """Whether all orders of the causes were counted; else some were drawn."""
