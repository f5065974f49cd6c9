"""The tables that can be taken in: columns as exported, and what shops call them besides."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from ribstitch.planning.model import (
    Authenticity,
    EvidenceRung,
    Milestone,
    Source,
    State,
    Treatment,
)
from ribstitch.spreadsheets.columns import Column, Holds, Table


def _words(kind: type[StrEnum]) -> tuple[str, ...]:
    return tuple(one.value for one in kind)


_ID = ("no", "nr", "number", "ref", "reference", "key", "item no")
"""What an id is called in any table."""
_ZONE = Column("zone", Holds.LINE, also=("area", "location", "where", "region"), example="tail")
_CHAPTER = Column(
    "chapter", Holds.LINE, also=("ata", "ata chapter", "cost code", "code"), example="55"
)
_TASK = Column("task", Holds.LINE, also=("task id", "task no", "job", "work item"))
_NOTES = Column("notes", also=("note", "remarks", "remark", "comments", "comment"))


def _id(example: str, *also: str) -> Column:
    return Column("id", Holds.LINE, key=True, also=(*_ID, *also), example=example)


FINDINGS = Table(
    "findings",
    "finding",
    (
        _id("F1", "finding", "finding id", "finding no", "finding number", "defect no", "snag no"),
        _ZONE,
        _CHAPTER,
        Column("title", also=("short name", "name", "work"), example="Fin spar"),
        Column(
            "seen", needed=True, example="Pitted at the root, 40 mm",
            also=("what was seen", "finding text", "description", "defect", "snag", "observation",
                  "discrepancy", "condition found"),
        ),
        Column("grade", Holds.WHOLE, also=("condition", "condition grade", "rating"), example="3"),
        Column(
            "authenticity", Holds.WORD, words=_words(Authenticity), example="original",
            also=("originality", "original or not"),
        ),
        Column("rung", Holds.WORD, words=_words(EvidenceRung), also=("rests on", "evidence rung")),
        Column(
            "treatment", Holds.WORD, words=_words(Treatment), example="repair",
            also=("action", "decision", "disposition", "what to do", "rectification"),
        ),
        Column("card", Holds.LINE, also=("method card", "method", "work card")),
        Column("quantity", Holds.NUMBER, also=("qty", "amount", "units", "how many"), example="1"),
        Column("low_hours", Holds.NUMBER, "own_hours.0", also=("low", "hours low", "min hours")),
        Column(
            "likely_hours", Holds.NUMBER, "own_hours.1",
            also=("likely", "hours likely", "hours", "man hours", "person hours"),
        ),
        Column("high_hours", Holds.NUMBER, "own_hours.2", also=("high", "hours high", "max hours")),
        Column("trade", Holds.LINE, "own_trade", also=("skill",)),
        Column("send_out_kind", Holds.LINE, also=("kind of send out", "sent out for")),
        Column("send_out", Holds.LINE, also=("send out no", "crate")),
        Column("source", Holds.WORD, words=_words(Source), also=("comes back as",)),
        Column("seen_on", Holds.DATE, also=("date", "date seen", "found on", "inspected on")),
        Column("seen_by", also=("inspector", "found by", "inspected by", "by")),
        Column("decided_on", Holds.DATE, also=("date decided", "decision date")),
        Column("decided_by", also=("decision by",)),
        Column("measurements", also=("measured", "dimensions")),
        Column("kept_at", also=("storage", "stored at", "shelf")),
        Column("labelled", Holds.YES_NO, also=("labeled", "tagged", "label")),
        _NOTES,
        Column("withdrawn", Holds.YES_NO, "dropped", also=("dropped",)),
    ),
)  # fmt: skip

TASKS = Table(
    "tasks",
    "task",
    (
        _id("T1", "task", "task id", "task no", "task number", "job no", "work order"),
        Column("name", also=("title", "description", "what", "work"), example="Rivet the fin"),
        _ZONE,
        _CHAPTER,
        Column("trade", Holds.LINE, also=("skill", "resource"), example="metal"),
        Column("people", Holds.WHOLE, also=("crew", "hands", "heads", "men"), example="2"),
        Column("state", Holds.WORD, "status.state", words=_words(State), also=("status",)),
        Column("started", Holds.DATE, "status.started", also=("actual start", "started on")),
        Column("finished", Holds.DATE, "status.finished", also=("actual finish", "finished on")),
        Column(
            "days", Holds.DAYS, example="4.5",
            also=("duration", "duration days", "working days", "length", "work days"),
        ),
        Column("low_days", Holds.DAYS, "days_range.0", also=("low", "min days", "optimistic")),
        Column("high_days", Holds.DAYS, "days_range.2", also=("high", "max days", "pessimistic")),
        Column(
            "remaining_days", Holds.DAYS, "status.remaining_days",
            also=("remaining", "days left", "left"),
        ),
        Column("calendar", Holds.LINE),
        Column("milestone", Holds.WORD, words=_words(Milestone)),
        Column("not_before", Holds.DATE, also=("earliest", "earliest start", "start no earlier")),
        Column("deadline", Holds.DATE, also=("due", "due date", "needed by")),
        Column("held_until", Holds.DATE, "status.held_until", also=("on hold until",)),
        Column("held_reason", Holds.TEXT, "status.held_reason", also=("why held", "hold reason")),
        Column("places", Holds.NAMES, also=("place", "bay", "bays", "jig")),
        Column("hazards", Holds.NAMES, also=("hazard", "dangers")),
        Column("why", also=("because", "origin")),
        _NOTES,
    ),
)  # fmt: skip

VENDORS = Table(
    "vendors",
    "vendor",
    (
        _id("V1", "vendor", "vendor id", "vendor no", "supplier no", "supplier id", "account"),
        Column(
            "name", example="Invented Engines",
            also=("vendor name", "supplier", "supplier name", "company", "firm", "shop"),
        ),
        Column("country", also=("land", "country code"), example="IE"),
        Column("currency", Holds.LINE, also=("cur", "ccy"), example="EUR"),
        Column("calendar", Holds.LINE, also=("works on",)),
        Column("kinds", Holds.NAMES, also=("takes", "kinds of work", "services"), example="engine"),
    ),
)  # fmt: skip

COSTS = Table(
    "costs",
    "cost",
    (
        _id("C1", "cost id", "cost line", "line", "line no", "entry"),
        Column("name", also=("description", "text", "what", "item"), example="Fabric and dope"),
        Column(
            "kind", Holds.WORD, also=("type", "category"), example="material",
            words=("labour", "material", "vendor", "freight", "duty", "standing", "contingency",
                   "other"),
        ),
        Column(
            "state", Holds.WORD, also=("status", "stage"), example="quoted",
            words=("estimate", "quoted", "ordered", "invoiced", "paid"),
        ),
        Column("date", Holds.DATE, "on", also=("on", "since", "invoice date", "order date")),
        Column(
            "document",
            also=("invoice", "invoice no", "invoice number", "order no", "po", "po number",
                  "quote no", "voucher"),
        ),
        _CHAPTER,
        Column("send_out", Holds.LINE, also=("send out no",)),
        _TASK,
        Column(
            "amount", Holds.NUMBER, needed=True, example="1250.00",
            also=("cost", "price", "sum", "total", "value", "net", "net amount"),
        ),
        Column("currency", Holds.LINE, needed=True, also=("cur", "ccy"), example="EUR"),
    ),
)  # fmt: skip

EXCHANGE_RATES = Table(
    "exchange-rates",
    "exchange_rate",
    (
        Column("currency", Holds.LINE, key=True, also=("cur", "ccy", "code"), example="GBP"),
        Column("date", Holds.DATE, "on", key=True, example="2026-10-01",
               also=("on", "from", "valid from", "since", "day")),
        Column("rate", Holds.NUMBER, needed=True, also=("exchange rate", "worth", "value"),
               example="1.15"),
    ),
)  # fmt: skip

HOURS = Table(
    "hours",
    "hours_worked",
    (
        _id("H1", "entry", "entry id", "entry no", "line", "sheet no"),
        Column(
            "date", Holds.DATE, "on", needed=True, also=("on", "day", "worked on"),
            example="2026-10-01",
        ),
        Column(
            "person", Holds.TEXT, "label", also=("who", "name", "worker", "label", "employee")
        ),
        Column("trade", Holds.LINE, also=("skill",)),
        Column(
            "task", Holds.LINE, needed=True, also=("task id", "task no", "job", "work order"),
            example="T1",
        ),
        Column(
            "hours", Holds.NUMBER, needed=True, also=("hrs", "h", "time", "hours worked"),
            example="7.5",
        ),
    ),
)  # fmt: skip

TABLES: Mapping[str, Table] = {
    one.name: one for one in (FINDINGS, TASKS, VENDORS, COSTS, EXCHANGE_RATES, HOURS)
}
"""By the name in the address."""
