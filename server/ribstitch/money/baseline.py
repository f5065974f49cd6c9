"""A baseline: the plan and its budget as approved, cut into packages.

A package is the budget of one task or of one send-out with its further trips, and the
dates on which it was to be done; later changes of the plan do not touch it. The budget of
a chapter is shared out over its work by planned cost. A chapter without work is a package
that comes with time.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from ribstitch.money.budget import KEPT_BACK, UNSHARED, cost_of_item
from ribstitch.money.labour import rates_of
from ribstitch.money.minor_units import from_minor_units, in_minor_units, share_out, worth
from ribstitch.money.planned_work import (
    PlannedWork,
    chapters_of_work,
    planned_work,
)
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.exchange import exchange_of
from ribstitch.planning.model import (
    Baseline,
    Decision,
    EarningRule,
    OverAndAbove,
    Package,
    Plan,
)
from ribstitch.planning.schedule import Schedule


def time_package(chapter: str) -> str:
    """Return the id of the package of a chapter that comes with time."""
    return f"chapter:{chapter}"


def missing_for_baseline(plan: Plan) -> str | None:
    """Say in one sentence what a plan lacks for a baseline; None: nothing."""
    if not any(line.kind != KEPT_BACK for line in plan.budget):
        return "There is no budget yet: enter what is approved for each chapter."
    own = plan.project.currency
    exchange = exchange_of(plan)
    twice = {task.id for task in plan.tasks} & {item.id for item in plan.send_outs}
    for name in sorted(twice):
        return f'"{name}" is a task and a send-out: one of them needs another id.'
    chapters = chapters_of_work(plan)
    for item in _approved(plan):
        if _chapter_of(item, chapters) is None:
            return f'"{item.name}" was approved, but says neither its chapter nor its work.'
    for name, currency in (
        *((f'The budget of chapter "{line.chapter}"', line.currency) for line in plan.budget),
        *((f'"{item.name}"', item.currency or own) for item in _approved(plan)),
    ):
        if not exchange.knows(currency):
            return f"{name} is in {currency}, of which no exchange rate into {own} is given."
    for chapter, units in _budget(plan, plan.project.as_of).items():
        if units < 0:
            return (
                f'The budget of chapter "{chapter}" adds up to less than nothing, which no '
                "work can earn."
            )
    return None


def make_baseline(
    plan: Plan, schedule: Schedule, *, baseline_id: str, approved_on: date, reason: str
) -> Baseline:
    """
    Keep a plan and its budget as they stand.

    The budget is that of all lines but contingency, each at the rate of the date of
    approval, and what was approved over and above, which contingency pays for; so the
    baseline and what is left of contingency are the whole budget.
    Work is weighed by people x hours x rate and by its cost lines; a chapter in which
    nothing costs anything is shared out by hours. Parts add up by largest remainder.
    What is approved for the whole project (`UNSHARED`) is earned by all work of chapters
    that have no budget of their own.

    Parameters
    ----------
    plan
        A plan for which `missing_for_baseline` finds nothing missing.
    schedule
        Its schedule, which the dates are taken from.
    baseline_id, approved_on, reason
        As they are kept.

    Raises
    ------
    InvalidValueError
        With the sentence of `missing_for_baseline`.
    """
    missing = missing_for_baseline(plan)
    if missing is not None:
        raise InvalidValueError("budget", missing)
    work = planned_work(plan, schedule, approved_on)
    return Baseline(
        id=baseline_id,
        approved_on=approved_on,
        finish=schedule.finish_on,
        reason=reason,
        packages=tuple(_packages(plan, schedule, work, _budget(plan, approved_on))),
    )


def _packages(
    plan: Plan, schedule: Schedule, work: Sequence[PlannedWork], budget: dict[str, int]
) -> Iterator[Package]:
    """Yield the packages of the work in order of entry, then those that come with time."""
    currency = plan.project.currency
    units = {one.id: 0 for one in work}
    shared = {line.chapter for line in plan.budget}
    with_time = []
    for chapter, whole in budget.items():
        if chapter == UNSHARED:
            mine = [one for one in work if one.chapter not in shared]
        else:
            mine = [one for one in work if one.chapter == chapter]
        weights = [one.cost for one in mine]
        if not any(weights):
            weights = [one.hours for one in mine]
        if any(weights):
            parts = share_out(whole, weights)
            for one, part in zip(mine, parts, strict=True):
                units[one.id] += part
        else:
            with_time.append(chapter)
    for one in work:
        amount = from_minor_units(units[one.id], currency)
        yield Package(one.id, amount, one.start, one.finish, one.rule, one.chapter)
    start = plan.project.start
    finish = max(start, schedule.finish_on)
    for chapter in with_time:
        amount = from_minor_units(budget[chapter], currency)
        yield Package(time_package(chapter), amount, start, finish, EarningRule.TIME, chapter)


def _budget(plan: Plan, on: date) -> dict[str, int]:
    """Return the approved budget by chapter, contingency kept back. [minor units]"""
    exchange, rates = exchange_of(plan), rates_of(plan)
    found: defaultdict[str, int] = defaultdict(int)
    for line in plan.budget:
        if line.kind != KEPT_BACK:
            native = in_minor_units(line.amount, line.currency)
            found[line.chapter] += worth(native, line.currency, exchange, on)
    chapters = chapters_of_work(plan)
    for item in _approved(plan):
        found[_chapter_of(item, chapters) or ""] += cost_of_item(plan, item, rates) or 0
    return dict(found)


def _approved(plan: Plan) -> Iterator[OverAndAbove]:
    """Yield what was approved over and above."""
    return (one for one in plan.over_and_above if one.state is Decision.APPROVED)


def _chapter_of(item: OverAndAbove, chapters: dict[str, str | None]) -> str | None:
    """Return the chapter that an over-and-above item is charged to."""
    return item.chapter or chapters.get(item.task or "") or chapters.get(item.send_out or "")
