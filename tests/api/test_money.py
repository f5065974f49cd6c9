"""What it costs and when: one source, so every answer gives the same figures."""

from __future__ import annotations

import json
import re
import time
from decimal import Decimal
from typing import Any

import plotly.graph_objects as go
import pytest
from starlette.testclient import TestClient

from ribstitch.assets import seed_folder
from tests.api.asking import Api, assert_problem, exported, small_plan, what_moved
from tests.api.money_plans import money_plan

STANDING = Decimal("1478.44")
"""45 days from 2 February to the finish on 18 March at 1000 / 30.4375 a day."""
TO_GO = Decimal("4560.00")
"""15 days of one metalworker at 8 x 30.00, 3 of a mechanic at 8 x 40.00."""


@pytest.fixture(scope="module")
def taken_in() -> dict[str, Any]:
    """A plan that has money in it."""
    return money_plan()


@pytest.fixture
def demo(lone_client: TestClient) -> Api:
    """Return a client with the demo project."""
    plan = json.loads((seed_folder() / "garganey.plan.json").read_text(encoding="utf-8"))
    return Api(lone_client, plan)


def test_page_tells_what_is_spent_ordered_and_to_come(api: Api) -> None:
    """Reckoned by hand in the plan's own words; see `money_plan`."""
    money = api.read("/money")
    assert (money["currency"], money["as_of"], money["budget"]) == ("EUR", "2026-02-02", "13000.00")
    assert money["spent"] == "2072.50"
    assert money["committed"] == "3360.00"
    assert Decimal(money["expected"]) == TO_GO + STANDING
    assert Decimal(money["at_completion"]) == Decimal("5432.50") + TO_GO + STANDING
    assert (money["contingency"], money["contingency_left"]) == ("2000.00", "2000.00")
    engine = next(one for one in money["chapters"] if one["chapter"] == "72")
    assert engine == {
        "chapter": "72",
        "title": "",
        "is_agreed": True,
        "budget": "4500.00",
        "paid": "1392.00",
        "invoiced": "0.00",
        "worked": "0.00",
        "committed": "3360.00",
        "expected": "0.00",
        "at_completion": "4752.00",
        "over": "252.00",
    }
    (vendor,) = money["vendors"]
    assert (vendor["vendor"], vendor["at_completion"]) == ("V1", "4752.00")
    assert money["currencies"] == [
        {"currency": "GBP", "open": "2800.00", "worth": "3360.00", "five_percent": "168.00"}
    ]
    assert money["delay_month"]["amount"] == "1000.00"
    (item,) = money["decisions"]
    assert (item["key"], item["version"]) == ("A1", 1)
    assert "2000.00 EUR is left, after it 1700.00 EUR" in item["sentence"]


def test_page_says_which_prices_moved_and_which_chapters_differ_from_the_budget(api: Api) -> None:
    """
    The engine was ordered at 4,000.00, of which 1,200.00 are paid at the rate of January.

    By hand: 72 comes to 1,392.00 + 2,980 x 1.20 = 4,968.00, 468.00 over its budget; of 55,
    300.00 is estimated and 20 h x 30.00 are to be worked, of 5,000.00; 2,000.00 is kept back.
    """
    assert api.patch("/costs/C2", {"state": "invoiced", "amount": "4180.00"}).status_code == 200
    assert (
        api.read("/money")["why"]
        == api.read("/statement")["why"]
        == [
            "Engine overhaul was ordered at 4000.00 GBP and is now 4180.00 GBP.",
        ]
    )
    approved = api.read("/statement")["approved"]
    chapters = {one["chapter"]: one["moved"] for one in approved["chapters"]}
    assert (chapters["72"], chapters["00"]) == ("468.00", "-2000.00")
    assert added(approved["chapters"], "moved") == Decimal(approved["moved"])
    assert (approved["before"], approved["finish_before"], approved["steps"]) == (
        "13000.00", None, [],
    )  # fmt: skip
    assert approved["sentence"].startswith("Against the budget, it costs ")


def test_an_approved_item_is_drawn_from_what_is_kept_back(api: Api) -> None:
    api.be("owner")
    said = api.client.post(
        f"{api.root}/over-and-above/A1/decision",
        json={"decision": "approved"},
        headers={"If-Match": '"1"'},
    )
    assert said.status_code == 200, said.text
    money = api.read("/money")
    assert (money["contingency_left"], money["decisions"]) == ("1700.00", [])


def test_nothing_is_said_of_a_likely_cost_before_the_plan_is_simulated(lone_api: Api) -> None:
    lone_api.settle()
    settled = lone_api.get("/money")
    likely = settled.json()["likely"]
    assert Decimal(likely["p50"]) <= Decimal(likely["p80"])
    uncertain = lone_api.read("/simulation")["result"]["cost"]
    assert (likely["p50"], likely["p80"]) == (uncertain["p50"], uncertain["p80"])
    assert settled.headers["etag"]


def test_every_answer_about_money_gives_the_same_figures(api: Api) -> None:
    assert_figures_agree(api)


def test_the_demos_figures_agree_and_its_statement_is_quick(demo: Api) -> None:
    """The statement in under 3 seconds, nothing of it at hand."""
    begun = time.perf_counter()
    assert demo.get("/statement").status_code == 200
    assert time.perf_counter() - begun < 3
    assert_figures_agree(demo)


def assert_figures_agree(api: Api) -> None:
    """Check the sums of the page against its lines, and every other answer against the page."""
    api.settle()
    money, statement = api.read("/money"), api.read("/statement")
    whole = Decimal(money["at_completion"])
    parts = ("paid", "invoiced", "worked", "committed", "expected")
    chapters = money["chapters"]
    for one in chapters:
        assert sum(Decimal(one[part]) for part in parts) == Decimal(one["at_completion"])
        assert Decimal(one["at_completion"]) - Decimal(one["budget"]) == Decimal(one["over"])
    assert added(chapters, "at_completion") == whole
    assert added(chapters, "budget") == Decimal(money["budget"])
    assert added(chapters, "paid") + added(chapters, "worked") == Decimal(money["spent"])
    assert added(chapters, "invoiced") + added(chapters, "committed") == Decimal(money["committed"])
    assert added(chapters, "expected") == Decimal(money["expected"])
    same = ("spent", "committed", "expected", "at_completion", "budget", "contingency_left")
    assert {name: statement[name] for name in same} == {name: money[name] for name in same}
    assert statement["cash"] == money["cash"]
    assert statement["likely"] == money["likely"]
    assert added(statement["chapters"], "spent") == Decimal(money["spent"])
    spend = api.read("/forecast")["spend"]
    assert (spend["spent"], spend["at_completion"]) == (money["spent"], money["at_completion"])
    assert Decimal(spend["paid"]) == added(chapters, "paid")
    case = api.post("/cases", {"cases": [{"name": "Same", "changes": []}]}).json()
    assert case["plan"]["cost"]["at_completion"] == money["at_completion"]
    assert Decimal(case["cases"][0]["cost"]["moved"]) == 0
    payments = exported(api, "payments")
    assert sum(Decimal(one["worth"]) for one in payments) == added(chapters, "paid")
    costs = exported(api, "costs")
    assert sum(Decimal(one["paid_worth"]) for one in costs) == added(chapters, "paid")
    if money["earned"] is not None:
        spent = sum(added(chapters, part) for part in ("paid", "invoiced", "worked"))
        assert Decimal(money["earned"]["ac"]) == spent
        assert money["earned"]["bac"] == api.read("/baselines")["baselines"][-1]["amount"]


def added(lines: list[dict[str, str]], name: str) -> Decimal:
    """Add up one column."""
    return sum((Decimal(one[name]) for one in lines), Decimal(0))


def test_statement_tells_what_was_paid_worked_and_done_in_a_month(api: Api) -> None:
    january = api.read("/statement?month=2026-01")
    assert (january["first"], january["last"]) == ("2026-01-01", "2026-01-31")
    (deposit,) = january["paid"]
    assert (deposit["of"], deposit["amount"], deposit["worth"]) == ("C2", "1200.00", "1392.00")
    assert (january["paid_total"], january["worked_hours"]) == ("1392.00", "14")
    assert january["worked_total"] == "560.00"
    assert [one["id"] for one in january["done"]] == ["T1"]
    assert added(january["chapters"], "this_month") == Decimal("1952.00")
    february = api.read("/statement")
    assert (february["month"], february["last"]) == ("2026-02", "2026-02-02")
    assert (february["paid_total"], february["worked_hours"]) == ("120.50", "0")
    assert "2072.50 EUR is spent" in february["sentence"]
    assert february["moved"] is None


def test_statement_tells_which_chapters_moved_since_the_month_before(api: Api) -> None:
    """
    The plan of 2 February stood until the end of the month; in March the engine is dearer.

    What moved it is asked for by the version that the statement names.
    """
    before = api.read("/money")
    assert api.patch("", {"as_of": "2026-03-01"}).status_code == 200
    dearer = api.patch("/costs/C2", {"amount": "4500.00"})
    assert dearer.status_code == 200, dearer.text
    statement = api.read("/statement")
    moved = statement["moved"]
    assert (moved["since"], moved["since_version"]) == ("2026-02-02", 1)
    assert moved["before"] == before["at_completion"]
    assert moved["now"] == statement["at_completion"]
    chapters = {one["chapter"]: one["moved"] for one in moved["chapters"]}
    assert chapters["72"] == "600.00"
    assert added(moved["chapters"], "moved") == Decimal(moved["moved"])
    assert Decimal(moved["before"]) + Decimal(moved["moved"]) == Decimal(moved["now"])
    less = moved["moved"].removeprefix("-")
    assert moved["sentence"] == (
        f"Since 2026-02-02, it costs {less} EUR less as written, and is finished "
        f"{moved['days']} days later, on {moved['finish']}."
    )
    told = what_moved(api, moved["since_version"])
    assert told["moved"] == moved
    assert added(told["causes"], "amount") == Decimal(moved["moved"])
    assert sum(one["days"] for one in told["causes"]) == moved["days"]


@pytest.mark.parametrize(
    ("month", "parts"),
    [
        ("2026-03", ("month", "March 2026 is after the as-of date 2026-02-02")),
        ("2025-12", ("month", "December 2025 is before the project began")),
        ("2026-13", ("month", '"2026-13" is not a month (year-month, such as 2026-10)')),
        ("January", ("month", '"January" is not a month (year-month, such as 2026-10)')),
    ],
)
def test_statement_of_a_month_that_cannot_be_is_refused(
    shared_api: Api, month: str, parts: tuple[str, ...]
) -> None:
    assert_problem(shared_api.get(f"/statement?month={month}"), 422, *parts)


def test_baseline_is_approved_kept_and_taken_back(api: Api) -> None:
    assert api.read("/money")["earned"] is None
    assert "no baseline" in api.read("/money")["earned_missing"]
    api.be("owner")
    done = api.post("/baselines", {"reason": "Agreed", "plan_version": 1})
    assert done.status_code == 201, done.text
    first = done.json()["baseline"]
    assert (first["key"], first["approved_on"], first["finish"], first["amount"]) == (
        "B1",
        "2026-02-02",
        "2026-03-18",
        "11000.00",
    )
    api.be("planner")
    again = api.post("/baselines", {"reason": "Wings opened"}).json()["baseline"]
    assert again["key"] == "B2"
    assert [one["key"] for one in api.read("/baselines")["baselines"]] == ["B1", "B2"]
    assert api.read("/money")["earned"]["bac"] == "11000.00"
    kinds = [(one["kind"], one["role"]) for one in api.read("/changes?kind=baseline")["changes"]]
    assert kinds == [("baseline", "planner"), ("baseline", "owner")]
    assert api.post("/undo", {"kind": "baseline", "key": "B2"}).status_code == 200
    assert [one["key"] for one in api.read("/baselines")["baselines"]] == ["B1"]
    third = api.post("/baselines", {"reason": "Once more"}).json()["baseline"]
    assert third["key"] == "B2"


@pytest.mark.parametrize(
    ("body", "status", "parts"),
    [
        ({"reason": ""}, 422, ("reason",)),
        ({}, 422, ("reason",)),
        ({"reason": "x", "plan_version": 7}, 412, ("version 7",)),
        ({"reason": "x", "finish": "2026-03-01"}, 422, ("finish",)),
    ],
)
def test_baseline_that_cannot_be_is_refused(
    shared_api: Api, body: dict[str, Any], status: int, parts: tuple[str, ...]
) -> None:
    shared_api.be("owner")
    assert_problem(shared_api.post("/baselines", body), status, *parts)
    assert shared_api.plan_version == 1


def test_baseline_needs_a_budget(lone_client: TestClient) -> None:
    api = Api(lone_client, money_plan(budget=[]))
    api.be("planner")
    assert_problem(api.post("/baselines", {"reason": "x"}), 422, "budget", "no budget yet")


def test_plan_without_money_has_a_page_that_says_what_is_missing(lone_client: TestClient) -> None:
    plan = small_plan(costs=[], budget=[])
    api = Api(lone_client, plan)
    api.settle()
    money = api.read("/money")
    assert (money["budget"], money["at_completion"], money["likely"]) == (None, "0.00", None)
    assert money["missing"] == [
        "No trade has a rate, so labour cannot be priced: give the crew's rate."
    ]
    assert (money["chapters"], money["decisions"], money["delay_month"]) == ([], [], None)
    statement = api.read("/statement")
    assert statement["sentence"].endswith("it comes to 0.00 EUR; no budget is set.")
    assert api.read("/charts/money-need")["data"] == []
    assert api.read("/charts/earned")["data"] == []
    assert exported(api, "costs") == exported(api, "payments") == exported(api, "hours") == []


def test_foreign_money_without_a_rate_is_named_and_left_out(lone_api: Api) -> None:
    new = {"id": "C9", "amount": "10.00", "currency": "USD", "name": "Shims"}
    before = lone_api.read("/money")["at_completion"]
    assert lone_api.post("/costs", new).status_code == 201
    money = lone_api.read("/money")
    assert money["at_completion"] == before
    assert any('"C9" is in USD' in one for one in money["missing"])
    assert exported(lone_api, "costs")[-1]["open_worth"] == ""
    usd = next(one for one in money["currencies"] if one["currency"] == "USD")
    assert (usd["open"], usd["worth"], usd["five_percent"]) == ("10.00", None, None)


def test_an_invoice_above_the_order_is_kept_and_flagged(lone_api: Api) -> None:
    invoice = {"state": "invoiced", "amount": "4180.00", "on": "2026-02-01"}
    assert lone_api.patch("/costs/C2", invoice).status_code == 200
    (flag,) = lone_api.read("/money")["flags"]
    assert flag["of"] == "C2"
    assert "above the order" in flag["sentence"]


def test_more_decimals_than_the_currency_has_are_kept_and_flagged(lone_api: Api) -> None:
    new = {"id": "C9", "amount": "10.005", "currency": "EUR"}
    assert lone_api.post("/costs", new).status_code == 201
    assert lone_api.read("/costs/C9")["amount"] == "10.005"
    assert [one["of"] for one in lone_api.read("/money")["flags"]] == ["C9"]


def test_greatest_amounts_are_added_up_exactly(lone_api: Api) -> None:
    """10^14 less a cent is the most that is taken; two of them and their cents are added."""
    most = "99999999999999.99"
    before = Decimal(lone_api.read("/money")["at_completion"])
    for key in ("C8", "C9"):
        new = {"id": key, "amount": most, "currency": "EUR"}
        assert lone_api.post("/costs", new).status_code == 201
    money = lone_api.read("/money")
    assert Decimal(money["at_completion"]) == before + 2 * Decimal(most)
    assert_problem(
        lone_api.post("/costs", {"id": "C7", "amount": f"1{'0' * 15}", "currency": "EUR"}),
        422,
        "amount",
    )


@pytest.mark.parametrize("evil", ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\n=1"])
def test_what_a_spreadsheet_would_run_is_quoted_and_amounts_stay_numbers(
    lone_api: Api, evil: str
) -> None:
    """The beginnings that OWASP names under "CSV Injection"."""
    new = {"id": "C9", "amount": "-12.50", "currency": "EUR", "name": evil, "document": evil}
    assert lone_api.post("/costs", new).status_code == 201
    line = exported(lone_api, "costs")[-1]
    assert (line["name"], line["document"]) == (f"'{evil}", f"'{evil}")
    assert line["amount"] == "-12.50"


def test_quotes_commas_and_letters_of_all_scripts_survive_an_export(lone_api: Api) -> None:
    name = 'Bolts, 1/4", "žluté", 錨'
    new = {"id": "C9", "amount": "1.00", "currency": "EUR", "name": name}
    assert lone_api.post("/costs", new).status_code == 201
    assert exported(lone_api, "costs")[-1]["name"] == name


def test_hours_are_exported_with_person_and_cost(lone_api: Api) -> None:
    first, second = exported(lone_api, "hours")
    assert (first["person"], first["hours"], first["cost"]) == ("Mechanic 1", "8", "320.00")
    assert second["chapter"] == "71"
    assert_problem(lone_api.get("/exports/wages.csv"), 422, "wages")


def test_what_is_on_the_account_is_a_part_of_the_project(lone_api: Api) -> None:
    project = lone_api.read()
    assert (project["balance"], project["balance_on"]) == ("5000.00", "2026-02-02")
    assert project["standing_per_month"] == "1000.00"
    done = lone_api.patch("", {"balance": "6200.50"})
    assert done.json()["project"]["balance"] == "6200.50"
    assert lone_api.read("/money")["cash"]["on_account"] == "6200.50"
    assert_problem(lone_api.patch("", {"balance_on": None}, 2), 422, "balance_on", "needs the date")
    assert lone_api.patch("", {"balance": None, "balance_on": None}, 2).status_code == 200
    cash = lone_api.read("/money")["cash"]
    assert (cash["on_account"], cash["dry"]) == (None, None)
    assert {one["balance"] for one in cash["months"]} == {None}


def test_drawings_are_json_that_the_plotting_library_accepts(lone_api: Api) -> None:
    lone_api.be("planner")
    assert lone_api.post("/baselines", {"reason": "Agreed"}).status_code == 201
    for path in ("/charts/money-need", "/charts/earned"):
        figure = lone_api.read(path)
        assert figure["data"]
        go.Figure(figure)


def test_a_late_vendor_costs_standing_time(api: Api) -> None:
    """By hand: the engine 30 days late moves the finish by n days of 1000 / 30.4375 each."""
    case = {"name": "Late", "changes": [{"kind": "vendor_late", "vendor": "V1", "days": 30}]}
    answer = api.post("/cases", {"cases": [case]}).json()
    (late,) = answer["cases"]
    assert late["moved_days"] > 0
    days = 45 + late["moved_days"]
    standing = (Decimal(1000) / Decimal("30.4375") * days).quantize(Decimal("0.01"))
    assert Decimal(late["cost"]["moved"]) == standing - STANDING
    assert answer["plan"]["cost"] == {
        "currency": "EUR",
        "at_completion": api.read("/money")["at_completion"],
        "month_later": "1000.00",
    }


def test_the_likely_cost_says_what_it_adds_to_the_cost_as_written(settled_demo: Api) -> None:
    """What it names comes to the difference, each part to three digits."""
    money = settled_demo.read("/money")
    said = money["likely"]["sentence"]
    written = Decimal(money["at_completion"])
    assert said.startswith(f"If everything goes as written, it comes to {written:f} EUR. It")
    more = [int(part) for part in re.findall(r"(\d+) EUR more", said)]
    assert len(more) == 2, said
    assert abs(sum(more) - (Decimal(money["likely"]["p50"]) - written)) <= 60
    statement = settled_demo.read("/statement")
    assert statement["likely"] == money["likely"]
    assert statement["price_growth"] == money["price_growth"]


def test_a_plan_that_nothing_can_upset_is_likely_to_cost_what_is_written(
    lone_client: TestClient,
) -> None:
    """Certain days, no risks, no vendor, no spread of zones or trades: every course is the plan."""
    plan = money_plan()
    plan["project"] |= {"zone_spread": 0, "trade_spread": 0}
    plan |= {"send_outs": [], "risks": [], "kinds": [], "costs": plan["costs"][:1]}
    for task in plan["tasks"]:
        if "days" in task:
            task["days_range"] = [task["days"]] * 3
    api = Api(lone_client, plan)
    api.settle()
    money = api.read("/money")
    assert money["likely"]["p50"] == money["at_completion"]
    assert money["likely"]["sentence"].endswith("That is likely, too.")
