"""Risks, expedites, costs, budget lines, exchange rates."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.convert import (
    budget_line_document,
    budget_line_from,
    cost_document,
    cost_from,
    exchange_rate_document,
    exchange_rate_from,
    expedite_document,
    expedite_from,
    risk_document,
    risk_from,
)
from ribstitch.planfile.document import (
    BudgetDocument,
    CostDocument,
    ExchangeRateDocument,
    ExpediteDocument,
    RiskDocument,
)
from ribstitch.planning.model import BudgetLine, Cost, ExchangeRate, Expedite, ExpediteKind, Risk
from ribstitch.store.kinds.kind import Kind, range_of
from ribstitch.store.tables import (
    BudgetLineRow,
    CostRow,
    ExchangeRateRow,
    ExpediteRow,
    RiskRow,
)


def _risk(
    key: str,
    name: str,
    task: str | None,
    send_out: str | None,
    probability: float,
    impact: int,
    impact_low: int | None,
    impact_likely: int | None,
    impact_high: int | None,
    impact_note: str,
    closed: bool,
) -> Risk:
    span = range_of(impact_low, impact_likely, impact_high)
    return Risk(key, name, task, send_out, probability, impact, span, impact_note, closed)


def _risk_values(risk: Risk) -> dict[str, Any]:
    low, likely, high = risk.impact_range or (None, None, None)
    return {
        "name": risk.name,
        "task": risk.task,
        "send_out": risk.send_out,
        "probability": risk.probability,
        "impact": risk.impact,
        "impact_low": low,
        "impact_likely": likely,
        "impact_high": high,
        "impact_note": risk.impact_note,
        "closed": risk.closed,
    }


def _expedite(
    key: str,
    gains: int,
    cost: Decimal,
    name: str,
    kind: str,
    currency: str | None,
    task: str | None,
    send_out: str | None,
    leg: str,
    by_the_day: bool,
    taken: int,
) -> Expedite:
    return Expedite(
        key, gains, cost, name, ExpediteKind(kind), currency, task, send_out, leg, by_the_day, taken
    )


def _expedite_values(one: Expedite) -> dict[str, Any]:
    return {
        "gains": one.gains,
        "cost": one.cost,
        "name": one.name,
        "kind": one.kind.value,
        "currency": one.currency,
        "task": one.task,
        "send_out": one.send_out,
        "leg": one.leg,
        "by_the_day": one.by_the_day,
        "taken": one.taken,
    }


def _cost(
    key: str,
    amount: Decimal,
    currency: str,
    name: str,
    kind: str,
    state: str,
    on: date | None,
    chapter: str | None,
    task: str | None,
    send_out: str | None,
) -> Cost:
    return Cost(key, amount, currency, name, kind, state, on, chapter, task, send_out)


def _cost_values(cost: Cost) -> dict[str, Any]:
    return {
        "amount": cost.amount,
        "currency": cost.currency,
        "name": cost.name,
        "kind": cost.kind,
        "state": cost.state,
        "on": cost.on,
        "chapter": cost.chapter,
        "task": cost.task,
        "send_out": cost.send_out,
    }


def _budget_line(
    key: str,  # noqa: ARG001
    chapter: str,
    amount: Decimal,
    currency: str,
    name: str,
) -> BudgetLine:
    return BudgetLine(chapter, amount, currency, name)


def _budget_values(line: BudgetLine) -> dict[str, Any]:
    return {
        "chapter": line.chapter,
        "amount": line.amount,
        "currency": line.currency,
        "name": line.name,
    }


def _exchange_rate(
    key: str,  # noqa: ARG001
    currency: str,
    on: date,
    rate: Decimal,
) -> ExchangeRate:
    return ExchangeRate(currency, on, rate)


def _exchange_rate_values(one: ExchangeRate) -> dict[str, Any]:
    return {"currency": one.currency, "on": one.on, "rate": one.rate}


RISK = Kind(
    name="risk",
    plan_field="risks",
    row=RiskRow,
    key_of=lambda risk: risk.id,
    build=_risk,
    values=_risk_values,
    part=RiskDocument,
    to_part=risk_document,
    from_part=risk_from,
)
COST = Kind(
    name="cost",
    plan_field="costs",
    row=CostRow,
    key_of=lambda cost: cost.id,
    build=_cost,
    values=_cost_values,
    part=CostDocument,
    to_part=cost_document,
    from_part=cost_from,
)
BUDGET_LINE = Kind(
    name="budget_line",
    plan_field="budget",
    row=BudgetLineRow,
    key_of=lambda line: line.chapter,
    build=_budget_line,
    values=_budget_values,
    part=BudgetDocument,
    to_part=budget_line_document,
    from_part=budget_line_from,
)
EXCHANGE_RATE = Kind(
    name="exchange_rate",
    plan_field="exchange_rates",
    row=ExchangeRateRow,
    key_of=lambda one: f"{one.currency} {one.on}",
    build=_exchange_rate,
    values=_exchange_rate_values,
    part=ExchangeRateDocument,
    to_part=exchange_rate_document,
    from_part=exchange_rate_from,
)
EXPEDITE = Kind(
    name="expedite",
    plan_field="expedites",
    row=ExpediteRow,
    key_of=lambda one: one.id,
    build=_expedite,
    values=_expedite_values,
    part=ExpediteDocument,
    to_part=expedite_document,
    from_part=expedite_from,
)
