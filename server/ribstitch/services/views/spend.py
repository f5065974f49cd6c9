"""What was approved and what was paid, currency by currency; nothing is converted."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ribstitch.money import budget_total, cost_totals
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
    budget = budget_total(plan.budget).by_currency
    paid = cost_totals(plan.costs, "paid").by_currency
    own, *others = (
        Money(
            currency,
            str(budget.get(currency, Decimal(0))),
            str(paid.get(currency, Decimal(0))),
        )
        for currency in dict.fromkeys((plan.project.currency, *budget, *paid))
    )
    return Spend(own.currency, own.budget, own.paid, others)
