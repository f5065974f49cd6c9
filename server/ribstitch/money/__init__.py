"""Money: exact sums of cost lines and budgets. Pure, like the planning core."""

from ribstitch.money.at_completion import (
    CostRuns,
    cost_runs,
    joint_chance,
    missing_for_cost,
)
from ribstitch.money.budget import Budget, budget_amount, budget_of
from ribstitch.money.entries import Bucket, Entry, Flag, Origin
from ribstitch.money.exposure import Exposure, exposures
from ribstitch.money.forecast import ChapterForecast, Estimate, Forecast, estimates, forecast_of
from ribstitch.money.ledger import Ledger, ledger_of
from ribstitch.money.totals import Totals, budget_total, cost_totals

__all__ = [
    "Bucket",
    "Budget",
    "ChapterForecast",
    "CostRuns",
    "Entry",
    "Estimate",
    "Exposure",
    "Flag",
    "Forecast",
    "Ledger",
    "Origin",
    "Totals",
    "budget_amount",
    "budget_of",
    "budget_total",
    "cost_runs",
    "cost_totals",
    "estimates",
    "exposures",
    "forecast_of",
    "joint_chance",
    "ledger_of",
    "missing_for_cost",
]
