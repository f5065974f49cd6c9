"""Who works when, and where: calendars, crew, places."""

from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, BigInteger, Column, Double
from sqlmodel import Field

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.tables.base import PlanRow, reference


class CalendarRow(PlanRow, table=True):
    """
    One calendar.

    Elapsed time exists without being declared; its row is then a withdrawn one, so that
    what works on it has something to refer to.
    """

    __tablename__ = "calendar"

    name: str
    elapsed: bool
    day_hours: float = Field(sa_column=Column(Double, nullable=False))
    week_hours: list[float] = Field(sa_column=Column(JSON, nullable=False))
    holidays: str | None
    closed: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    opened: list[Any] = Field(sa_column=Column(JSON, nullable=False))


class CrewRow(PlanRow, table=True):
    """People of one trade; the key is the trade, numbered where it comes again."""

    __tablename__ = "crew"
    __table_args__ = (reference("calendar", "calendar"),)

    trade: str
    people: int = Field(sa_type=BigInteger)
    calendar: str | None
    label: str
    rate: Decimal | None = Field(sa_column=Column(ExactDecimal))
    rates: list[Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))


class PlaceRow(PlanRow, table=True):
    """A bay, jig or booth."""

    __tablename__ = "place"

    capacity: int = Field(sa_type=BigInteger)
    name: str
