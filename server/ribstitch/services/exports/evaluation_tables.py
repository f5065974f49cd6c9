"""The tables of the evaluation: the findings, and the originality ledger."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ribstitch.services.exports.table import Export, Row, yes_or_no
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.evaluation import evaluation
from ribstitch.services.views.lookups import zone_names
from ribstitch.services.views.originality import originality


def _findings(current: CurrentPlan) -> Iterator[Row]:
    """Yield the findings in order of entry; withdrawn ones as well."""
    names = zone_names(current)
    lines = evaluation(current).findings
    for line, one in zip(lines, current.plan.findings, strict=True):
        low, likely, high = one.own_hours or (None, None, None)
        yield {
            "id": one.id,
            "zone": one.zone,
            "zone_name": names[one.zone] if one.zone else "",
            "chapter": one.chapter,
            "title": one.title,
            "seen": one.seen,
            "grade": Decimal(one.grade),
            "authenticity": one.authenticity.value,
            "rung": one.rung and one.rung.value,
            "treatment": one.treatment and one.treatment.value,
            "card": one.card,
            "quantity": one.quantity,
            "low_hours": low,
            "likely_hours": likely,
            "high_hours": high,
            "trade": one.own_trade,
            "send_out_kind": one.send_out_kind,
            "send_out": one.send_out,
            "source": one.source.value,
            "seen_on": one.seen_on,
            "seen_by": one.seen_by,
            "decided_on": one.decided_on,
            "decided_by": one.decided_by,
            "measurements": one.measurements,
            "kept_at": one.kept_at,
            "labelled": yes_or_no(one.labelled),
            "notes": one.notes,
            "evidence": Decimal(line.evidence),
            "tasks": Decimal(line.tasks),
            "tasks_done": Decimal(line.done),
            "withdrawn": yes_or_no(one.dropped),
        }


def _originality(current: CurrentPlan) -> Iterator[Row]:
    """Yield the lines of the ledger, zone by zone."""
    ledger = originality(current)
    for zone in ledger.zones:
        for line in zone.lines:
            yield {
                "zone": zone.id,
                "zone_name": zone.name,
                "finding": line.finding,
                "title": line.title,
                "authenticity": line.authenticity,
                "outcome": line.outcome,
                "treatment": line.treatment,
                "effect": line.effect,
                "rung": line.rung,
                "kept_at": line.kept_at,
                "labelled": yes_or_no(line.labelled),
                "decided_by": line.decided_by,
                "decided_on": line.decided_on,
                "restored_to": ledger.restored_to,
                "open_points": " ".join(line.open_points),
            }


FINDINGS = Export(
    "findings",
    (
        "id", "zone", "zone_name", "chapter", "title", "seen", "grade", "authenticity", "rung",
        "treatment", "card", "quantity", "low_hours", "likely_hours", "high_hours", "trade",
        "send_out_kind", "send_out", "source", "seen_on", "seen_by", "decided_on", "decided_by",
        "measurements", "kept_at", "labelled", "notes", "evidence", "tasks", "tasks_done",
        "withdrawn",
    ),
    _findings,
)  # fmt: skip
ORIGINALITY = Export(
    "originality",
    (
        "zone", "zone_name", "finding", "title", "authenticity", "outcome", "treatment", "effect",
        "rung", "kept_at", "labelled", "decided_by", "decided_on", "restored_to", "open_points",
    ),
    _originality,
)  # fmt: skip
