"""What happened: the change log and the forecast log with its spreads, all append-only.

Triggers refuse to update or delete their rows (see the migrations).
"""

from datetime import date, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    Column,
    Double,
    ForeignKeyConstraint,
    Index,
    LargeBinary,
    UniqueConstraint,
)
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


def _logged_version() -> ForeignKeyConstraint:
    """Return a reference to the forecast log's row of a plan version."""
    return ForeignKeyConstraint(
        ["project_id", "plan_version"],
        ["forecast_log.project_id", "forecast_log.plan_version"],
    )


class PlanSnapshotRow(Base, table=True):
    """The plan file of a plan version whose forecast was simulated, compressed with zlib."""

    __tablename__ = "plan_snapshot"
    __table_args__ = (_logged_version(),)

    project_id: int = Field(primary_key=True)
    plan_version: int = Field(primary_key=True)
    plan_file: bytes = Field(sa_column=Column(LargeBinary, nullable=False))


class ForecastSpreadRow(Base, table=True):
    """
    How sure the forecast finish of a plan version was, as it was simulated on a date.

    Written beside the forecast log and not into it: the log's own row is written with the
    change, the simulation is ready later.
    """

    __tablename__ = "forecast_spread"
    __table_args__ = (
        _logged_version(),
        UniqueConstraint("project_id", "plan_version", "logged_on"),
    )

    number: int | None = Field(default=None, primary_key=True)
    project_id: int
    plan_version: int
    logged_on: date
    """In UTC."""
    at: datetime = Field(sa_column=Column(UtcInstant, nullable=False))
    p10: date
    p50: date
    p80: date
    p90: date
    chance_of_target: float | None = Field(sa_column=Column(Double))
    """0 to 1; None without a wanted finish."""
    runs: int
    seed: int
    engine: int
    """Which way of simulating it was."""
