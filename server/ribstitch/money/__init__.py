"""Money: exact sums of cost lines and budgets. Pure, like the planning core."""

from ribstitch.money.totals import Totals, budget_total, cost_totals

__all__ = ["Totals", "budget_total", "cost_totals"]
