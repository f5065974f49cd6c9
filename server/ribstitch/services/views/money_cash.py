"""When the money is needed, as the money page shows it."""

from __future__ import annotations

from ribstitch.money import CostRuns
from ribstitch.money.cash import ByCurrency, CashNeed, Reach, cash_need
from ribstitch.money.cash import CashMonth as Month
from ribstitch.money.minor_units import in_minor_units
from ribstitch.planning.uncertainty import Simulation
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_shape import Cash, CashMonth, CurrencyAmount, Dry, Sentence
from ribstitch.services.views.money_sums import ledger
from ribstitch.services.views.money_words import month_name, text

_SURE = 80
_LIKELY = 50


def cash(current: CurrentPlan, simulation: Simulation | None, costs: CostRuns | None) -> CashNeed:
    """
    Return the need for cash; as written, as long as the plan is not simulated.

    Parameters
    ----------
    current
        The plan.
    simulation
        Of the plan; None while it runs.
    costs
        Its runs, priced; None where something is missing for that.
    """
    if simulation is None:
        return current.derived("cash", lambda: cash_need(current.schedule, ledger(current)))
    spread = simulation.finish_spread
    return cash_need(
        current.schedule,
        ledger(current),
        likely=Reach(spread.p50, _units(costs, _LIKELY)),
        possible=Reach(spread.p80, _units(costs, _SURE)),
    )


def _units(costs: CostRuns | None, percent: int) -> int | None:
    """Return a percentile of the cost. [minor units]"""
    return None if costs is None else in_minor_units(costs.percentile(percent), costs.currency)


def cash_view(need: CashNeed, *, is_simulated: bool) -> Cash:
    """Return the need for cash, ready to be shown."""
    dry = need.dry
    return Cash(
        months=[_month(one, need.currency, is_simulated) for one in need.months],
        on_account=None if need.on_account is None else text(need.on_account, need.currency),
        overdue=text(need.overdue, need.currency),
        dry=None if dry is None else Dry(month_name(dry), need.dry_sentence),
        lasts=Sentence(need.dry_sentence),
        next=Sentence(need.next_sentence),
    )


def _month(one: Month, currency: str, is_simulated: bool) -> CashMonth:
    return CashMonth(
        month=month_name(one.month),
        committed=text(one.committed, currency),
        likely=text(one.likely, currency),
        possible=text(one.possible, currency) if is_simulated else None,
        funding=text(one.funding, currency),
        balance=None if one.balance is None else text(one.balance, currency),
        committed_in=_in_currencies(one.native),
        likely_in=_in_currencies(one.likely_native),
        possible_in=_in_currencies(one.possible_native) if is_simulated else [],
    )


def _in_currencies(amounts: ByCurrency) -> list[CurrencyAmount]:
    return [CurrencyAmount(currency, text(units, currency)) for currency, units in amounts]
