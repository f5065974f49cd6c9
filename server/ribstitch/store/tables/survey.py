"""The evaluation: method cards, findings, evidence, sign-offs, and the planner's last draft."""

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, BigInteger, Column, Index
from sqlmodel import Field

from ribstitch.store.column_types import ExactDecimal
from ribstitch.store.tables.base import PlanRow, reference


class MethodCardRow(PlanRow, table=True):
    """One method card of the shop, as this project uses it."""

    __tablename__ = "method_card"

    name: str
    driver: str
    steps: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    after_cards: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    inside: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    one_by_one: bool
    leaves_after: int | None
    back_before: int | None
    hazards: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    evidence: str
    material: str
    risk: dict[str, Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    sources: str
    from_memory: bool
    retired: bool


class StandingJobRow(PlanRow, table=True):
    """Work by a method card that the aircraft needs whatever is found."""

    __tablename__ = "standing_job"
    __table_args__ = (reference("card", "method_card"), reference("zone", "zone"))

    card: str
    title: str
    zone: str | None
    chapter: str | None
    quantity: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))


class FindingRow(PlanRow, table=True):
    """One line of the evaluation."""

    __tablename__ = "finding"
    __table_args__ = (
        reference("card", "method_card"),
        reference("zone", "zone"),
        Index(None, "project_id", "zone"),
    )

    seen: str
    zone: str | None
    chapter: str | None
    title: str
    grade: int
    authenticity: str
    rung: str | None
    treatment: str | None
    card: str | None
    quantity: Decimal = Field(sa_column=Column(ExactDecimal, nullable=False))
    own_hours: list[Any] | None = Field(sa_column=Column(JSON(none_as_null=True)))
    own_trade: str | None
    send_out_kind: str | None
    send_out: str | None
    source: str
    seen_on: date | None
    seen_by: str
    decided_on: date | None
    decided_by: str
    measurements: str
    kept_at: str
    labelled: bool
    notes: str
    dropped: bool


class EvidenceRow(PlanRow, table=True):
    """A photo or a document; the file lies beside the database under its digest."""

    __tablename__ = "evidence"
    __table_args__ = (
        reference("zone", "zone"),
        reference("finding", "finding"),
        reference("task", "task"),
        reference("send_out", "send_out"),
        reference("over_and_above", "over_and_above"),
        Index(None, "project_id", "sha256"),
    )

    sha256: str
    media_type: str
    size: int = Field(sa_type=BigInteger)
    added_on: date
    name: str
    caption: str
    taken_on: date | None
    by: str
    zone: str | None
    finding: str | None
    task: str | None
    send_out: str | None
    over_and_above: str | None


class SignOffRow(PlanRow, table=True):
    """What a named person says to have seen, tested, accepted or signed."""

    __tablename__ = "sign_off"
    __table_args__ = (reference("task", "task"),)

    on: date
    by: str
    task: str | None
    record: str | None
    licence: str
    statement: str
    evidence: list[Any] = Field(sa_column=Column(JSON, nullable=False))
    override: str
    kind: str | None
    reopens: bool


class DraftRow(PlanRow, table=True):
    """What the planner drafted last of one kind of thing."""

    __tablename__ = "draft"

    marks: dict[str, Any] = Field(sa_column=Column(JSON, nullable=False))
