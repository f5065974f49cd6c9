"""Sums of cost lines by currency; nothing is converted, nothing is rounded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from ribstitch.planning.model import BudgetLine, Cost


@dataclass(frozen=True, slots=True)
class Totals:
    """Exact sums by currency (ISO 4217)."""

    by_currency: Mapping[str, Decimal]


def cost_totals(costs: Iterable[Cost], state: str | None = None) -> Totals:
    """Sum cost lines by currency; `state` picks those in one state, such as "paid"."""
    return _sum((one.currency, one.amount) for one in costs if state in (None, one.state))


def budget_total(lines: Iterable[BudgetLine]) -> Totals:
    """Sum budget lines by currency."""
    return _sum((one.currency, one.amount) for one in lines)


def _sum(amounts: Iterable[tuple[str, Decimal]]) -> Totals:
    """Add amounts up by currency, currencies in alphabetical order."""
    sums: defaultdict[str, Decimal] = defaultdict(Decimal)
    for currency, amount in amounts:
        sums[currency] += amount
    return Totals(dict(sorted(sums.items())))
