"""Baselines by hand: how the budget is shared out, dated, and spread over months."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.money.baseline import make_baseline, missing_for_baseline
from ribstitch.money.budget import UNSHARED
from ribstitch.money.planned_value import PlannedValue
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    Baseline,
    BudgetLine,
    Cost,
    Crew,
    Decision,
    EarningRule,
    ExchangeRate,
    OverAndAbove,
    Package,
    Plan,
    SendOut,
    SendOutStatus,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, link, plan, status, task, ticks

METAL = Crew("metal", rate=Decimal(50))
VENDOR = Vendor("V1", calendar="shop")


def money(chapter: str, amount: str, **fields: Any) -> BudgetLine:
    return BudgetLine(chapter, Decimal(amount), fields.pop("currency", "EUR"), **fields)


def approved(made: Plan, on: date = MONDAY) -> Baseline:
    return make_baseline(made, schedule(made), baseline_id="B1", approved_on=on, reason="agreed")


def packages(made: Plan) -> dict[str, Package]:
    return {package.id: package for package in approved(made).packages}


def amounts(made: Plan) -> dict[str, str]:
    return {name: str(package.amount) for name, package in packages(made).items()}


def test_a_chapter_is_shared_by_planned_cost_to_the_last_cent() -> None:
    """
    A: 1 day x 8 h x 50 = 400; B: 2 people x 1 day = 800, and 100 of material: 900; 100.01 as
    400 to 900 is 30.7723 to 69.2377, so the odd cent goes to B.
    """
    made = plan(
        [
            task("A", 1, chapter="53", trade="metal"),
            task("B", 1, chapter="53", trade="metal", people=2),
        ],
        crew=[METAL],
        budget=[money("53", "100.01")],
        costs=[Cost("C", Decimal(100), "EUR", kind="material", task="B")],
    )
    assert amounts(made) == {"A": "30.77", "B": "69.24"}


def test_what_is_not_shared_out_is_earned_by_all_work_of_chapters_without_a_budget() -> None:
    """A: 1 day x 8 h x 50 = 400; B: 800; 600 as 1 to 2; what 57 was given stays there."""
    made = plan(
        [
            task("A", 1, chapter="53", trade="metal"),
            task("B", 2, trade="metal"),
            task("C", 1, chapter="57", trade="metal"),
        ],
        crew=[METAL],
        budget=[money(UNSHARED, "600"), money("57", "90")],
    )
    assert amounts(made) == {"A": "200.00", "B": "400.00", "C": "90.00"}


def test_without_any_cost_the_chapter_is_shared_by_hours() -> None:
    made = plan(
        [
            task("A", 1, chapter="53", trade="help"),
            task("B", 3, chapter="53", trade="help"),
        ],
        crew=[Crew("help", rate=Decimal(0))],
        budget=[money("53", "400")],
    )
    assert amounts(made) == {"A": "100.00", "B": "300.00"}


def test_contingency_is_kept_back_and_a_chapter_without_work_comes_with_time() -> None:
    made = plan(
        [task("A", 10, chapter="53", trade="metal")],
        crew=[METAL],
        budget=[
            money("53", "400"),
            money("91", "290"),
            money("99", "77", kind="contingency"),
            money("53", "33", kind="contingency"),
        ],
    )
    found = packages(made)
    assert amounts(made) == {"A": "400.00", "chapter:91": "290.00"}
    rent = found["chapter:91"]
    assert (rent.rule, rent.start, rent.finish) == (EarningRule.TIME, MONDAY, date(2026, 1, 16))


def test_short_tasks_are_earned_at_their_end_and_long_ones_by_what_remains() -> None:
    made = plan(
        [task("five", 5, chapter="53"), task("more", 5.125, chapter="53")],
        budget=[money("53", "100")],
        crew=[METAL],
    )
    found = packages(made)
    assert found["five"].rule is EarningRule.ALL_AT_END
    assert found["more"].rule is EarningRule.WORK_DONE
    assert (found["five"].start, found["five"].finish) == (MONDAY, date(2026, 1, 9))
    assert found["more"].finish == date(2026, 1, 12)


def test_a_send_out_weighs_its_cost_lines_with_those_of_its_further_trips() -> None:
    """60 GBP at 1.20 and 28 EUR: 100, of the chapter's 200, beside a task that costs 400."""
    made = plan(
        [task("A", 1, chapter="85", trade="metal")],
        crew=[METAL],
        vendors=[VENDOR],
        send_outs=[
            SendOut("S1", "V1", lead=ticks(20), status=SendOutStatus(
                shipped=MONDAY, left_vendor=MONDAY, received=MONDAY, rejected=MONDAY)),
            SendOut("S1/2", "V1", trip_of="S1", lead=ticks(5)),
        ],
        costs=[
            Cost("C1", Decimal(60), "GBP", chapter="85", send_out="S1"),
            Cost("C2", Decimal(28), "EUR", send_out="S1/2"),
            Cost("C3", Decimal(999), "EUR", chapter="92", send_out="S1"),
        ],
        exchange_rates=[ExchangeRate("GBP", MONDAY, Decimal("1.20"))],
        budget=[money("85", "200")],
    )  # fmt: skip
    found = packages(made)
    assert amounts(made) == {"A": "160.00", "S1": "40.00"}
    assert found["S1"].rule is EarningRule.LEGS
    a_week_from_tuesday = date(2026, 1, 12)
    assert (found["S1"].start, found["S1"].finish) == (MONDAY, a_week_from_tuesday)
    assert found["S1"].chapter == "85"


def test_work_without_a_budget_has_a_package_of_nothing() -> None:
    """So it is known that it was in the plan when that was approved."""
    made = plan(
        [task("A", 1, chapter="53"), task("B", 1), task("M", 0, chapter="53")],
        budget=[money("53", "100")],
    )
    assert amounts(made) == {"A": "0.00", "B": "0.00", "chapter:53": "100.00"}


def test_dropped_work_takes_no_share() -> None:
    made = plan(
        [
            task("A", 1, chapter="53", trade="metal"),
            task("B", 1, chapter="53", trade="metal", status=status("dropped")),
        ],
        vendors=[VENDOR],
        send_outs=[SendOut("S1", "V1", lead=1440, dropped=True)],
        crew=[METAL],
        budget=[money("53", "100")],
    )
    assert amounts(made) == {"A": "100.00"}


def test_what_was_approved_over_and_above_is_in_the_next_baseline() -> None:
    """Its 70 and two hours at 50 come out of contingency; what waits or was declined not."""

    def item(name: str, state: Decision, **fields: Any) -> OverAndAbove:
        decided = None if state is Decision.WAITING else MONDAY
        return OverAndAbove(
            name, name, MONDAY, Decimal(70), state=state, decided_on=decided, **fields
        )

    made = plan(
        [task("A", 1, chapter="53", trade="metal")],
        crew=[METAL],
        budget=[money("53", "400"), money("99", "300", kind="contingency")],
        over_and_above=[
            item("yes", Decision.APPROVED, task="A", hours=Decimal(2)),
            item("no", Decision.DECLINED, task="A", hours=Decimal(2)),
            item("who knows", Decision.WAITING, task="A", hours=Decimal(2)),
        ],
    )
    assert amounts(made) == {"A": "570.00"}


def test_foreign_budget_counts_at_the_rate_of_the_approval() -> None:
    made = plan(
        [task("A", 1, chapter="53", trade="metal")],
        crew=[METAL],
        budget=[money("53", "100", currency="GBP")],
        exchange_rates=[
            ExchangeRate("GBP", MONDAY, Decimal("1.2")),
            ExchangeRate("GBP", date(2026, 3, 1), Decimal("1.3")),
        ],
    )
    assert approved(made, date(2026, 3, 2)).packages[0].amount == Decimal("130.00")


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({}, "There is no budget yet: enter what is approved for each chapter."),
        (
            {"budget": [money("99", "1", kind="contingency")]},
            "There is no budget yet: enter what is approved for each chapter.",
        ),
        (
            {"budget": [money("53", "1", currency="GBP")]},
            'The budget of chapter "53" is in GBP, of which no exchange rate into EUR is given.',
        ),
        (
            {"budget": [money("53", "-1")]},
            'The budget of chapter "53" adds up to less than nothing, which no work can earn.',
        ),
        (
            {
                "budget": [money("53", "1")],
                "over_and_above": [
                    OverAndAbove("O1", "Two ribs", MONDAY, state=Decision.APPROVED,
                                 decided_on=MONDAY)
                ],
            },
            '"Two ribs" was approved, but says neither its chapter nor its work.',
        ),
        (
            {
                "budget": [money("53", "1")],
                "tasks": [task("S1")],
                "vendors": [VENDOR],
                "send_outs": [SendOut("S1", "V1", lead=1440)],
            },
            '"S1" is a task and a send-out: one of them needs another id.',
        ),
    ],
)  # fmt: skip
def test_what_is_missing_is_said_in_one_sentence(fields: dict[str, Any], says: str) -> None:
    made = plan(**fields)
    assert missing_for_baseline(made) == says
    with pytest.raises(InvalidValueError, match=r"^budget: ") as refused:
        approved(made)
    assert refused.value.reason == says


def test_planned_value_follows_the_rules_date_by_date() -> None:
    """
    100 at the end of 15 January; 50.01 half on the 5th (the odd cent first), half on the
    9th; 10 evenly over three dates: 3.33, 6.67, 10.
    """
    rules = (
        ("at end", "100", 12, 15, EarningRule.ALL_AT_END),
        ("halves", "50.01", 5, 9, EarningRule.HALF_AND_HALF),
        ("evenly", "10", 5, 7, EarningRule.WORK_DONE),
    )
    made = Baseline(
        "B1", MONDAY, MONDAY,
        packages=tuple(
            Package(name, Decimal(amount), date(2026, 1, first), date(2026, 1, last), rule)
            for name, amount, first, last, rule in rules
        ),
    )  # fmt: skip
    planned = PlannedValue(made, "EUR")
    found = [planned.by(date(2026, 1, day)) for day in (4, 5, 6, 7, 8, 9, 14, 15, 16)]
    assert found == [0, 2834, 3168, 3501, 3501, 6001, 6001, 16001, 16001]
    assert planned.total == 16001


def test_a_package_is_spread_over_months_by_the_running_total() -> None:
    """1000.00 over 90 dates from 1 January: 31, 28 and 31 of them (90 in all, by hand)."""
    package = Package("A", Decimal(1000), date(2026, 1, 1), date(2026, 3, 31))
    planned = PlannedValue(Baseline("B1", MONDAY, MONDAY, packages=(package,)), "EUR")
    assert planned.months == (date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 1))
    assert planned.by_month == (34444, 65556, 100000)
    assert planned.by_chapter == {None: (34444, 31112, 34444)}


def test_amounts_beyond_64_bits_are_exact() -> None:
    """10 ** 15 in a currency of three decimals, fifty times."""
    big = tuple(
        Package(f"P{n}", Decimal(10**15 + n), date(2026, 1, 1), date(2026, 1, 3)) for n in range(50)
    )
    planned = PlannedValue(Baseline("B1", MONDAY, MONDAY, packages=big), "KWD")
    whole = sum(10**15 + n for n in range(50)) * 1000
    assert planned.by(date(2026, 1, 3)) == planned.total == whole
    assert planned.by(date(2026, 1, 1)) == sum((2000 * (10**15 + n) + 3) // 6 for n in range(50))


def test_a_link_moves_the_dates_that_are_kept() -> None:
    made = plan(
        [task("A", 1, chapter="53", trade="metal"), task("B", 1, chapter="53", trade="metal")],
        [link("A", "B")],
        crew=[METAL],
        budget=[money("53", "100")],
    )
    assert packages(made)["B"].start == date(2026, 1, 6)
    assert approved(made).finish == date(2026, 1, 6)
