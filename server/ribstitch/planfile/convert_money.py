"""Risks, expedites and all that is about money: between a plan file and the plan."""

from __future__ import annotations

from typing import Any

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


def cost_from(part: doc.CostDocument) -> model.Cost:
    """Convert a cost line; its keys are the same on both sides."""
    own = {name: getattr(part, name) for name in doc.CostDocument.model_fields}
    return model.Cost(
        **own
        | {
            "earlier": tuple(model.CostStep(**dict(one)) for one in part.earlier),
            "payments": tuple(model.Payment(**dict(one)) for one in part.payments),
            "dues": tuple(model.Due(**dict(one)) for one in part.dues),
        }
    )


def cost_document(cost: model.Cost) -> doc.CostDocument:
    """Convert a cost line back."""
    own = {name: getattr(cost, name) for name in doc.CostDocument.model_fields}
    return doc.CostDocument.model_validate(
        own
        | {
            "earlier": [_fields(one, doc.CostStepDocument) for one in cost.earlier],
            "payments": [_fields(one, doc.PaymentDocument) for one in cost.payments],
            "dues": [_fields(one, doc.DueDocument) for one in cost.dues],
        }
    )


def hours_worked_from(part: doc.HoursWorkedDocument) -> model.HoursWorked:
    """Convert hours worked; the keys are the same on both sides."""
    return model.HoursWorked(**dict(part))


def hours_worked_document(one: model.HoursWorked) -> doc.HoursWorkedDocument:
    """Convert hours worked back."""
    return doc.HoursWorkedDocument(**_fields(one, doc.HoursWorkedDocument))


def funding_from(part: doc.FundingDocument) -> model.Funding:
    """Convert money to come in; the keys are the same on both sides."""
    return model.Funding(**dict(part))


def funding_document(one: model.Funding) -> doc.FundingDocument:
    """Convert money to come in back."""
    return doc.FundingDocument(**_fields(one, doc.FundingDocument))


def baseline_from(part: doc.BaselineDocument) -> model.Baseline:
    """Convert a baseline."""
    return model.Baseline(
        id=part.id,
        approved_on=part.approved_on,
        finish=part.finish,
        reason=part.reason,
        packages=tuple(model.Package(**dict(one)) for one in part.packages),
    )


def baseline_document(baseline: model.Baseline) -> doc.BaselineDocument:
    """Convert a baseline back."""
    return doc.BaselineDocument(
        id=baseline.id,
        approved_on=baseline.approved_on,
        finish=baseline.finish,
        reason=baseline.reason,
        packages=[
            doc.PackageDocument(**_fields(one, doc.PackageDocument)) for one in baseline.packages
        ],
    )


def over_and_above_from(part: doc.OverAndAboveDocument) -> model.OverAndAbove:
    """Convert an over-and-above item; the keys are the same on both sides."""
    return model.OverAndAbove(**dict(part))


def over_and_above_document(one: model.OverAndAbove) -> doc.OverAndAboveDocument:
    """Convert an over-and-above item back."""
    return doc.OverAndAboveDocument(**_fields(one, doc.OverAndAboveDocument))


def _fields(thing: object, part: type[doc.Document]) -> dict[str, Any]:
    """Return what stands in a part of a plan file whose keys are the thing's own."""
    return {name: getattr(thing, name) for name in part.model_fields}


def budget_line_from(part: doc.BudgetDocument) -> model.BudgetLine:
    """Convert a budget line; its keys are the same on both sides."""
    return model.BudgetLine(**dict(part))


def budget_line_document(line: model.BudgetLine) -> doc.BudgetDocument:
    """Convert a budget line back."""
    return doc.BudgetDocument(**_fields(line, doc.BudgetDocument))


def exchange_rate_from(part: doc.ExchangeRateDocument) -> model.ExchangeRate:
    """Convert an exchange rate; its keys are the same on both sides."""
    return model.ExchangeRate(**dict(part))


def exchange_rate_document(one: model.ExchangeRate) -> doc.ExchangeRateDocument:
    """Convert an exchange rate back."""
    return doc.ExchangeRateDocument(currency=one.currency, on=one.on, rate=one.rate)
