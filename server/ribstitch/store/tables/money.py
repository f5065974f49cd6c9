"""Risks, expedites, and all that is about money."""

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, BigInteger, Column, Double
from sqlmodel import Field

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.tables.base import PlanRow, reference


class RiskRow(PlanRow, table=True):
    """Something that may happen; the impact in ticks."""

    __tablename__ = "risk"
    __table_args__ = (reference("task", "task"), reference("send_out", "send_out"))

    name: str
    task: str | None
    send_out: str | None
    probability: float = Field(sa_column=Column(Double, nullable=False))
    impact: int = Field(sa_type=BigInteger)
    impact_low: int | None = Field(sa_type=BigInteger)
    impact_likely: int | None = Field(sa_type=BigInteger)
    impact_high: int | None = Field(sa_type=BigInteger)
    impact_note: str
    closed: bool


class ExpediteRow(PlanRow, table=True):
    """A way to have a task or a leg done in fewer days for a price; days in ticks."""

    __tablename__ = "expedite"
    __table_args__ = (reference("task", "task"), reference("send_out", "send_out"))

    gains: int = Field(sa_type=BigInteger)
    cost: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    name: str
    kind: str
    currency: str | None
    task: str | None
    send_out: str | None
    leg: str
    by_the_day: bool
    taken: int = Field(sa_type=BigInteger)


class CostRow(PlanRow, table=True):
    """One cost line."""

    __tablename__ = "cost"
    __table_args__ = (reference("task", "task"), reference("send_out", "send_out"))

    amount: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    currency: str
    name: str
    kind: str
    state: str
    on: date | None
    chapter: str | None
    task: str | None
    send_out: str | None
    document: str
    earlier: list[Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    payments: list[Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    dues: list[Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))


class HoursWorkedRow(PlanRow, table=True):
    """Hours that somebody worked on a task on one date."""

    __tablename__ = "hours_worked"
    __table_args__ = (reference("task", "task"),)

    task: str
    on: date
    hours: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    trade: str | None
    label: str


class FundingRow(PlanRow, table=True):
    """Money that is planned to come in."""

    __tablename__ = "funding"

    on: date
    amount: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    name: str
    every_months: int
    until: date | None


class BaselineRow(PlanRow, table=True):
    """The plan and its budget as approved on a date."""

    __tablename__ = "baseline"

    approved_on: date
    finish: date
    reason: str
    packages: list[Any] = Field(sa_column=Column(JSON, nullable=False))


class OverAndAboveRow(PlanRow, table=True):
    """Work or a price found after the budget was agreed."""

    __tablename__ = "over_and_above"
    __table_args__ = (reference("task", "task"), reference("send_out", "send_out"))

    name: str
    asked_on: date
    amount: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    currency: str | None
    hours: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    chapter: str | None
    task: str | None
    send_out: str | None
    state: str
    decided_on: date | None
    decided_by: str
    reason: str


class BudgetLineRow(PlanRow, table=True):
    """Approved money of one chapter; the key is the chapter, numbered where it comes again."""

    __tablename__ = "budget_line"

    chapter: str
    amount: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    currency: str
    name: str
    kind: str


class ExchangeRateRow(PlanRow, table=True):
    """What one unit of a currency is worth from a date on; the key is both."""

    __tablename__ = "exchange_rate"

    currency: str
    on: date
    rate: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
