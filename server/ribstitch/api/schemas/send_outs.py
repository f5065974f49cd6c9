"""Send-outs: alone, and on the board of what is away."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from ribstitch.api.schemas.base import (
    Answer,
    CalendarDays,
    Days,
    Document,
    Finish,
    Named,
    PlanVersion,
    Version,
)
from ribstitch.api.schemas.tasks import ChaseLine
from ribstitch.planning.model import Source


class Contact(Answer):
    """One word with a vendor."""

    on: date
    note: str


class AwaySendOut(Named):
    """A send-out on the board."""

    kind: str
    source: Source
    vendor: str
    vendor_name: str
    stage: str = Field(description="The leg that is open now, or `in shop`, or `accepted`")
    stage_since: date | None
    stage_due: date | None
    shipped: date | None
    arrived: date | None
    quoted: date | None
    approved: date | None
    promised: date | None
    left_vendor: date | None
    received: date | None
    accepted: date | None
    expected_back: date | None = Field(description="Forecast finish of the last leg")
    grace_days: Days | None = Field(description="On the vendor's calendar; null once accepted")
    need_by: date | None
    last_safe_ship: date | None
    lead_days: Days
    at_vendor_days: CalendarDays | None
    overdue_days: CalendarDays
    silent_days: CalendarDays | None
    critical: bool
    version: Version
    contacts: list[Contact]


class AwayVendor(Named):
    """A vendor on the board."""

    country: str
    grace_days: Days | None = Field(description="All open items late together; null without any")
    open: list[str]
    history_count: int
    median_ratio: float | None = Field(description="Actual over quoted time, the middle one")


class Away(Answer):
    """The board of what is away."""

    as_of: date
    finish: date
    send_outs: list[AwaySendOut]
    vendors: list[AwayVendor]
    chase: list[ChaseLine] = Field(description="The least grace first")


class SendOutAnswer(Answer):
    """One send-out: as it stands in the plan file, and what is computed."""

    send_out: Document
    version: Version
    board: AwaySendOut
    plan_version: PlanVersion


class SendOutRecorded(Answer):
    """What an edit of a send-out did."""

    send_out: AwaySendOut
    finish: Finish
    plan_version: PlanVersion
    change: int
