"""Work on the airframe: zones, tasks, links, the order of the crew."""

from datetime import date
from typing import Any

from sqlalchemy import JSON, BigInteger, Column, Double, Index
from sqlmodel import Field

from ribstitch.store.tables.base import PlanRow, reference


class ZoneRow(PlanRow, table=True):
    """A region of the airframe."""

    __tablename__ = "zone"
    __table_args__ = (reference("opened_by", "task", back=True),)

    name: str
    hidden_work_percent: float = Field(sa_column=Column(Double, nullable=False))
    opened_by: str | None


class TaskRow(PlanRow, table=True):
    """One piece of work with its status; durations in ticks."""

    __tablename__ = "task"
    __table_args__ = (
        reference("zone", "zone"),
        reference("calendar", "calendar"),
        Index(None, "project_id", "state"),
        Index(None, "project_id", "zone"),
    )

    duration: int = Field(sa_type=BigInteger)
    name: str
    zone: str | None
    chapter: str | None
    calendar: str | None
    low: int | None = Field(sa_type=BigInteger)
    likely: int | None = Field(sa_type=BigInteger)
    high: int | None = Field(sa_type=BigInteger)
    trade: str | None
    people: int = Field(sa_type=BigInteger)
    places: list[str] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    not_before: date | None
    deadline: date | None
    milestone: str | None
    state: str
    started: date | None
    finished: date | None
    remaining: int | None = Field(sa_type=BigInteger)
    held_reason: str
    held_until: date | None
    why: str
    hazards: list[str] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    notes: str
    check: dict[str, Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    origin: dict[str, Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))


class LinkRow(PlanRow, table=True):
    """A precedence relation between two tasks; the lag in ticks."""

    __tablename__ = "link"
    __table_args__ = (
        reference("before", "task"),
        reference("after", "task"),
        Index(None, "project_id", "before"),
        Index(None, "project_id", "after"),
    )

    before: str
    after: str
    relation: str
    lag: int = Field(sa_type=BigInteger)
    lag_on: str


class CrewLinkRow(PlanRow, table=True):
    """A task that waits for another to give up people or a place; the key is both."""

    __tablename__ = "crew_link"
    __table_args__ = (reference("before", "task"), reference("after", "task"))

    before: str
    after: str
    kind: str
    names: list[str] = Field(sa_column=Column(JSON, nullable=False))
    units: int = Field(sa_type=BigInteger)
