"""Money: exact sums of cost lines and budgets. Pure, like the planning core."""

from ribstitch.money.at_completion import (
    CostRuns,
    budget_amount,
    cost_runs,
    joint_chance,
    missing_for_cost,
)
from ribstitch.money.totals import Totals, budget_total, cost_totals

__all__ = [
    "CostRuns",
    "Totals",
    "budget_amount",
    "budget_total",
    "cost_runs",
    "cost_totals",
    "joint_chance",
    "missing_for_cost",
]
