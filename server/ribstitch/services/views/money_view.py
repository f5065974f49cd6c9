"""The money page: what is spent, ordered and to come, when, and what waits for a yes."""

from __future__ import annotations

from ribstitch.money import budget_amount, cost_runs
from ribstitch.money.earned import missing_for_earned
from ribstitch.planning.uncertainty import Simulation
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_cash import cash, cash_view
from ribstitch.services.views.money_earned import earned_view
from ribstitch.services.views.money_growth import price_growth
from ribstitch.services.views.money_likely import likely_cost
from ribstitch.services.views.money_lines import chapters, currencies, decisions, vendors
from ribstitch.services.views.money_shape import Flag, MoneyView
from ribstitch.services.views.money_sums import ledger, money_forecast, promised, spent
from ribstitch.services.views.money_why import delay_month, reasons
from ribstitch.services.views.money_words import text


def money_view(current: CurrentPlan, simulation: Simulation | None) -> MoneyView:
    """
    Return the money page.

    Parameters
    ----------
    current
        The plan.
    simulation
        Of the plan; None while it runs: then nothing is said of how sure the cost is.
    """
    book, forecast = ledger(current), money_forecast(current)
    currency, whole = book.currency, forecast.whole
    budget = budget_amount(current.plan)
    costs = None if simulation is None else cost_runs(current.plan, simulation)
    return MoneyView(
        currency=currency,
        as_of=current.as_of,
        plan_version=current.plan_version,
        budget=None if budget is None else str(budget),
        contingency=text(forecast.budget.contingency, currency),
        contingency_left=text(forecast.budget.contingency_left, currency),
        spent=text(spent(whole), currency),
        committed=text(promised(whole), currency),
        expected=text(whole.expected, currency),
        at_completion=text(whole.at_completion, currency),
        allowance=text(whole.allowance, currency),
        price_growth=price_growth(current),
        likely=likely_cost(current, simulation, costs),
        why=reasons(current),
        missing=[*book.missing, *forecast.budget.missing],
        flags=[Flag(one.of, one.sentence) for one in book.flags],
        chapters=chapters(current),
        vendors=vendors(current),
        currencies=currencies(current),
        earned=earned_view(current),
        earned_missing=missing_for_earned(current.plan),
        cash=cash_view(cash(current, simulation, costs), is_simulated=costs is not None),
        decisions=decisions(current),
        delay_month=delay_month(current),
    )
