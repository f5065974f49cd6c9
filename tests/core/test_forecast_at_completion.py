"""The forecast by chapter, the budget and its contingency, the estimates beside it: by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from ribstitch.money import (
    Budget,
    ChapterForecast,
    Forecast,
    budget_of,
    cost_runs,
    estimates,
    forecast_of,
    missing_for_cost,
)
from ribstitch.money.budget import cost_of_item
from ribstitch.money.earned_value import EarnedValue
from ribstitch.money.labour import rates_of
from ribstitch.planning.model import (
    BudgetLine,
    Crew,
    Decision,
    HoursWorked,
    OverAndAbove,
    Plan,
    RateFrom,
    Zone,
)
from ribstitch.planning.uncertainty import simulate
from tests.core.costed import booked, costed, line, paid
from tests.core.making import status, task

JANUARY, FEBRUARY = date(2026, 1, 20), date(2026, 2, 20)


def foreseen(made: Plan) -> Forecast:
    """Return the forecast of a plan."""
    return forecast_of(made, booked(made))


def approved(amount: str = "0", hours: str = "0", **fields: Any) -> OverAndAbove:
    """Return an over-and-above item that was approved in February."""
    given = {"id": f"O{amount}", "state": Decision.APPROVED, "decided_on": FEBRUARY, **fields}
    return OverAndAbove(
        name="Frame", asked_on=JANUARY, amount=Decimal(amount), hours=Decimal(hours), **given
    )


def test_each_chapter_is_set_against_its_budget() -> None:
    """
    Tail: 40 h to go at 48 and 35 % of them for hidden work. Wings: 3 h worked, 100 GBP paid
    at 1.16 and 50 ordered at 1.14, 30 EUR owed. Standing: two days at 40. No chapter: 9.99.
    """
    made = costed(
        line("150", "GBP", chapter="57", state="ordered", payments=paid((JANUARY, "100"))),
        line("30", id="owed", chapter="57", state="invoiced"),
        line("9.99", id="odd"),
        standing="1217.50",
        calendar="elapsed",
        tasks=[
            task("A", 5, trade="metal", chapter="55", zone="tail"),
            task("B", 2, trade="metal", chapter="57", status=status("done", finished=FEBRUARY)),
        ],
        zones=[Zone("tail", hidden_work_percent=35)],
        hours=[HoursWorked("H", "B", FEBRUARY, Decimal(3))],
        budget=[
            BudgetLine("57", Decimal(400), "EUR"),
            BudgetLine("99", Decimal(500), "EUR", kind="contingency"),
            BudgetLine("91", Decimal(250), "EUR", kind="standing"),
            BudgetLine("57", Decimal(100), "GBP", kind="vendor"),
        ],
    )
    found = foreseen(made)
    assert found.chapters == (
        ChapterForecast("55", expected=192000 + 67200, allowance=67200),
        ChapterForecast(
            "57", budget=51400, paid=11600, invoiced=3000, worked=14400, committed=5700
        ),
        ChapterForecast("91", budget=25000, expected=5 * 4000),
        ChapterForecast("99", budget=50000),
        ChapterForecast(None, expected=999),
    )
    wings = found.chapters[1]
    assert (wings.spent, wings.at_completion, wings.over) == (29000, 34700, -16700)
    assert found.whole == ChapterForecast(
        None,
        budget=126400,
        paid=11600,
        invoiced=3000,
        worked=14400,
        committed=5700,
        expected=280199,
        allowance=67200,
    )
    assert found.whole.at_completion == booked(made).total() == 314899
    assert found.budget == budget_of(made)


def test_a_plan_without_money_is_forecast_at_nothing() -> None:
    found = foreseen(costed())
    assert (found.chapters, found.whole) == ((), ChapterForecast(None))


def test_the_budget_is_by_chapter_and_kept_back() -> None:
    made = costed(
        budget=[
            BudgetLine("57", Decimal("400.005"), "EUR"),
            BudgetLine("57", Decimal(-20), "EUR", kind="contingency"),
            BudgetLine("99", Decimal(50), "GBP", kind="contingency"),
            BudgetLine("28", Decimal(7), "CZK"),
        ]
    )
    found = budget_of(made)
    assert found == Budget(
        "EUR",
        {"57": 38001, "99": 5700},
        contingency=3700,
        drawn=0,
        missing=(
            "The budget of chapter 28 has 7 CZK, of which no exchange rate into EUR is given.",
        ),
    )
    assert (found.total, found.contingency_left) == (43701, 3700)


def test_what_is_approved_over_and_above_draws_on_contingency() -> None:
    """100 EUR; 10 GBP at the 1.14 of the decision; 2 h of the task's trade at 48."""
    made = costed(
        tasks=[task("A", trade="metal"), task("B", trade="trim")],
        budget=[BudgetLine("99", Decimal(200), "EUR", kind="contingency")],
        over_and_above=[
            approved("100"),
            approved("10", "2", currency="GBP", task="A"),
            approved("0", "5", task="B"),
            approved("1", "5"),
            approved("7", currency="CZK", id="crowns"),
            approved("1000", id="declined", state=Decision.DECLINED),
            approved("5000", id="waiting", state=Decision.WAITING, decided_on=None),
        ],
    )
    found = budget_of(made)
    assert found.drawn == 10000 + 1140 + 9600 + 100
    assert found.contingency_left == -840
    assert found.missing == (
        'The over-and-above item "crowns" is in CZK, of which no exchange rate into EUR is given.',
    )


def test_an_item_that_waits_is_worth_what_it_is_today() -> None:
    crew = Crew("metal", rate=Decimal(48), rates=(RateFrom(date(2026, 2, 25), Decimal(60)),))
    made = costed(crew=[crew], tasks=[task("A", trade="metal")])
    waiting = approved("10", "1.5", state=Decision.WAITING, decided_on=None, task="A")
    assert cost_of_item(made, waiting, rates_of(made)) == 1000 + 9000
    decided = approved("10", "1.5", task="A")
    assert cost_of_item(made, decided, rates_of(made)) == 1000 + 7200


def test_the_runs_of_a_plan_without_any_luck_cost_what_is_forecast() -> None:
    """One reckoning: what is certain, labour to go at two rates, standing to the finish."""
    later = (RateFrom(date(2026, 3, 5), Decimal(54)),)
    made = costed(
        line("100", "GBP", state="ordered", payments=paid((JANUARY, "33.33"))),
        line("12", kind="labour", id="wages"),
        standing="1217.50",
        calendar="elapsed",
        crew=[Crew("metal", rate=Decimal(48), rates=later)],
        tasks=[
            task("A", 10, trade="metal", duration_range=(14400, 14400, 14400)),
            task("B", 5, trade="metal", status=status("done", finished=FEBRUARY)),
        ],
        hours=[HoursWorked("H", "B", FEBRUARY, Decimal("7.5"))],
    )
    costs = cost_runs(made, simulate(made, runs=20, seed=3))
    assert costs is not None
    ledger = booked(made)
    assert set(costs.cost.tolist()) == {ledger.total()}
    assert costs.left_out == ledger.left_out == ("wages",)
    assert costs.certain == Fraction(3866 + 7600 + 36000, 100)


def test_costs_that_do_not_fit_into_runs_are_said_to_be_too_much() -> None:
    """10 ** 15 pounds are counted; a thousand times what fits is refused in a sentence."""
    fits = costed(line(str(10**15), "GBP"))
    assert missing_for_cost(fits) is None
    costs = cost_runs(fits, simulate(fits, runs=2))
    assert costs is not None
    assert costs.percentile(50) == Decimal("1140000000000000.00")
    for amount in (10**18, -(10**18)):
        assert missing_for_cost(costed(line(str(amount)))) == (
            "The cost lines add up to more than can be counted run by run."
        )


# EV-1: inputs and estimates printed in a tutorial on earned value (112.5, 129); EV-3: a posted
# exercise. Definitions: ANSI/EIA-748, ISO 21508:2018.
EV_1 = EarnedValue(Fraction(100), Fraction(50), Fraction(40), Fraction(45))
EV_3 = EarnedValue(Fraction(500000), Fraction(150000), Fraction(150000), Fraction(162000))


def test_estimates_of_the_open_standard_stand_beside_the_forecast() -> None:
    found = estimates(EV_1, 11250, "EUR")
    assert [(one.name, one.amount) for one in found] == [
        ("at the cost so far", 11250),
        ("as budgeted from here", 10500),
        ("at cost and pace so far", 12938),
        ("mostly at the cost so far", 11388),
    ]
    knows = "the forecast goes by orders, quotes and hours to go."
    assert [one.sentence for one in found] == [
        (
            "The same as the forecast: it takes the rest to cost 1.13 times its budget, like the "
            "work that is done."
        ),
        (
            "7.50 EUR below the forecast: it takes the rest to cost what was budgeted, whatever "
            f"the past cost; {knows}"
        ),
        (
            "16.88 EUR above the forecast: it takes the rest to cost 1.41 times its budget, "
            f"because being behind costs too; {knows}"
        ),
        (
            "1.38 EUR above the forecast: it weighs the cost so far with 0.8 and the pace with "
            f"0.2; {knows}"
        ),
    ]


def test_estimates_are_not_made_from_rounded_indices() -> None:
    """The posted answer, 538,344, divides by an index rounded to 0.93."""
    assert estimates(EV_3, 0, "EUR")[0].amount == 54_000_000


@pytest.mark.parametrize(
    ("planned", "earned", "actual", "known"),
    [(0, 0, 0, 1), (50, 0, 0, 1), (50, 0, 45, 1), (0, 40, 45, 2)],
)
def test_an_estimate_without_a_divisor_is_not_yet(
    planned: int, earned: int, actual: int, known: int
) -> None:
    value = EarnedValue(*map(Fraction, (100, planned, earned, actual)))
    found = estimates(value, 10000, "EUR")
    assert sum(one.amount is not None for one in found) == known
    assert found[1].amount == 100 * (100 - earned + actual)
    for one in found:
        assert one.sentence.startswith("Not yet: ") == (one.amount is None)
