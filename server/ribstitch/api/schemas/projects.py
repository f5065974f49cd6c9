"""Projects."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion, Recorded, Version
from ribstitch.planning.model import OutOfSequence


class ProjectLine(Answer):
    """A project in the list."""

    id: int
    name: str
    aircraft: str
    serial: str
    as_of: date
    currency: str
    airframe: str = Field(description="Which drawing shows it; empty: none")
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
    standing_per_month: str | None = Field(
        description="What a month costs even if nobody works; decimal string"
    )
    balance: str | None = Field(description="On the account at `balance_on`; decimal string")
    balance_on: date | None
    restored_to: str = Field(
        description="The date that the restoration shows, as the shop writes it"
    )
    rule_book: str = Field(description="Whose rules it will fly by")
    version: Version


class ProjectRecorded(Recorded):
    """What an edit of a project did."""

    project: Project
