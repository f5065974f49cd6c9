"""The shop's own drawings of its aircraft."""

from datetime import date
from typing import Any

from sqlalchemy import JSON, BigInteger, Column
from sqlmodel import Field

from ribstitch.store.tables.base import PlanRow


class DrawingRow(PlanRow, table=True):
    """A picture with zones traced on it; the file lies beside the database under its digest."""

    __tablename__ = "drawing"

    sha256: str
    width: int = Field(sa_type=BigInteger)
    height: int = Field(sa_type=BigInteger)
    added_on: date
    name: str
    by: str
    shown: bool
    outlines: list[Any] = Field(sa_column=Column(JSON, nullable=False))
