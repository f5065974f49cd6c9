"""Work away from the shop: its kinds, vendors, send-outs."""

from datetime import date
from typing import Any

from sqlalchemy import JSON, BigInteger, Column, Double, Index
from sqlmodel import Field

from ribstitch.store.tables.base import PlanRow, reference


class SendOutKindRow(PlanRow, table=True):
    """What the trade knows of one kind of send-out."""

    __tablename__ = "send_out_kind"

    over_median: float = Field(sa_column=Column(Double, nullable=False))
    over_p90: float = Field(sa_column=Column(Double, nullable=False))
    name: str
    rejected: float = Field(sa_column=Column(Double, nullable=False))
    growth_median: float | None = Field(sa_type=Double)
    growth_p90: float | None = Field(sa_type=Double)
    quoted_days: float | None = Field(sa_type=Double)


class VendorRow(PlanRow, table=True):
    """Who does send-outs."""

    __tablename__ = "vendor"
    __table_args__ = (reference("calendar", "calendar"),)

    name: str
    calendar: str | None
    currency: str | None
    country: str
    history: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    kinds: list[str] = Field(sa_column=Column(JSON, nullable=False))


class SendOutRow(PlanRow, table=True):
    """An item that leaves for a vendor and comes back; legs in ticks."""

    __tablename__ = "send_out"
    __table_args__ = (
        reference("vendor", "vendor"),
        reference("trip_of", "send_out"),
        Index(None, "project_id", "vendor"),
    )

    vendor: str
    name: str
    kind: str
    source: str
    after: list[str] = Field(sa_column=Column(JSON, nullable=False))
    before: list[str] = Field(sa_column=Column(JSON, nullable=False))
    trip_of: str | None
    prepare: int = Field(sa_type=BigInteger)
    ship_out: int = Field(sa_type=BigInteger)
    customs_out: int = Field(sa_type=BigInteger)
    intake: int = Field(sa_type=BigInteger)
    approval: int = Field(sa_type=BigInteger)
    lead: int = Field(sa_type=BigInteger)
    ship_back: int = Field(sa_type=BigInteger)
    customs_back: int = Field(sa_type=BigInteger)
    accept: int = Field(sa_type=BigInteger)
    return_leg: int = Field(sa_type=BigInteger)
    shipped: date | None
    arrived: date | None
    quoted: date | None
    approved: date | None
    promised: date | None
    left_vendor: date | None
    received: date | None
    accepted: date | None
    rejected: date | None
    returned: date | None
    contacts: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    dropped: bool
    notes: str
