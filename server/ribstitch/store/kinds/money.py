"""Risks, costs, budget lines."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.convert import risk_document, risk_from
from ribstitch.planfile.document import BudgetDocument, CostDocument, RiskDocument
from ribstitch.planning.model import BudgetLine, Cost, Risk
from ribstitch.store.kinds.kind import Kind
from ribstitch.store.tables import BudgetLineRow, CostRow, RiskRow


def _risk(
    key: str, name: str, task: str | None, probability: float, impact: int, impact_note: str
) -> Risk:
    return Risk(key, name, task, probability, impact, impact_note)


def _risk_values(risk: Risk) -> dict[str, Any]:
    return {
        "name": risk.name,
        "task": risk.task,
        "probability": risk.probability,
        "impact": risk.impact,
        "impact_note": risk.impact_note,
    }


def _risk_from(document: dict[str, Any]) -> Risk:
    return risk_from(RiskDocument.model_validate(document))


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


def _cost_document(cost: Cost) -> CostDocument:
    return CostDocument.model_validate({"id": cost.id, **_cost_values(cost)})


def _cost_from(document: dict[str, Any]) -> Cost:
    return Cost(**dict(CostDocument.model_validate_json(json.dumps(document))))


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


def _budget_document(line: BudgetLine) -> BudgetDocument:
    return BudgetDocument.model_validate(_budget_values(line))


def _budget_from(document: dict[str, Any]) -> BudgetLine:
    return BudgetLine(**dict(BudgetDocument.model_validate_json(json.dumps(document))))


RISK = Kind(
    name="risk",
    plan_field="risks",
    row=RiskRow,
    key_of=lambda risk: risk.id,
    build=_risk,
    values=_risk_values,
    to_document=risk_document,
    from_document=_risk_from,
)
COST = Kind(
    name="cost",
    plan_field="costs",
    row=CostRow,
    key_of=lambda cost: cost.id,
    build=_cost,
    values=_cost_values,
    to_document=_cost_document,
    from_document=_cost_from,
)
BUDGET_LINE = Kind(
    name="budget_line",
    plan_field="budget",
    row=BudgetLineRow,
    key_of=lambda line: line.chapter,
    build=_budget_line,
    values=_budget_values,
    to_document=_budget_document,
    from_document=_budget_from,
)
