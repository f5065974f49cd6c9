"""Risks, expedites, costs, budget, exchange rates."""

from datetime import date
from decimal import Decimal

from sqlalchemy import BigInteger, Column, Double
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


class BudgetLineRow(PlanRow, table=True):
    """Approved money of one chapter; the key is the chapter, numbered where it comes again."""

    __tablename__ = "budget_line"

    chapter: str
    amount: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    currency: str
    name: str


class ExchangeRateRow(PlanRow, table=True):
    """What one unit of a currency is worth from a date on; the key is both."""

    __tablename__ = "exchange_rate"

    currency: str
    on: date
    rate: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
