"""pull-in: what to take for a date, for a sum, and the whole curve, as JSON and in words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ran

Run = Callable[..., Ran]
Write = Callable[..., Path]


def hurried(plan: dict[str, Any]) -> None:
    """A fee of 400 GBP for ten days less at the vendor, overtime for up to two days."""
    plan["exchange_rates"] = [{"currency": "GBP", "on": "2026-01-01", "rate": "1.15"}]
    plan["expedites"] = [
        {"id": "E1", "name": "Priority slot", "kind": "fee", "send_out": "S1",
         "gains_days": 10, "cost": "400", "currency": "GBP"},
        {"id": "E2", "name": "Late shifts", "kind": "overtime", "task": "T010",
         "gains_days": 2, "cost": "90.5", "by_the_day": True},
    ]  # fmt: skip


CURVE = [
    ("2026-02-25", "0.00", {}),
    ("2026-02-24", "90.50", {"E2": 1}),
    ("2026-02-19", "181.00", {"E2": 2}),
    ("2026-02-04", "460.00", {"E1": 10}),
    ("2026-02-03", "550.50", {"E1": 10, "E2": 1}),
    ("2026-01-29", "641.00", {"E1": 10, "E2": 2}),
]
"""By hand. The engine comes off on 7-9 January and is ready for the road a working day later;
three dates on the road, twenty or ten working days at the vendor (shut on 2-6 February), three
dates on the road, a working day to accept it and two to hang it. As planned: at the vendor from
Friday 16 January to Thursday 19 February, accepted on Monday 23rd. A day less: from Tuesday 13th
to Monday 16 February, accepted on Friday 20th. Two: from Monday 12th to Friday 13 February,
accepted on Tuesday 17th. Ten days at the vendor, in the same three cases: to Thursday 29th,
Monday 26th, Friday 23 January."""


def test_the_curve_has_a_point_for_every_finish_that_is_worth_it(
    ribstitch: Run, plan_file: Write
) -> None:
    ran = ribstitch("pull-in", plan_file(hurried), "--curve", "--json")
    assert (ran.status, ran.err) == (0, "")
    found = ran.json
    assert found["currency"] == "EUR"
    assert (found["planned_finish"], found["earliest_finish"]) == ("2026-02-25", "2026-01-29")
    assert found["all_cost"] == "641.00"
    points = [
        (one["finish"], one["cost"], {take["expedite"]: take["days"] for take in one["taken"]})
        for one in found["curve"]
    ]
    assert points == CURVE
    assert all(one["proven"] and one["gap"] == "0.00" for one in found["curve"])


def test_a_wanted_date_gets_what_to_take(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("pull-in", plan_file(hurried), "--by", "2026-02-20", "--json")
    assert ran.json == {
        "currency": "EUR",
        "planned_finish": "2026-02-25",
        "finish": "2026-02-19",
        "cost": "181.00",
        "proven": True,
        "gap": "0.00",
        "taken": [{"expedite": "E2", "name": "Late shifts", "days": 2, "cost": "181.00"}],
    }


def test_a_sum_buys_the_earliest_finish_it_can(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("pull-in", plan_file(hurried), "--budget", "550", "--json")
    assert (ran.json["finish"], ran.json["cost"]) == ("2026-02-04", "460.00")


def test_words_say_what_to_take_and_that_it_is_proven(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("pull-in", plan_file(hurried), "--budget", "600")
    assert ran.status == 0
    assert "Finish pulled in   2026-02-03" in ran.out
    assert "  E1  10 days less for 460.00  Priority slot" in ran.out
    assert "  E2  1 day less for 90.50  Late shifts" in ran.out
    assert ran.out.endswith("Proven: no other choice is better.\n")


def test_words_of_the_curve_are_its_points(ribstitch: Run, plan_file: Write) -> None:
    ran = ribstitch("pull-in", plan_file(hurried), "--curve")
    assert [line.split()[:2] for line in ran.out.splitlines()[1:-1]] == [
        [finish, cost] for finish, cost, _ in CURVE
    ]
    assert "Everything together would cost 641.00." in ran.out


def test_a_date_that_the_plan_keeps_costs_nothing(ribstitch: Run, plan_file: Write) -> None:
    file = plan_file(hurried)
    assert "nothing has to be taken" in ribstitch("pull-in", file, "--by", "2026-02-25").out
    found = ribstitch("pull-in", file, "--by", "2026-03-31", "--json").json
    assert (found["finish"], found["cost"], found["taken"]) == ("2026-02-25", "0.00", [])


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (("--by", "2026-01-20"), ("--by: 2026-01-20 cannot be reached: the earliest finish is "
         "2026-01-29, for 641 EUR")),
        (("--budget", "0"), ("--budget: 0 EUR buys nothing: an earlier finish (2026-02-24) takes "
         "90.50 EUR")),
        (("--budget", "-5"), "--budget: -5 is no sum that can be spent"),
        (("--budget", "NaN"), "--budget: NaN is no sum that can be spent"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_what_can(
    ribstitch: Run, plan_file: Write, options: tuple[str, ...], sentence: str
) -> None:
    file = plan_file(hurried)
    ran = ribstitch("pull-in", file, *options)
    assert (ran.status, ran.out, ran.err) == (2, "", f"{file}: {sentence}\n")


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ((), "give one of --by DATE, --budget AMOUNT and --curve"),
        (("--curve", "--by", "2026-02-20"), "give one of --by DATE, --budget AMOUNT and --curve"),
        (("--by", "May"), '--by "May": write a date, such as 2027-05-31'),
        (("--budget", "much"), '--budget "much": write an amount, such as 2500'),
        (("--curve", "--seconds", "0"), "--seconds 0: is not more than 0 and up to 86400"),
    ],
)
def test_options_that_make_no_sense_are_refused(
    ribstitch: Run, plan_file: Write, options: tuple[str, ...], sentence: str
) -> None:
    ran = ribstitch("pull-in", plan_file(hurried), *options)
    assert (ran.status, ran.out, ran.err) == (2, "", f"{sentence}\n")


def test_a_plan_without_expedites_is_refused(ribstitch: Run, plan_file: Write) -> None:
    file = plan_file()
    ran = ribstitch("pull-in", file, "--curve")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == f"{file}: expedites: the plan has none, so nothing can be taken\n"


def test_a_currency_without_a_rate_is_named(ribstitch: Run, plan_file: Write) -> None:
    def unpriced(plan: dict[str, Any]) -> None:
        hurried(plan)
        plan["exchange_rates"] = []

    file = plan_file(unpriced)
    assert ribstitch("pull-in", file, "--curve").err == (
        f'{file}: expedites[0].currency: "E1" costs GBP, of which no exchange rate into EUR is '
        "given\n"
    )
