"""The one source of every figure about money: reckoned once for each plan version."""

from __future__ import annotations

from ribstitch.money import ChapterForecast, Forecast, Ledger, forecast_of, ledger_of
from ribstitch.money.earned import Earned, earned_of
from ribstitch.services.forecast import CurrentPlan


def ledger(current: CurrentPlan) -> Ledger:
    """Return all money of the plan, entry by entry."""
    return current.derived("ledger", lambda: ledger_of(current.schedule))


def money_forecast(current: CurrentPlan) -> Forecast:
    """Return the forecast at completion, by chapter, against the budget."""
    return current.derived("money_forecast", lambda: forecast_of(current.plan, ledger(current)))


def earned(current: CurrentPlan) -> Earned | None:
    """Return earned value against the newest baseline; None where something is missing."""
    return current.derived("earned", lambda: earned_of(current.schedule, ledger(current)))


def spent(money: ChapterForecast) -> int:
    """Return what is spent: paid, and worked in the shop. [minor units]"""
    return money.paid + money.worked


def promised(money: ChapterForecast) -> int:
    """Return what is promised to others: invoiced and not paid, or ordered. [minor units]"""
    return money.invoiced + money.committed
