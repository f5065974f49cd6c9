"""Tasks: in lists, alone, on the daily sheet."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from ribstitch.api.schemas.base import (
    Answer,
    Days,
    Document,
    Finish,
    Named,
    PlanVersion,
    Version,
)
from ribstitch.planning.model import LagOn, Relation, State


class TaskCard(Named):
    """A task as it is worked with on the floor."""

    zone: str | None
    zone_name: str
    trade: str | None
    state: State
    version: Version
    days: Days
    remaining_days: Days | None
    start: date
    finish: date
    total_float_days: Days
    critical: bool
    hazards: list[str]
    held_reason: str
    why: str
    started: date | None


class WaitsFor(Named):
    """What a task waits for, and who does that."""

    who: str


class WaitingTask(Answer):
    """A task that can begin soon."""

    task: TaskCard
    waits_for: list[WaitsFor]


class Movement(Answer):
    """An item that comes or goes."""

    send_out: str
    name: str
    vendor_name: str
    on: date
    overdue_days: int


class ChaseLine(Answer):
    """A vendor to ask, and why."""

    send_out: str
    vendor_name: str
    why: str
    last_contact: date | None


class Caution(Answer):
    """The usual caution of a hazard, and where it comes from."""

    caution: str
    source: str


class Today(Answer):
    """The daily sheet."""

    as_of: date
    trades: list[str]
    ready: list[TaskCard] = Field(description="What protects the finish stands first")
    in_work: list[TaskCard]
    held: list[TaskCard]
    waiting_soon: list[WaitingTask]
    arriving: list[Movement]
    leaving: list[Movement]
    chase: list[ChaseLine]
    done_recently: list[TaskCard]
    hazards: dict[str, Caution]
    standing_line: str


class TaskList(Answer):
    """A page of tasks in the plan's order."""

    total: int = Field(description="How many there are in all pages")
    tasks: list[TaskCard]


class Neighbour(Named):
    """What a task is linked to."""

    type: Relation
    lag_days: float
    lag_on: LagOn
    finish: date
    driving: bool = Field(description="Whether this link sets a date")


class TaskDates(Answer):
    """What is computed of a task."""

    start: date
    finish: date
    late_start: date
    late_finish: date
    total_float_days: Days
    free_float_days: Days
    critical: bool


class TaskAnswer(Answer):
    """One task: as it stands in the plan file, and what is computed."""

    task: Document
    version: Version
    dates: TaskDates
    predecessors: list[Neighbour]
    successors: list[Neighbour]
    driven_by: list[Named]
    hazards: dict[str, Caution]
    plan_version: PlanVersion


class TaskRecorded(Answer):
    """What an edit of a task did."""

    task: TaskCard
    finish: Finish
    plan_version: PlanVersion
    change: int = Field(description="Number of the line in the change log")
