"""How the forecast at completion moved since an earlier plan, chapter by chapter."""

from __future__ import annotations

from ribstitch.charts.paper import short_words
from ribstitch.money import forecast_of, ledger_of
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_lines import NO_CHAPTER, chapter_titles
from ribstitch.services.views.money_sums import money_forecast
from ribstitch.services.views.money_words import shown_units, text
from ribstitch.services.views.statement_shape import ChapterMoved, CostMoved


def moved_since(current: CurrentPlan, earlier: Plan | None) -> CostMoved | None:
    """
    Return how the forecast moved; None without an earlier plan in the same currency.

    The earlier plan is reckoned anew, by the rules of today, so that what moved is the
    plan and nothing else.
    """
    currency = current.plan.project.currency
    if earlier is None or earlier.project.currency != currency:
        return None
    then = schedule(earlier)
    before = {
        one.chapter: one.at_completion for one in forecast_of(earlier, ledger_of(then)).chapters
    }
    now = {one.chapter: one.at_completion for one in money_forecast(current).chapters}
    titles = {**chapter_titles(earlier), **chapter_titles(current.plan)}
    moved = {chapter: now.get(chapter, 0) - before.get(chapter, 0) for chapter in {**before, **now}}
    order = sorted(
        (chapter for chapter in moved if moved[chapter]),
        key=lambda chapter: (-abs(moved[chapter]), chapter or ""),
    )
    return CostMoved(
        since=earlier.project.as_of,
        finish_before=then.finish_on,
        before=text(sum(before.values()), currency),
        now=text(sum(now.values()), currency),
        moved=text(sum(moved.values()), currency),
        sentence=_sentence(earlier, sum(moved.values()), currency),
        chapters=[
            ChapterMoved(
                chapter=chapter or "",
                title=NO_CHAPTER if chapter is None else titles.get(chapter, ""),
                before=text(before.get(chapter, 0), currency),
                now=text(now.get(chapter, 0), currency),
                moved=text(moved[chapter], currency),
            )
            for chapter in order
        ],
    )


def _sentence(earlier: Plan, units: int, currency: str) -> str:
    since = short_words(earlier.project.as_of)
    if not units:
        return f"Since {since} the forecast has not moved."
    way = "more" if units > 0 else "less"
    return f"Since {since} the forecast has moved by {shown_units(abs(units), currency)} {way}."
