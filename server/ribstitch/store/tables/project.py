"""The project: one aircraft in restoration."""

from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import JSON, Column, Double
from sqlmodel import Field

from ribstitch.store.column_types import ExactDecimal, UtcInstant
from ribstitch.store.tables.base import Base

LAST_PROJECT = 2**31 - 1
"""The greatest number that a project can have."""


class ProjectRow(Base, table=True):
    """
    One project.

    `version` counts edits of these columns; `plan_version` counts changes to anything in
    the project. The calendar is named without a reference: calendars refer to projects.
    """

    __tablename__ = "project"

    id: int | None = Field(default=None, primary_key=True)
    version: int = 1
    plan_version: int = 1
    created_at: datetime = Field(sa_column=Column(UtcInstant, nullable=False))
    start: date
    as_of: date
    name: str
    aircraft: str
    serial: str
    currency: str
    calendar: str
    target_finish: date | None
    out_of_sequence: str
    work_shape: str
    zone_spread: float = Field(sa_column=Column(Double, nullable=False))
    trade_spread: float = Field(sa_column=Column(Double, nullable=False))
    standing_per_month: Decimal | None = Field(sa_column=Column(ExactDecimal))
    balance: Decimal | None = Field(sa_column=Column(ExactDecimal))
    balance_on: date | None
    health_limits: dict[str, float] = Field(sa_column=Column(JSON, nullable=False))
    airframe: str
    restored_to: str
    rule_book: str
