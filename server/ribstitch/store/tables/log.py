"""What happened: the change log and the forecast log, both append-only.

Triggers refuse to update or delete their rows (see the first migration).
"""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, Column, Index, UniqueConstraint
from sqlmodel import Field

from ribstitch.store.column_types import UtcInstant
from ribstitch.store.tables.base import Base


class ChangeRow(Base, table=True):
    """One change of one thing: who, when, what, before and after."""

    __tablename__ = "change"
    __table_args__ = (
        UniqueConstraint("undoes"),
        Index(None, "project_id", "kind", "key"),
        Index(None, "project_id", "plan_version"),
    )

    number: int | None = Field(default=None, primary_key=True)
    project_id: int = Field(foreign_key="project.id")
    plan_version: int
    at: datetime = Field(sa_column=Column(UtcInstant, nullable=False))
    who: str
    role: str
    action: str
    kind: str
    key: str
    version: int
    before: dict[str, Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    after: dict[str, Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    reason: str
    undoes: int | None = Field(default=None, foreign_key="change.number")


class ForecastLogRow(Base, table=True):
    """The forecast finish after one change of the plan."""

    __tablename__ = "forecast_log"

    project_id: int = Field(primary_key=True, foreign_key="project.id")
    plan_version: int = Field(primary_key=True)
    at: datetime = Field(sa_column=Column(UtcInstant, nullable=False))
    as_of: date
    finish: date
    reason: str
