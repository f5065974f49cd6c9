"""Risks and expedites: days of a plan file, ticks of the plan."""

from __future__ import annotations

from ribstitch.planfile import document as doc
from ribstitch.planfile.ranges import range_document, range_from
from ribstitch.planning import model
from ribstitch.planning.ticks import days_from_ticks, ticks_from_days


def risk_from(part: doc.RiskDocument) -> model.Risk:
    """Convert a risk."""
    return model.Risk(
        id=part.id,
        name=part.name,
        task=part.task,
        send_out=part.send_out,
        probability=part.probability,
        impact=ticks_from_days(part.impact_days),
        impact_range=range_from(part.impact_days_range),
        impact_note=part.impact_note,
        closed=part.closed,
    )


def risk_document(risk: model.Risk) -> doc.RiskDocument:
    """Convert a risk back."""
    return doc.RiskDocument(
        id=risk.id,
        name=risk.name,
        task=risk.task,
        send_out=risk.send_out,
        probability=risk.probability,
        impact_days=days_from_ticks(risk.impact),
        impact_days_range=range_document(risk.impact_range),
        impact_note=risk.impact_note,
        closed=risk.closed,
    )


def expedite_from(part: doc.ExpediteDocument) -> model.Expedite:
    """Convert an expedite."""
    return model.Expedite(
        id=part.id,
        gains=ticks_from_days(part.gains_days),
        cost=part.cost,
        name=part.name,
        kind=part.kind,
        currency=part.currency,
        task=part.task,
        send_out=part.send_out,
        leg=part.leg,
        by_the_day=part.by_the_day,
        taken=ticks_from_days(part.taken_days),
    )


def expedite_document(one: model.Expedite) -> doc.ExpediteDocument:
    """Convert an expedite back."""
    return doc.ExpediteDocument(
        id=one.id,
        name=one.name,
        kind=one.kind,
        task=one.task,
        send_out=one.send_out,
        leg=one.leg,
        gains_days=days_from_ticks(one.gains),
        cost=one.cost,
        currency=one.currency,
        by_the_day=one.by_the_day,
        taken_days=days_from_ticks(one.taken),
    )
