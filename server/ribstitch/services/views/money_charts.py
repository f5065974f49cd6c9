"""What the drawings of money show, from the same figures as the page."""

from __future__ import annotations

from ribstitch.charts.earned import EarnedPoint, earned_figure
from ribstitch.charts.money_need import NeedMonth, money_need_figure
from ribstitch.charts.paper import Figure, sheet
from ribstitch.money import cost_runs
from ribstitch.money.cash import CashMonth
from ribstitch.money.earned import MonthEarned
from ribstitch.money.minor_units import from_minor_units
from ribstitch.money.months import end_of_month, month_of
from ribstitch.planning.uncertainty import Simulation
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_cash import cash
from ribstitch.services.views.money_sums import earned


def need_figure(current: CurrentPlan, simulation: Simulation | None) -> Figure:
    """Draw when the money is needed; without what is possible while it is simulated."""
    costs = None if simulation is None else cost_runs(current.plan, simulation)
    need = cash(current, simulation, costs)
    months = [_need(one, need.currency, is_simulated=costs is not None) for one in need.months]
    return money_need_figure(months, currency=need.currency, dry=need.dry)


def _need(one: CashMonth, currency: str, *, is_simulated: bool) -> NeedMonth:
    return NeedMonth(
        month=one.month,
        committed=from_minor_units(one.committed, currency),
        likely=from_minor_units(one.likely, currency),
        possible=from_minor_units(one.possible, currency) if is_simulated else None,
        funding=from_minor_units(one.funding, currency),
        balance=None if one.balance is None else from_minor_units(one.balance, currency),
    )


def earned_value_figure(current: CurrentPlan) -> Figure:
    """Draw planned value, earned value and actual cost; an empty sheet without a baseline."""
    found = earned(current)
    if found is None:
        return {"data": [], "layout": sheet()}
    now = month_of(found.as_of)

    def point(one: MonthEarned) -> EarnedPoint:
        on = found.as_of if one.month == now else end_of_month(one.month)
        planned = found.planned if one.month == now else one.planned
        return EarnedPoint(
            on=on,
            planned=from_minor_units(planned, found.currency),
            earned=None if one.earned is None else from_minor_units(one.earned, found.currency),
            actual=None if one.actual is None else from_minor_units(one.actual, found.currency),
        )

    return earned_figure(
        [point(one) for one in found.months],
        start=found.start,
        as_of=found.as_of,
        budget=from_minor_units(found.budget, found.currency),
        currency=found.currency,
    )
