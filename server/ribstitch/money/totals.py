"""Sums of cost lines by currency; nothing is converted, nothing is rounded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from ribstitch.planning.model import Cost


def cost_totals(costs: Iterable[Cost]) -> dict[str, Decimal]:
    """Return exact sums by currency (ISO 4217), currencies in alphabetical order."""
    sums: defaultdict[str, Decimal] = defaultdict(Decimal)
    for one in costs:
        sums[one.currency] += one.amount
    return dict(sorted(sums.items()))
