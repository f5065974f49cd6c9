"""What it is likely to cost in the end, and why that is not what is written."""

from __future__ import annotations

from decimal import Decimal

from ribstitch.money import CostRuns
from ribstitch.money.ledger import standing_to_come
from ribstitch.money.minor_units import from_minor_units, in_minor_units
from ribstitch.planning.uncertainty import Simulation
from ribstitch.planning.uncertainty.results import percentile_place
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_shape import LikelyCost
from ribstitch.services.views.money_sums import money_forecast
from ribstitch.services.views.money_words import shown, shown_units

_LIKELY, _SURE = 50, 80
_OF_WORK = (
    "work that takes less than that",
    "work that runs over its estimate or is still to be found",
)
_OF_WORK_AND_PRICES = (
    "work and prices that take less than that",
    "work and prices that run over their estimates or are still to be found",
)
"""What the likely cost has less of, or more."""


def likely_cost(
    current: CurrentPlan, simulation: Simulation | None, costs: CostRuns | None
) -> LikelyCost | None:
    """
    Return the likely cost and that of 8 courses in 10, with what the former adds and why.

    Parameters
    ----------
    current
        The plan.
    simulation
        Of the plan; None while it runs.
    costs
        Its runs, priced; None where something is missing for that.
    """
    if simulation is None or costs is None:
        return None
    likely = costs.percentile(_LIKELY)
    sentence = _sentence(current, simulation, in_minor_units(likely, costs.currency))
    return LikelyCost(str(likely), str(costs.percentile(_SURE)), sentence)


def _sentence(current: CurrentPlan, simulation: Simulation, likely: int) -> str:
    """
    Say what the likely cost adds to the cost as written.

    Standing cost runs until the likely finish; all else that differs is work, and prices
    that may still grow. The likely cost and the likely finish need not be of the same course.
    """
    forecast = money_forecast(current).whole
    currency = current.plan.project.currency
    standing = _standing_by(current, simulation)
    work = likely - forecast.at_completion - standing
    what = (_OF_WORK_AND_PRICES if forecast.price_growth else _OF_WORK)[work > 0]
    until = f"until {simulation.finish_at(_LIKELY)}, not {current.finish_on}"
    more = _more(work, standing, currency, what, until)
    written = shown_units(forecast.at_completion, currency)
    return f"If everything goes as written, it comes to {written}. {more}"


def _more(work: int, standing: int, currency: str, what: str, until: str) -> str:
    """Say what work and standing cost add to the cost as written. [minor units]"""
    of_work, of_standing = (_roughly(abs(units), currency) for units in (work, standing))
    if work and standing:
        return (
            f"It is likely to be {of_work} {'more' if work > 0 else 'less'} for {what}, and "
            f"{of_standing} {'more' if standing > 0 else 'less'} for standing cost {until}."
        )
    if work:
        return f"It is likely to be {of_work} {'more' if work > 0 else 'less'} for {what}."
    if standing:
        return (
            f"It is likely to be {of_standing} {'more' if standing > 0 else 'less'} "
            f"for standing cost {until}."
        )
    return "That is likely, too."


def _standing_by(current: CurrentPlan, simulation: Simulation) -> int:
    """Return what standing cost until the likely finish adds. [minor units]"""
    place = percentile_place(_LIKELY, simulation.runs)
    finishes = (int(simulation.ordered_finish[place]), current.schedule.project_finish)
    likely, written = (
        sum(one.worth for one in standing_to_come(current.plan, finish)) for finish in finishes
    )
    return likely - written


def _roughly(units: int, currency: str) -> str:
    """Write what is only likely, to three digits or to the whole: ``41200 EUR``."""
    whole = int(from_minor_units(units, currency).to_integral_value())
    keep = max(len(str(whole)) - 3, 0)
    return shown(Decimal(round(whole, -keep)), currency)
