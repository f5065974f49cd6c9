"""The whole schedule."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from ribstitch.api.schemas.base import Answer, CalendarDays, Days, Named, PlanVersion
from ribstitch.planning.model import Milestone


class Activity(Named):
    """A task, or a leg of a send-out."""

    kind: Literal["task", "leg"]
    zone: str | None
    send_out: str | None
    vendor: str | None
    leg: str | None
    trade: str | None
    chapter: str | None
    state: str
    start: date
    finish: date
    late_start: date
    late_finish: date
    total_float_days: Days
    free_float_days: Days
    critical: bool
    driven_by: list[str] = Field(description="Ids of the activities that set its date")
    days: Days
    remaining_days: Days | None
    milestone: Milestone | None
    held_reason: str
    deadline: date | None
    missed_days: CalendarDays | None


class NearCritical(Answer):
    """A chain that sets the finish if it slips a little."""

    float_days: Days
    activities: list[str]


class ScheduleAnswer(Answer):
    """Every activity with its dates."""

    plan_version: PlanVersion
    finish: date
    as_of: date
    zones: list[Named]
    activities: list[Activity]
    critical_path: list[str]
    near_critical: list[NearCritical]
