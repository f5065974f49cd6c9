"""Risks, expedites, costs, budget lines, exchange rates."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.alike import part_of, thing_from
from ribstitch.planfile.convert_risks import (
    expedite_document,
    expedite_from,
    risk_document,
    risk_from,
)
from ribstitch.planfile.document import (
    BaselineDocument,
    BudgetDocument,
    CostDocument,
    ExchangeRateDocument,
    ExpediteDocument,
    FundingDocument,
    HoursWorkedDocument,
    OverAndAboveDocument,
    RiskDocument,
)
from ribstitch.planning.model import (
    Baseline,
    BudgetLine,
    Cost,
    CostStep,
    Decision,
    Due,
    DueAt,
    EarningRule,
    ExchangeRate,
    Expedite,
    ExpediteKind,
    Funding,
    HoursWorked,
    OverAndAbove,
    Package,
    Payment,
    Risk,
)
from ribstitch.store.kinds.kind import Kind, range_of
from ribstitch.store.tables import (
    BaselineRow,
    BudgetLineRow,
    CostRow,
    ExchangeRateRow,
    ExpediteRow,
    FundingRow,
    HoursWorkedRow,
    OverAndAboveRow,
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
    document: str,
    earlier: list[tuple[str, str, str | None, str]] | None,
    payments: list[tuple[str, str, str]] | None,
    dues: list[tuple[str, str, int, str | None]] | None,
) -> Cost:
    return Cost(
        key,
        amount,
        currency,
        name,
        kind,
        state,
        on,
        chapter,
        task,
        send_out,
        document,
        tuple(
            CostStep(was, Decimal(much), _day(day), paper)
            for was, much, day, paper in earlier or ()
        ),
        tuple(
            Payment(date.fromisoformat(day), Decimal(much), given)
            for day, much, given in payments or ()
        ),
        tuple(
            Due(Decimal(percent), DueAt(at), days, _day(day))
            for percent, at, days, day in dues or ()
        ),
    )


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


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
        "document": cost.document,
        "earlier": [
            [one.state, str(one.amount), _text(one.on), one.document] for one in cost.earlier
        ]
        or None,
        "payments": [[one.on.isoformat(), str(one.amount), one.in_kind] for one in cost.payments]
        or None,
        "dues": [[str(one.percent), one.at.value, one.days, _text(one.on)] for one in cost.dues]
        or None,
    }


def _hours_worked(
    key: str, task: str, on: date, hours: Decimal, trade: str | None, label: str
) -> HoursWorked:
    return HoursWorked(key, task, on, hours, trade, label)


def _hours_worked_values(one: HoursWorked) -> dict[str, Any]:
    return {
        "task": one.task,
        "on": one.on,
        "hours": one.hours,
        "trade": one.trade,
        "label": one.label,
    }


def _funding(
    key: str, on: date, amount: Decimal, name: str, every_months: int, until: date | None
) -> Funding:
    return Funding(key, on, amount, name, every_months, until)


def _funding_values(one: Funding) -> dict[str, Any]:
    return {
        "on": one.on,
        "amount": one.amount,
        "name": one.name,
        "every_months": one.every_months,
        "until": one.until,
    }


def _baseline(
    key: str,
    approved_on: date,
    finish: date,
    reason: str,
    packages: list[tuple[str, str, str, str, str, str | None]],
) -> Baseline:
    return Baseline(
        key,
        approved_on,
        finish,
        reason,
        tuple(
            Package(
                of,
                Decimal(amount),
                date.fromisoformat(start),
                date.fromisoformat(end),
                EarningRule(rule),
                chapter,
            )
            for of, amount, start, end, rule, chapter in packages
        ),
    )


def _baseline_values(baseline: Baseline) -> dict[str, Any]:
    return {
        "approved_on": baseline.approved_on,
        "finish": baseline.finish,
        "reason": baseline.reason,
        "packages": [
            [
                one.id,
                str(one.amount),
                one.start.isoformat(),
                one.finish.isoformat(),
                one.rule.value,
                one.chapter,
            ]
            for one in baseline.packages
        ],
    }


def _over_and_above(
    key: str,
    name: str,
    asked_on: date,
    amount: Decimal,
    currency: str | None,
    hours: Decimal,
    chapter: str | None,
    task: str | None,
    send_out: str | None,
    state: str,
    decided_on: date | None,
    decided_by: str,
    reason: str,
) -> OverAndAbove:
    return OverAndAbove(
        key,
        name,
        asked_on,
        amount,
        currency,
        hours,
        chapter,
        task,
        send_out,
        Decision(state),
        decided_on,
        decided_by,
        reason,
    )


def _over_and_above_values(one: OverAndAbove) -> dict[str, Any]:
    return {
        "name": one.name,
        "asked_on": one.asked_on,
        "amount": one.amount,
        "currency": one.currency,
        "hours": one.hours,
        "chapter": one.chapter,
        "task": one.task,
        "send_out": one.send_out,
        "state": one.state.value,
        "decided_on": one.decided_on,
        "decided_by": one.decided_by,
        "reason": one.reason,
    }


def _budget_line(
    key: str,  # noqa: ARG001
    chapter: str,
    amount: Decimal,
    currency: str,
    name: str,
    kind: str,
) -> BudgetLine:
    return BudgetLine(chapter, amount, currency, name, kind)


def _budget_values(line: BudgetLine) -> dict[str, Any]:
    return {
        "chapter": line.chapter,
        "amount": line.amount,
        "currency": line.currency,
        "name": line.name,
        "kind": line.kind,
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
    to_part=part_of,
    from_part=thing_from,
)
BUDGET_LINE = Kind(
    name="budget_line",
    plan_field="budget",
    row=BudgetLineRow,
    key_of=lambda line: line.chapter,
    build=_budget_line,
    values=_budget_values,
    part=BudgetDocument,
    to_part=part_of,
    from_part=thing_from,
)
EXCHANGE_RATE = Kind(
    name="exchange_rate",
    plan_field="exchange_rates",
    row=ExchangeRateRow,
    key_of=lambda one: f"{one.currency} {one.on}",
    build=_exchange_rate,
    values=_exchange_rate_values,
    part=ExchangeRateDocument,
    to_part=part_of,
    from_part=thing_from,
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
HOURS_WORKED = Kind(
    name="hours_worked",
    plan_field="hours",
    row=HoursWorkedRow,
    key_of=lambda one: one.id,
    build=_hours_worked,
    values=_hours_worked_values,
    part=HoursWorkedDocument,
    to_part=part_of,
    from_part=thing_from,
)
FUNDING = Kind(
    name="funding",
    plan_field="funding",
    row=FundingRow,
    key_of=lambda one: one.id,
    build=_funding,
    values=_funding_values,
    part=FundingDocument,
    to_part=part_of,
    from_part=thing_from,
)
BASELINE = Kind(
    name="baseline",
    plan_field="baselines",
    row=BaselineRow,
    key_of=lambda one: one.id,
    build=_baseline,
    values=_baseline_values,
    part=BaselineDocument,
    to_part=part_of,
    from_part=thing_from,
)
OVER_AND_ABOVE = Kind(
    name="over_and_above",
    plan_field="over_and_above",
    row=OverAndAboveRow,
    key_of=lambda one: one.id,
    build=_over_and_above,
    values=_over_and_above_values,
    part=OverAndAboveDocument,
    to_part=part_of,
    from_part=thing_from,
)
