"""Cost at completion of each run, and the chance of money and date together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import asin, pi
from typing import Any

import numpy as np
import pytest

from ribstitch.money.at_completion import (
    CostRuns,
    cost_runs,
    joint_chance,
    missing_for_cost,
)
from ribstitch.money.budget import budget_amount
from ribstitch.planning.model import BudgetLine, Calendar, Cost, Crew, ExchangeRate, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import end_of, start_of
from ribstitch.planning.uncertainty.results import Simulation
from tests.core.making import MONDAY, plan, status, task

AS_OF = date(2026, 3, 2)
METAL = Crew("metal", rate=Decimal(48))
GBP = (
    ExchangeRate("GBP", date(2026, 1, 12), Decimal("1.16")),
    ExchangeRate("GBP", date(2026, 2, 16), Decimal("1.14")),
    ExchangeRate("GBP", date(2026, 7, 1), Decimal("1.50")),
)


def costed(*costs: Cost, currency: str = "EUR", standing: str | None = None, **more: Any) -> Plan:
    """Return a plan as of 2 March with cost lines; metalwork at 48 an hour unless said."""
    more.setdefault("crew", [METAL])
    fields = {"currency": currency, "standing_per_month": standing and Decimal(standing)}
    return plan(as_of=AS_OF, costs=costs, project=fields, **more)


def line(amount: str, currency: str = "EUR", **fields: Any) -> Cost:
    """Return a cost line."""
    fields.setdefault("id", f"C{amount}{currency}")
    return Cost(amount=Decimal(amount), currency=currency, **fields)


def simulated(
    made: Plan, days: Sequence[int], hours: Mapping[str | None, Sequence[float]] | None = None
) -> Simulation:
    """Return runs that finish so many days after the as-of date, with hours to come."""
    runs = len(days)
    return Simulation(
        planned=schedule(made),
        runs=runs,
        seed=1,
        finish=np.array([start_of(AS_OF + timedelta(days=n)) for n in days], dtype=np.int64),
        percentile_finishes=np.zeros((0, 4), dtype=np.int64),
        criticality=np.zeros(0),
        vendor_criticality={},
        met_deadlines={},
        crew_hours={trade: np.array(one, dtype=float) for trade, one in (hours or {}).items()},
    )


def priced(
    made: Plan,
    days: Sequence[int] = (0,),
    hours: Mapping[str | None, Sequence[float]] | None = None,
) -> CostRuns:
    """Return the costs of runs of a plan that lacks nothing."""
    costs = cost_runs(made, simulated(made, days, hours))
    assert costs is not None
    return costs


def test_a_small_plan_comes_out_as_worked_by_hand() -> None:
    """
    Certain: 120 EUR; 100 GBP paid on 20 January at 1.16; 50 GBP to pay at 1.14; two
    metalworkers for three days of 8 h at 48 = 2,304; an engine mechanic at 46 who has
    worked 3 of 4 days = 1,104. Standing 1,217.50 a month is 40 a day.
    """
    made = costed(
        line("120"),
        line("100", "GBP", state="paid", on=date(2026, 1, 20)),
        line("50", "GBP", state="ordered", on=date(2026, 1, 20)),
        standing="1217.50",
        exchange_rates=GBP,
        crew=[METAL, Crew("engine", rate=Decimal(46))],
        tasks=[
            task("A", 3, trade="metal", people=2, status=status("done", finished=MONDAY)),
            task("B", 4, trade="engine", status=status("in_work", 1, started=MONDAY)),
            task("C", 5, trade="metal", status=status("dropped")),
            task("D", 5, trade="metal"),
            task("E", 9, trade="help", status=status("done", finished=MONDAY)),
        ],
    )
    certain = 120 + 116 + 57 + 2304 + 1104
    costs = priced(
        made, [10, 20, 30], {"metal": [40, 50, 60], "engine": [8, 8, 0.25], "help": [9, 9, 9]}
    )
    assert costs.certain == certain
    assert costs.cost.tolist() == [
        100 * (certain + 40 * 48 + 8 * 46 + 400),
        100 * (certain + 50 * 48 + 8 * 46 + 800),
        100 * certain + 100 * 60 * 48 + 1150 + 100 * 1200,
    ]
    assert costs.percentile(50) == Decimal("7269.00")
    assert costs.left_out == ()


def test_the_certain_part_is_exact_to_the_last_place() -> None:
    """Binary floats make 0.1 + 0.2 a little more than 0.3, and lose cents beyond 2 ** 53."""
    costs = priced(costed(line("0.1"), line("0.2")))
    assert costs.certain == Fraction(3, 10)
    assert costs.percentile(80) == Decimal("0.30")
    assert costs.chance_within(Decimal("0.3")).probability == 1
    huge = priced(costed(line("90071992547409.93")))
    assert huge.percentile(50) == Decimal("90071992547409.93")
    assert huge.chance_within(Decimal("90071992547409.92")).probability == 0


def test_a_day_of_a_calendar_costs_its_own_hours() -> None:
    """A day of 7.6 hours at 10 is 76, and not what the nearest binary float makes of it."""
    made = costed(
        crew=[Crew("metal", rate=Decimal(10))],
        calendars=[Calendar("shop"), Calendar("short", day_hours=7.6, week_hours=(7.6,) * 7)],
        tasks=[task("A", 1, trade="metal", calendar="short",
                    status=status("done", finished=MONDAY))],
    )  # fmt: skip
    assert priced(made).certain == 76


@pytest.mark.parametrize(
    ("fields", "worth"),
    [
        ({"state": "paid", "on": date(2026, 1, 5)}, "116.00"),
        ({"state": "paid", "on": date(2026, 2, 15)}, "116.00"),
        ({"state": "paid", "on": date(2026, 2, 16)}, "114.00"),
        ({"state": "paid"}, "114.00"),
        ({"state": "invoiced", "on": date(2026, 1, 20)}, "114.00"),
        ({"state": "estimate", "on": date(2026, 9, 1)}, "114.00"),
    ],
)
def test_what_is_paid_keeps_the_rate_of_its_day_and_the_rest_takes_todays(
    fields: dict[str, Any], worth: str
) -> None:
    """Rates of 12 January, 16 February and (not yet known on 2 March) 1 July."""
    made = costed(line("100", "GBP", **fields), exchange_rates=GBP)
    assert priced(made).percentile(50) == Decimal(worth)


@pytest.mark.parametrize(
    ("crew", "rate"),
    [
        ([METAL], 48),
        ([METAL, replace(METAL, rate=Decimal(30))], 39),
        ([METAL, Crew("metal", people=3)], 12),
        ([replace(METAL, people=0)], 48),
    ],
)
def test_hours_of_a_trade_are_shared_by_head(crew: list[Crew], rate: int) -> None:
    costs = priced(costed(crew=crew), hours={"metal": [10.0]})
    assert costs.cost.tolist() == [1000 * rate]


def test_labour_is_not_counted_as_hours_and_as_lines() -> None:
    made = costed(
        line("1", kind="labour", id="wages", state="paid"),
        line("2", kind="labour", id="metalwork", task="A"),
        line("4", kind="labour", id="contractor", task="B"),
        line("8", kind="vendor", id="engine"),
        tasks=[task("A", 1, trade="metal"), task("B", 1, trade="trim")],
    )
    costs = priced(made)
    assert costs.left_out == ("wages", "metalwork")
    assert costs.certain == 12


def test_standing_cost_is_counted_by_line_until_today_and_by_the_month_from_then() -> None:
    """1,217.50 a month are 40 a day."""
    lines = (
        line("1", kind="standing", id="past", state="invoiced", on=AS_OF - timedelta(days=1)),
        line("2", kind="standing", id="paid", state="paid", on=AS_OF),
        line("4", kind="standing", id="today", on=AS_OF),
        line("8", kind="standing", id="undated"),
    )
    by_month = priced(costed(*lines, standing="1217.50"), [3])
    assert (by_month.cost.tolist(), by_month.left_out) == ([12300], ("today", "undated"))
    by_line = priced(costed(*lines), [3])
    assert (by_line.cost.tolist(), by_line.left_out) == ([1500], ())


def test_a_finished_aircraft_has_no_standing_cost_to_come() -> None:
    assert priced(costed(standing="1000"), [-30]).cost.tolist() == [0]


def test_money_set_aside_is_no_cost_until_it_is_paid() -> None:
    made = costed(
        line("1", kind="contingency", id="reserve"),
        line("2", kind="contingency", id="used", state="paid"),
    )
    assert priced(made).certain == 2
    assert priced(made).left_out == ("reserve",)


@pytest.mark.parametrize(
    ("currency", "shown"), [("EUR", "1234.57"), ("JPY", "1235"), ("KWD", "1234.568")]
)
def test_costs_are_shown_to_the_minor_unit(currency: str, shown: str) -> None:
    costs = priced(costed(line("1234.5678", currency), currency=currency))
    assert str(costs.percentile(50)) == shown


def test_what_is_missing_is_said_in_one_sentence() -> None:
    nobody = costed(crew=[Crew("help")])
    assert missing_for_cost(nobody) == (
        "No trade has a rate, so labour cannot be priced: give the crew's rate."
    )
    foreign = costed(line("5", "CZK", id="C1"), exchange_rates=GBP)
    assert missing_for_cost(foreign) == (
        'The cost line "C1" is in CZK, of which no exchange rate into EUR is given.'
    )
    for made in (nobody, foreign):
        assert cost_runs(made, simulated(made, [1])) is None
    assert missing_for_cost(costed(line("5"))) is None


def test_the_budget_is_one_amount_in_the_projects_currency() -> None:
    lines = [BudgetLine("53", Decimal("100.05"), "GBP"), BudgetLine("57", Decimal("0.2"), "EUR")]
    assert budget_amount(costed(budget=lines, exchange_rates=GBP)) == Decimal("114.26")
    assert budget_amount(costed(budget=lines)) is None
    assert budget_amount(costed()) is None


def test_percentiles_are_the_least_cost_that_enough_runs_stay_within() -> None:
    costs = priced(costed(), [0] * 10, {"metal": [10, 1, 9, 2, 8, 3, 7, 4, 6, 5]})
    assert [int(costs.percentile(p)) // 48 for p in (0, 10, 50, 51, 80, 90, 100)] == [
        1, 1, 5, 6, 8, 9, 10,
    ]  # fmt: skip
    assert costs.chance_within(Decimal(5 * 48)).probability == 0.5
    assert costs.chance_within(Decimal("239.999")).probability == 0.4


def test_the_joint_chance_counts_the_runs_that_keep_both() -> None:
    """Six runs: three are in time, four within the money, two both."""
    days = [10, 10, 11, 12, 12, 13]
    hours = [5.0, 7.0, 6.0, 1.0, 5.0, 9.0]
    made = costed()
    runs = simulated(made, days, {"metal": hours})
    costs = cost_runs(made, runs)
    assert costs is not None
    by, amount = AS_OF + timedelta(days=10), Decimal(6 * 48)
    both = [d <= 11 and h <= 6 for d, h in zip(days, hours, strict=True)]
    assert joint_chance(runs, costs, by, amount).probability == sum(both) / 6 == 2 / 6
    assert runs.chance_by(by).probability == 3 / 6
    assert costs.chance_within(amount).probability == 4 / 6


@pytest.mark.parametrize("correlation", [-0.5, 0.0, 0.5, 0.8])
def test_the_joint_chance_at_both_medians_is_the_orthant_probability(correlation: float) -> None:
    """
    Two normals with both targets at their medians: 1/4 + asin(r) / (2 pi), the classical
    orthant identity, within four standard errors of 40,000 draws; and never outside the
    bounds max(0, P + Q - 1) and min(P, Q).
    """
    draws = np.random.default_rng(5).multivariate_normal(
        [1000, 1000], [[10_000, 10_000 * correlation], [10_000 * correlation, 10_000]], 40_000
    )
    made = costed(crew=[replace(METAL, rate=Decimal(1))])
    runs = simulated(made, [0] * 40_000, {"metal": draws[:, 1].tolist()})
    middle = date(2028, 1, 1)
    runs = replace(runs, finish=end_of(middle) + np.rint(draws[:, 0] - 1000).astype(np.int64))
    costs = cost_runs(made, runs)
    assert costs is not None
    both = joint_chance(runs, costs, middle, Decimal(1000))
    expected = 0.25 + asin(correlation) / (2 * pi)
    assert both.probability == pytest.approx(expected, abs=4 * both.standard_error + 0.002)
    in_time = runs.chance_by(middle).probability
    within = costs.chance_within(Decimal(1000)).probability
    assert max(0, in_time + within - 1) <= both.probability <= min(in_time, within)
