"""The owner's statement of one month: forecast, spend against budget, what waits."""

from __future__ import annotations

from datetime import date

from ribstitch.money import Bucket, budget_amount, cost_runs
from ribstitch.planning.uncertainty import Simulation
from ribstitch.services.earlier_plan import EarlierPlan
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_cash import cash, cash_view
from ribstitch.services.views.money_growth import price_growth
from ribstitch.services.views.money_likely import likely_cost
from ribstitch.services.views.money_lines import decisions
from ribstitch.services.views.money_sums import ledger, money_forecast, promised, spent
from ribstitch.services.views.money_why import answer, delay_month, reasons
from ribstitch.services.views.money_words import month_name, text
from ribstitch.services.views.statement_month import (
    baselines_in,
    chapters_in,
    decided_in,
    done_in,
    entries_in,
    hours_in,
    payments,
    photos_in,
    span_of,
)
from ribstitch.services.views.statement_moved import moved_since, moved_since_approval
from ribstitch.services.views.statement_shape import Statement


def statement(
    current: CurrentPlan,
    simulation: Simulation | None,
    month: date | None = None,
    earlier: EarlierPlan | None = None,
) -> Statement:
    """
    Return the statement of a month.

    What was paid, worked, decided and done is the month's; the forecast is that of the
    plan as it stands.

    Parameters
    ----------
    current
        The plan.
    simulation
        Of the plan; None while it runs.
    month
        Any date of it; None: that of the as-of date.
    earlier
        The plan as it was before the month; None where the project began later.

    Raises
    ------
    InvalidValueError
        If the month is before the project or after the as-of date.
    """
    span = span_of(current, month)
    book, forecast = ledger(current), money_forecast(current)
    project, currency, whole = current.plan.project, book.currency, forecast.whole
    budget = budget_amount(current.plan)
    costs = None if simulation is None else cost_runs(current.plan, simulation)
    spread = None if simulation is None else simulation.finish_spread
    entries = entries_in(current, span)
    sums = {
        bucket: sum(one.worth for one in entries if one.bucket is bucket)
        for bucket in (Bucket.PAID, Bucket.WORKED)
    }
    return Statement(
        month=month_name(span.first),
        first=span.first,
        last=span.last,
        as_of=current.as_of,
        plan_version=current.plan_version,
        project=project.name,
        aircraft=project.aircraft,
        serial=project.serial,
        currency=currency,
        finish=current.finish_on,
        target_finish=project.target_finish,
        likely_finish=None if spread is None else spread.p50,
        by80=None if spread is None else spread.p80,
        budget=None if budget is None else str(budget),
        contingency_left=text(forecast.budget.contingency_left, currency),
        spent=text(spent(whole), currency),
        invoiced=text(whole.invoiced, currency),
        committed=text(promised(whole), currency),
        expected=text(whole.expected, currency),
        allowance=text(whole.allowance, currency),
        at_completion=text(whole.at_completion, currency),
        price_growth=price_growth(current),
        likely=likely_cost(current, simulation, costs),
        sentence=answer(current),
        why=reasons(current),
        moved=moved_since(current, earlier),
        approved=moved_since_approval(current),
        paid=payments(current, entries),
        paid_total=text(sums[Bucket.PAID], currency),
        worked_hours=f"{hours_in(current, span).normalize():f}",
        worked_total=text(sums[Bucket.WORKED], currency),
        chapters=chapters_in(current, entries),
        done=done_in(current, span),
        photos=photos_in(current, span),
        decided=decided_in(current, span),
        baselines=baselines_in(current, span),
        decisions=decisions(current),
        cash=cash_view(cash(current, simulation, costs), is_simulated=costs is not None),
        delay_month=delay_month(current),
        missing=[*book.missing, *forecast.budget.missing],
    )
