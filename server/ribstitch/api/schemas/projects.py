"""Projects, the title block, the airframe map."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from ribstitch.api.schemas.base import Answer, CalendarDays, Named, PlanVersion, Recorded, Version
from ribstitch.planning.model import OutOfSequence


class ProjectLine(Answer):
    """A project in the list."""

    id: int
    name: str
    aircraft: str
    serial: str
    as_of: date
    currency: str
    plan_version: PlanVersion


class ProjectList(Answer):
    """All projects, oldest first."""

    projects: list[ProjectLine]


class Project(ProjectLine):
    """One project."""

    start: date
    calendar: str
    target_finish: date | None
    out_of_sequence: OutOfSequence
    version: Version


class ProjectRecorded(Recorded):
    """What an edit of a project did."""

    project: Project


class TitleBlock(Answer):
    """What stands in the lower right corner of every sheet."""

    project: str
    aircraft: str
    serial: str
    as_of: date
    finish: date
    target_finish: date | None
    late_days: CalendarDays | None = Field(description="After the wanted finish; null without one")
    critical_count: int
    plan_version: PlanVersion


class AwayItem(Answer):
    """An item that is away from its zone."""

    send_out: str
    name: str
    vendor: str
    need_by: date | None


class AirframeZone(Named):
    """How far a region of the airframe has come."""

    share_done: float = Field(ge=0, le=1, description="By planned work days")
    tasks: int
    done: int
    in_work: int
    held: int
    critical: bool
    away: list[AwayItem]


class Airframe(Answer):
    """The airframe, zone by zone."""

    zones: list[AirframeZone]
