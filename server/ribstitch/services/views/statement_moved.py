"""How finish and cost as written moved: since an earlier plan, and since what was approved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from ribstitch.charts.paper import plural
from ribstitch.money import budget_amount, forecast_of, ledger_of
from ribstitch.money.movement import since_approval
from ribstitch.planning.model import Baseline, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.services.earlier_plan import EarlierPlan
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.money_lines import chapter_titles, named
from ribstitch.services.views.money_sums import money_forecast
from ribstitch.services.views.money_words import shown_units, text
from ribstitch.services.views.statement_shape import ChapterMoved, Moved, MovedStep

_ByChapter = Mapping[str | None, int]


@dataclass(frozen=True, slots=True)
class _Before:
    """What finish and cost are compared with."""

    words: str
    """How a sentence about it begins."""
    since: date | None
    since_version: int | None
    finish: date | None
    by_chapter: _ByChapter
    """[minor units]"""
    titles: Mapping[str, str]


def moved_since(current: CurrentPlan, earlier: EarlierPlan | None) -> Moved | None:
    """Return how the forecast moved; None without an earlier plan in the same currency."""
    if earlier is None or earlier.plan.project.currency != current.plan.project.currency:
        return None
    return moved_between(current, earlier.plan, earlier.plan_version)


def moved_between(current: CurrentPlan, earlier: Plan, plan_version: int) -> Moved:
    """
    Return how the forecast moved since a version of the plan in the same currency.

    The earlier plan is reckoned anew, by the rules of today, so that what moved is the
    plan and nothing else.
    """
    then, since = schedule(earlier), earlier.project.as_of
    chapters = forecast_of(earlier, ledger_of(then)).chapters
    before = _Before(
        words=f"Since {since}",
        since=since,
        since_version=plan_version,
        finish=then.finish_on,
        by_chapter={one.chapter: one.at_completion for one in chapters},
        titles=chapter_titles(earlier),
    )
    return _moved(current, before, [])


def moved_since_approval(current: CurrentPlan) -> Moved | None:
    """Return how finish and cost stand to the newest baseline and the budget."""
    if not budget_amount(current.plan):
        return None
    baselines = current.plan.baselines
    approved = baselines[-1] if baselines else None
    words = "Against the budget"
    if approved is not None:
        words = f"Against the budget, and the plan approved on {approved.approved_on}"
    before = _Before(
        words=words,
        since=None if approved is None else approved.approved_on,
        since_version=None,
        finish=None if approved is None else approved.finish,
        by_chapter={one.chapter: one.budget for one in money_forecast(current).chapters},
        titles={},
    )
    return _moved(current, before, [] if approved is None else _since(current, approved))


def _since(current: CurrentPlan, approved: Baseline) -> list[MovedStep]:
    """Return what moved the finish since a baseline."""
    found = since_approval(current.schedule, approved)
    count = plural(found.came_later, "piece")
    steps = (
        MovedStep(f"Work that came later ({count})", found.for_later),
        MovedStep("All other work: longer, later, waiting", found.for_others),
    )
    return [one for one in steps if one.days]


def _moved(current: CurrentPlan, before: _Before, steps: list[MovedStep]) -> Moved:
    """Set the forecast against what was before."""
    currency, finish = current.plan.project.currency, current.finish_on
    then = before.by_chapter
    now = {one.chapter: one.at_completion for one in money_forecast(current).chapters}
    days = None if before.finish is None else (finish - before.finish).days
    units = sum(now.values()) - sum(then.values())
    return Moved(
        since=before.since,
        since_version=before.since_version,
        finish_before=before.finish,
        finish=finish,
        days=days,
        before=text(sum(then.values()), currency),
        now=text(sum(now.values()), currency),
        moved=text(units, currency),
        sentence=_sentence(before, finish, days, units, currency),
        steps=steps,
        chapters=_chapters(current, then, now, before.titles),
    )


def _chapters(
    current: CurrentPlan, then: _ByChapter, now: _ByChapter, titles: Mapping[str, str]
) -> list[ChapterMoved]:
    """Return the chapters that moved, the largest move first."""
    currency, known = current.plan.project.currency, {**titles, **chapter_titles(current.plan)}
    moved = {one: now.get(one, 0) - then.get(one, 0) for one in {**then, **now}}
    order = sorted(
        (one for one in moved if moved[one]), key=lambda one: (-abs(moved[one]), one or "")
    )
    return [
        ChapterMoved(
            *named(one, known),
            before=text(then.get(one, 0), currency),
            now=text(now.get(one, 0), currency),
            moved=text(moved[one], currency),
        )
        for one in order
    ]


def _sentence(before: _Before, finish: date, days: int | None, units: int, currency: str) -> str:
    """Say in one sentence by how much the cost and the finish moved."""
    cost = "costs the same"
    if units:
        cost = f"costs {shown_units(abs(units), currency)} {'more' if units > 0 else 'less'}"
    if days is None:
        return f"{before.words}, it {cost} as written."
    when = f"is finished on {finish} all the same"
    if days:
        way = "later" if days > 0 else "sooner"
        when = f"is finished {plural(abs(days), 'day')} {way}, on {finish}"
    return f"{before.words}, it {cost} as written, and {when}."
