"""Risks, costs, budget lines."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.convert import (
    budget_line_document,
    budget_line_from,
    cost_document,
    cost_from,
    risk_document,
    risk_from,
)
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
