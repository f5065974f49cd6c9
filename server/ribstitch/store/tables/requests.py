"""Requests that were done: what was answered, so that nothing is done twice."""

from datetime import datetime

from sqlalchemy import Column, LargeBinary
from sqlmodel import Field

from ribstitch.store.column_types import UtcInstant
from ribstitch.store.tables.base import Base


class RequestDoneRow(Base, table=True):
    """One request that its sender named with a key; the row is written with what it changed."""

    __tablename__ = "request_done"

    sender: str = Field(primary_key=True)
    key: str = Field(primary_key=True)
    digest: str
    """Of all that was asked: SHA-256 [64 hexadecimal digits]."""
    at: datetime = Field(sa_column=Column(UtcInstant, nullable=False, index=True))
    status: int | None = None
    """Of the answer; None: the service was stopped before it could be kept."""
    media_type: str = ""
    etag: str = ""
    body: bytes | None = Field(default=None, sa_column=Column(LargeBinary))
