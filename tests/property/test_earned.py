"""Random baselines and plans: the curve, earned value and cash need always balance."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from math import floor

import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.money.baseline import make_baseline, missing_for_baseline
from ribstitch.money.budget import budget_of
from ribstitch.money.cash import FIRM, CashNeed, Reach, cash_need
from ribstitch.money.curve import Accrual, Curve
from ribstitch.money.earned import Earned, earned_of
from ribstitch.money.entries import Bucket
from ribstitch.money.ledger import Ledger, ledger_of
from ribstitch.money.planned_value import PlannedValue
from ribstitch.planning.model import (
    Baseline,
    Decision,
    EarningRule,
    OverAndAbove,
    Package,
    Plan,
    SendOutStatus,
    Source,
    State,
    TaskStatus,
)
from ribstitch.planning.schedule import schedule
from tests.property.money_strategies import AS_OF, START, costed_plans
from tests.property.settings import examples

RULES = tuple(EarningRule)
PLACES = {"EUR": 2, "JPY": 0, "KWD": 3, "CZK": 2}
HALF = Fraction(1, 2)

money = st.decimals(0, 5000, places=2) | st.decimals(0, 10**15, places=4)


@st.composite
def measured_plans(draw: st.DrawFn) -> Plan:
    """Draw a plan with a baseline that knows some of its work, and some that is gone."""
    made = draw(costed_plans())
    waiting = (
        replace(item, status=SendOutStatus(), source=Source.OVERHAUL) for item in made.send_outs
    )
    made = replace(made, send_outs=tuple(waiting))
    ids = [task.id for task in made.tasks] + ["S1", "S2", "gone", "chapter:91"]
    packages = []
    for name in draw(st.sets(st.sampled_from(ids), min_size=1)):
        first = START + timedelta(days=draw(st.integers(-20, 120)))
        last = first + timedelta(days=draw(st.integers(0, 90)))
        rule = EarningRule.TIME if ":" in name else draw(st.sampled_from(RULES[:4]))
        packages.append(Package(name, draw(money), first, last, rule))
    known = Package("first", Decimal(1), START, START, EarningRule.ALL_AT_END)
    return replace(made, baselines=(Baseline("B1", START, AS_OF, packages=(known, *packages)),))


def measured(made: Plan) -> tuple[Earned, Ledger]:
    dates = schedule(made)
    ledger = ledger_of(dates)
    found = earned_of(dates, ledger)
    assert found is not None
    return found, ledger


def units(package: Package, currency: str) -> int:
    """Return a package's budget. [minor units]"""
    return floor(Fraction(package.amount) * Fraction(10) ** PLACES[currency] + HALF)


def planned_table(made: Plan) -> pd.DataFrame:
    """Return what is planned on each date, a row for each date and package."""
    rows = []
    for package in made.baselines[-1].packages:
        whole = units(package, made.project.currency)
        dates = pd.date_range(package.start, package.finish)
        for place, day in enumerate(dates, start=1):
            match package.rule:
                case EarningRule.ALL_AT_END:
                    by_then = whole if place == len(dates) else 0
                case EarningRule.HALF_AND_HALF:
                    by_then = whole if place == len(dates) else (whole + 1) // 2
                case _:
                    by_then = floor(Fraction(whole * place, len(dates)) + HALF)
            rows.append((package.id, day.date(), by_then))
    table = pd.DataFrame(rows, columns=["package", "day", "by_then"], dtype=object)
    before = table.groupby("package")["by_then"].shift(fill_value=0)
    return table.assign(units=table["by_then"] - before)


def earned_share(made: Plan, package: Package, today: date) -> Fraction:
    """Return the share of a package that is earned; no vendor has begun anything."""
    task = next((one for one in made.tasks if one.id == package.id), None)
    if package.rule is EarningRule.TIME:
        dates = (package.finish - package.start).days + 1
        gone = (today - package.start).days + 1
        return Fraction(min(max(gone, 0), dates), dates)
    if task is None or task.status.state is State.DROPPED:
        return Fraction(0)
    status = task.status
    if status.state is State.DONE:
        return Fraction(1)
    if status.started is None or package.rule is EarningRule.ALL_AT_END:
        return Fraction(0)
    if package.rule is EarningRule.HALF_AND_HALF:
        return HALF
    return 1 - Fraction(status.remaining or 0, task.duration)


@examples(60)
@given(measured_plans())
def test_earned_value_agrees_with_tables_of_pandas(made: Plan) -> None:
    found, ledger = measured(made)
    table = planned_table(made)
    assert found.budget == table["units"].sum()
    assert found.planned == table.loc[table["day"] <= AS_OF, "units"].sum()
    months = table.groupby(table["day"].map(lambda day: day.replace(day=1)))["units"].sum()
    run = months.cumsum()
    for month in found.months:
        known = run[run.index <= month.month]
        assert month.planned == (known.iloc[-1] if len(known) else 0)
    expected = sum(
        floor(units(one, found.currency) * earned_share(made, one, AS_OF) + HALF)
        for one in made.baselines[-1].packages
    )
    assert found.earned == expected
    buckets = pd.Series([one.bucket.value for one in ledger.entries], dtype=object)
    worth = pd.Series([one.worth for one in ledger.entries], dtype=object)
    assert found.actual == worth[buckets.isin(["paid", "invoiced", "worked"])].sum()


@examples(40)
@given(measured_plans())
def test_earned_is_never_more_than_budgeted_and_curves_never_fall(made: Plan) -> None:
    found, _ = measured(made)
    assert 0 <= found.earned <= found.budget
    for one in found.packages:
        assert 0 <= one.earned <= units(one.package, found.currency)
    assert sum(one.earned for one in found.packages) == found.earned
    assert sum(one.planned for one in found.packages) == found.planned
    planned = [month.planned for month in found.months]
    earned = [month.earned for month in found.months if month.earned is not None]
    assert all(a <= b for a, b in pairwise([0, *planned]))
    assert all(a <= b for a, b in pairwise([0, *earned]))
    assert planned[-1] == found.budget
    assert not earned or earned[-1] == found.earned
    named = {one.package.id for one in found.packages if one.lost}
    assert named == {*found.dropped, *found.gone}


@examples(40)
@given(measured_plans(), st.integers(0, 200))
def test_at_completion_all_is_earned_and_the_pace_is_planned_over_actual(
    made: Plan, late: int
) -> None:
    """Everything is done so many dates after the baseline's last; nothing was dropped."""
    packages = tuple(
        one for one in made.baselines[-1].packages if one.id[0] == "T" or ":" in one.id
    )
    if not any(units(one, made.project.currency) for one in packages) or not made.tasks:
        return
    last = max(one.finish for one in packages) + timedelta(days=late)
    done = TaskStatus(State.DONE, START, max(last, START))
    over = replace(
        made,
        project=replace(made.project, as_of=last + timedelta(days=30)),
        tasks=tuple(replace(task, status=done) for task in made.tasks),
        send_outs=(),
        costs=(),
        hours=(),
        baselines=(replace(made.baselines[-1], packages=packages),),
    )
    found, _ = measured(over)
    assert found.earned == found.budget
    assert found.value.schedule_index == 1
    assert found.pace.earned == found.pace.duration
    actual = (found.as_of - found.start).days + 1
    assert found.pace.index == found.pace.duration / actual
    assert found.pace.estimate == actual


@examples(60)
@given(costed_plans(), st.lists(st.tuples(money, st.sampled_from(Decision)), max_size=3))
def test_a_baseline_and_what_is_left_of_contingency_are_the_whole_budget(
    made: Plan, asked: list[tuple[Decimal, Decision]]
) -> None:
    items = tuple(
        OverAndAbove(
            f"O{number}", "", START, amount, chapter="53", state=state,
            decided_on=None if state is Decision.WAITING else START,
        )
        for number, (amount, state) in enumerate(asked)
    )  # fmt: skip
    kept_back = tuple(
        replace(line, kind="contingency") if place == 1 else line
        for place, line in enumerate(made.budget)
    )
    made = replace(made, over_and_above=items, budget=kept_back)
    if missing_for_baseline(made) is not None:
        return
    baseline = make_baseline(made, schedule(made), baseline_id="B1", approved_on=AS_OF, reason="")
    planned, budget = PlannedValue(baseline, made.project.currency), budget_of(made)
    assert planned.total + budget.contingency_left == budget.total
    assert sum(sum(months) for months in planned.by_chapter.values()) == planned.total
    running = planned.by_month
    assert [sum(rows) for rows in zip(*planned.by_chapter.values(), strict=True)] == [
        after - before for before, after in pairwise((0, *running))
    ]
    schedule(replace(made, baselines=(baseline,)))


parts = st.builds(
    lambda units, first, dates: Accrual(
        units, START + timedelta(days=first), START + timedelta(days=first + dates)
    ),
    st.integers(-(10**6), 10**6) | st.integers(-(10**20), 10**20),
    st.integers(0, 400),
    st.integers(0, 400),
)


@examples(100)
@given(st.lists(parts, max_size=12), st.integers(-10, 900))
def test_a_curve_is_the_sum_of_its_parts_on_every_date(made: list[Accrual], day: int) -> None:
    curve, on = Curve(made), START + timedelta(days=day)
    exact = 0
    for part in made:
        dates = (part.last - part.first).days + 1
        gone = min(max((on - part.first).days + 1, 0), dates)
        exact += floor(Fraction(part.units * gone, dates) + HALF)
    assert curve.by(on) == exact == sum(part.by(on) for part in made)
    assert curve.by(START + timedelta(days=900)) == curve.total


def cash(made: Plan, **reach: Reach) -> tuple[CashNeed, Ledger]:
    dates = schedule(made)
    ledger = ledger_of(dates)
    return cash_need(dates, ledger, **reach), ledger


@examples(60)
@given(costed_plans(), st.integers(-30, 400), st.integers(0, 10**7))
def test_every_band_of_cash_comes_to_what_is_open(made: Plan, late: int, more: int) -> None:
    finish = schedule(made).finish_on + timedelta(days=late)
    found, ledger = cash(made, possible=Reach(finish))
    assert sum(one.committed for one in found.months) == ledger.total(FIRM)
    whole = ledger.total([*FIRM, Bucket.EXPECTED])
    assert sum(one.likely for one in found.months) == whole
    assert sum(one.possible for one in found.months) == whole
    expected = ledger.total([Bucket.EXPECTED])
    if expected > 0:
        dearer = Reach(finish, ledger.total() + more)
        scaled, _ = cash(made, possible=dearer)
        assert sum(one.possible for one in scaled.months) == max(whole + more, ledger.total(FIRM))
    assert all(one.when.on >= AS_OF for one in found.needs)


@examples(60)
@given(costed_plans())
def test_currencies_of_cash_come_to_what_is_open_in_each(made: Plan) -> None:
    found, ledger = cash(made)
    firm = [one for one in ledger.entries if one.bucket in FIRM]
    for currency in {one.currency for one in firm}:
        months = [dict(month.native).get(currency, 0) for month in found.months]
        assert sum(months) == sum(one.amount for one in firm if one.currency == currency)
