"""Why it comes to more or less than the budget, in sentences."""

from __future__ import annotations

from ribstitch.charts.paper import plural, short_words
from ribstitch.money import ChapterForecast
from ribstitch.money.minor_units import rounded
from ribstitch.planning.model import Decision
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_lines import chapter_titles
from ribstitch.services.views.money_shape import DelayMonth
from ribstitch.services.views.money_sums import money_forecast, promised, spent
from ribstitch.services.views.money_words import shown, shown_units

_MOST = 3


def answer(current: CurrentPlan) -> str:
    """Say what is spent, ordered and to come, and how that stands to the budget."""
    forecast = money_forecast(current)
    whole, currency = forecast.whole, forecast.budget.currency
    return (
        f"{shown_units(spent(whole), currency)} is spent and "
        f"{shown_units(promised(whole), currency)} billed or ordered; "
        f"{shown_units(whole.expected, currency)} is still to come. If it is finished on "
        f"{short_words(current.finish_on)}, it comes to "
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
    """Say which chapters cost most beyond their budget, and what was approved over and above."""
    forecast, titles = money_forecast(current), chapter_titles(current.plan)
    currency = forecast.budget.currency
    if not forecast.budget.by_chapter:
        return []
    over = sorted(
        (one for one in forecast.chapters if one.over > 0), key=lambda one: (-one.over, one.chapter)
    )
    found = [_chapter(one, titles, currency) for one in over[:_MOST]]
    rest = over[_MOST:]
    if rest:
        more = shown_units(sum(one.over for one in rest), currency)
        found.append(f"{plural(len(rest), 'more chapter')} together: {more} over.")
    approved = [one for one in current.plan.over_and_above if one.state is Decision.APPROVED]
    if approved:
        drawn = shown_units(forecast.budget.drawn, currency)
        left = shown_units(forecast.budget.contingency_left, currency)
        items = plural(len(approved), "item")
        found.append(
            f"{items} over and above approved: {drawn}; of what was kept back, {left} is left."
        )
    return found


def _chapter(one: ChapterForecast, titles: dict[str, str], currency: str) -> str:
    name = "What is of no chapter"
    if one.chapter is not None:
        name = f"Chapter {one.chapter} {titles.get(one.chapter, '')}".strip()
    comes_to = shown_units(one.at_completion, currency)
    if not one.budget:
        return f"{name} comes to {comes_to}; nothing was budgeted for it."
    return f"{name} comes to {comes_to}, {shown_units(one.over, currency)} over its budget."


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
