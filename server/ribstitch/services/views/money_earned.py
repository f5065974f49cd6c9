"""Earned value as the money page shows it."""

from __future__ import annotations

from fractions import Fraction

from ribstitch.money import estimates
from ribstitch.money.earned import Earned as Measured
from ribstitch.money.earned import MonthEarned, in_months
from ribstitch.money.minor_units import rounded
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_shape import Earned, EarnedMonth, EstimateLine
from ribstitch.services.views.money_sums import earned, money_forecast
from ribstitch.services.views.money_words import month_name, text

_INDEX_PLACES = 4
_MONTH_PLACES = 2


def earned_view(current: CurrentPlan) -> Earned | None:
    """Return earned value against the newest baseline; None without one."""
    found = earned(current)
    if found is None:
        return None
    value, currency = found.value, found.currency
    return Earned(
        as_of=found.as_of,
        baseline=found.baseline.id,
        bac=text(found.budget, currency),
        pv=text(found.planned, currency),
        ev=text(found.earned, currency),
        ac=text(found.actual, currency),
        cv=str(rounded(value.cost_variance, currency)),
        sv=str(rounded(value.schedule_variance, currency)),
        cpi=_number(value.cost_index, _INDEX_PLACES),
        spi=_number(value.schedule_index, _INDEX_PLACES),
        eac=_money(value.estimate_by_cost, currency),
        etc=_money(value.to_spend, currency),
        vac=_money(value.variance_at_completion, currency),
        tcpi=_number(value.index_to_budget, _INDEX_PLACES),
        es_months=_number(in_months(found.pace.earned), _MONTH_PLACES),
        svt_months=_number(in_months(found.pace.variance), _MONTH_PLACES),
        spit=_number(found.pace.index, _INDEX_PLACES),
        finish_by_pace=found.finish_by_pace,
        estimates=_estimates(current, found),
        months=[_month(one, currency) for one in found.months],
        sentences=list(found.sentences()),
    )


def _estimates(current: CurrentPlan, found: Measured) -> list[EstimateLine]:
    """Return the estimates that go by indices, each with why it differs from the forecast."""
    whole = money_forecast(current).whole.at_completion
    return [
        EstimateLine(
            one.name,
            None if one.amount is None else text(one.amount, found.currency),
            one.sentence,
        )
        for one in estimates(found.value, whole, found.currency)
    ]


def _month(one: MonthEarned, currency: str) -> EarnedMonth:
    return EarnedMonth(
        month=month_name(one.month),
        pv=text(one.planned, currency),
        ev=None if one.earned is None else text(one.earned, currency),
        ac=None if one.actual is None else text(one.actual, currency),
    )


def _number(exact: Fraction | None, places: int) -> float | None:
    return None if exact is None else round(float(exact), places)


def _money(exact: Fraction | None, currency: str) -> str | None:
    return None if exact is None else str(rounded(exact, currency))
