"""Money: ledger, forecast, baseline, earned value, cash need. Pure, like the planning core."""

from ribstitch.money.at_completion import (
    CostRuns,
    cost_runs,
    joint_chance,
    missing_for_cost,
)
from ribstitch.money.baseline import make_baseline, missing_for_baseline
from ribstitch.money.budget import Budget, budget_amount, budget_of
from ribstitch.money.cash import CashMonth, CashNeed, Need, Reach, cash_need
from ribstitch.money.earned import (
    Earned,
    MonthEarned,
    PackageEarned,
    earned_of,
    in_months,
    missing_for_earned,
)
from ribstitch.money.entries import Bucket, Entry, Flag, Origin
from ribstitch.money.exposure import Exposure, exposures
from ribstitch.money.forecast import ChapterForecast, Estimate, Forecast, estimates, forecast_of
from ribstitch.money.ledger import Ledger, ledger_of
from ribstitch.money.planned_value import PlannedValue
from ribstitch.money.totals import cost_totals

__all__ = [
    "Bucket",
    "Budget",
    "CashMonth",
    "CashNeed",
    "ChapterForecast",
    "CostRuns",
    "Earned",
    "Entry",
    "Estimate",
    "Exposure",
    "Flag",
    "Forecast",
    "Ledger",
    "MonthEarned",
    "Need",
    "Origin",
    "PackageEarned",
    "PlannedValue",
    "Reach",
    "budget_amount",
    "budget_of",
    "cash_need",
    "cost_runs",
    "cost_totals",
    "earned_of",
    "estimates",
    "exposures",
    "forecast_of",
    "in_months",
    "joint_chance",
    "ledger_of",
    "make_baseline",
    "missing_for_baseline",
    "missing_for_cost",
    "missing_for_earned",
]
