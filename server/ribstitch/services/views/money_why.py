"""Why it comes to more or less than the budget, in sentences."""

from __future__ import annotations

from fractions import Fraction

from ribstitch.charts.paper import plural
from ribstitch.money import ChapterForecast
from ribstitch.money.minor_units import rounded
from ribstitch.planning.exchange import exchange_of
from ribstitch.planning.model import Cost, CostStep, Decision, Plan
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_shape import DelayMonth
from ribstitch.services.views.money_sums import money_forecast, promised, spent
from ribstitch.services.views.money_words import shown, shown_units

_MOST = 3
"""So many prices are named."""


def answer(current: CurrentPlan) -> str:
    """Say what is spent, ordered and to come, and how that stands to the budget."""
    forecast = money_forecast(current)
    whole, currency = forecast.whole, forecast.budget.currency
    return (
        f"{shown_units(spent(whole), currency)} is spent and "
        f"{shown_units(promised(whole), currency)} billed or ordered; "
        f"{shown_units(whole.expected, currency)} is still to come. If it is finished on "
        f"{current.finish_on}, it comes to "
        f"{shown_units(whole.at_completion, currency)}{_against(whole, currency)}."
    )


def _against(whole: ChapterForecast, currency: str) -> str:
    """Say how the forecast stands to the budget, contingency included."""
    if not whole.budget:
        return "; no budget is set"
    budget = shown_units(whole.budget, currency)
    if not whole.over:
        return f", the budget of {budget}"
    side = "over" if whole.over > 0 else "under"
    return f", {shown_units(abs(whole.over), currency)} {side} the budget of {budget}"


def reasons(current: CurrentPlan) -> list[str]:
    """
    Say why it is no longer the budget, beside the chapters.

    What was approved over and above, and which prices moved most since they were first
    entered.
    """
    return [*_approved(current), *_prices(current.plan)]


def _approved(current: CurrentPlan) -> list[str]:
    """Say what was approved over and above."""
    approved = [one for one in current.plan.over_and_above if one.state is Decision.APPROVED]
    if not approved:
        return []
    budget = money_forecast(current).budget
    drawn = shown_units(budget.drawn, budget.currency)
    left = shown_units(budget.contingency_left, budget.currency)
    items = plural(len(approved), "item")
    return [f"{items} over and above approved: {drawn}; of what was kept back, {left} is left."]


def _prices(plan: Plan) -> list[str]:
    """Say which prices moved most since they were first entered."""
    exchange, on = exchange_of(plan), plan.project.as_of

    def moved(line: Cost) -> Fraction:
        by = Fraction(abs(line.amount - line.earlier[0].amount))
        return by * exchange.rate(line.currency, on) if exchange.knows(line.currency) else by

    lines = [line for line in plan.costs if line.earlier and moved(line)]
    lines.sort(key=lambda line: (-moved(line), line.id))
    return [
        f"{line.name or line.id} was {_stood(line.earlier[0], line.currency)} and is now "
        f"{shown(rounded(line.amount, line.currency), line.currency)}."
        for line in lines[:_MOST]
    ]


def _stood(step: CostStep, currency: str) -> str:
    """Say what a price was at first."""
    amount = shown(rounded(step.amount, currency), currency)
    said = {
        "estimate": f"estimated at {amount}",
        "quoted": f"quoted at {amount}",
        "ordered": f"ordered at {amount}",
        "invoiced": f"invoiced at {amount}",
        "paid": f"paid at {amount}",
    }
    return said[step.state]


def delay_month(current: CurrentPlan) -> DelayMonth | None:
    """Say what a month more costs; None where a month costs nothing by itself."""
    project = current.plan.project
    if not project.standing_per_month:
        return None
    amount = rounded(project.standing_per_month, project.currency)
    return DelayMonth(
        str(amount),
        f"A month later costs about {shown(amount, project.currency)}, even if nobody works.",
    )
