"""What was approved and what was paid, currency by currency; nothing is converted."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ribstitch.planning.model import Plan


@dataclass(frozen=True, slots=True)
class Money:
    """Approved and paid money in one currency, as decimal strings."""

    currency: str
    budget: str
    paid: str


@dataclass(frozen=True, slots=True)
class Spend:
    """Money in the project's currency, and in each of the others."""

    currency: str
    budget: str
    paid: str
    by_currency: list[Money]


def spend(plan: Plan) -> Spend:
    """Add up the budget and what was paid."""
    budget: dict[str, Decimal] = {plan.project.currency: Decimal(0)}
    paid: dict[str, Decimal] = {plan.project.currency: Decimal(0)}
    for line in plan.budget:
        budget[line.currency] = budget.get(line.currency, Decimal(0)) + line.amount
    for cost in plan.costs:
        if cost.state == "paid":
            paid[cost.currency] = paid.get(cost.currency, Decimal(0)) + cost.amount
    own, *others = (
        Money(
            currency,
            str(budget.get(currency, Decimal(0))),
            str(paid.get(currency, Decimal(0))),
        )
        for currency in {**budget, **paid}
    )
    return Spend(own.currency, own.budget, own.paid, others)
