"""What an earlier finish costs, and cases that become the plan."""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from itertools import product
from typing import Any

import pytest
from starlette.testclient import TestClient

from ribstitch.planfile import parse_plan
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.whatif import ExpediteTaken, apply_changes
from tests.api.asking import Api, assert_problem, small_plan

EXPEDITES: list[dict[str, Any]] = [
    {
        "id": "E1",
        "name": "Engine first on the bench",
        "kind": "fee",
        "send_out": "S1",
        "gains_days": 5,
        "cost": "500.00",
        "currency": "GBP",
    },
    {
        "id": "E2",
        "name": "Saturdays on the engine",
        "kind": "overtime",
        "task": "T4",
        "gains_days": 2,
        "cost": "120.00",
        "by_the_day": True,
    },
    {"id": "E3", "name": "Fin", "kind": "other", "task": "T3", "gains_days": 4, "cost": "10.00"},
]
"""The engine's way sets the finish; the fin does not. A pound is 1.16 EUR in the small plan."""


def plan() -> dict[str, Any]:
    return small_plan(expedites=EXPEDITES)


@pytest.fixture(scope="module")
def shared_api(shared_client: TestClient) -> Api:
    """Return one such project for the module: for what is refused and so stores nothing."""
    one = Api(shared_client, plan())
    one.be("planner")
    return one


@pytest.fixture
def api(client: TestClient) -> Api:
    """Return a client with the small plan and three expedites."""
    one = Api(client, plan())
    one.be("planner")
    return one


def core_plan() -> Plan:
    return parse_plan(json.dumps(plan()).encode(), "small")


def every_choice() -> list[tuple[date, Decimal]]:
    """Return finish and cost of each of the twelve choices, re-scheduled one by one."""
    found = []
    for fee, days, fin in product((0, 1), (0, 1, 2), (0, 1)):
        changes = [ExpediteTaken("E1")] * fee + [ExpediteTaken("E3")] * fin
        changes += [ExpediteTaken("E2", days)] if days else []
        finish = apply_changes(core_plan(), changes).schedule().finish_on
        found.append((finish, fee * Decimal(580) + days * Decimal(120) + fin * Decimal(10)))
    return found


def settled(api: Api, body: dict[str, Any]) -> dict[str, Any]:
    """Ask, wait until nothing runs any more, and return what stands then."""
    assert api.post("/pulling-in", body).status_code == 200
    service = api.client.app.state.service  # type: ignore[attr-defined]
    service.pulling_in.work.wait(service.forecasts.current(api.project), 60.0)
    return api.read("/pulling-in")


def test_the_curve_is_the_cheapest_of_all_choices_by_finish(api: Api) -> None:
    result = settled(api, {})["result"]
    choices = every_choice()
    finishes = sorted({finish for finish, _ in choices}, reverse=True)
    least = [
        (day.isoformat(), min(cost for finish, cost in choices if finish <= day))
        for day in finishes
    ]
    assert [(one["finish"], Decimal(one["cost"])) for one in result["curve"]] == least
    assert len(least) > 2
    assert all(one["proven"] and Decimal(one["gap"]) == 0 for one in result["curve"])
    assert result["planned_finish"] == schedule(core_plan()).finish_on.isoformat()
    assert result["earliest_finish"] == least[-1][0]
    assert Decimal(result["all_cost"]) == 580 + 240 + 10
    assert (result["currency"], result["answer"], result["refusal"]) == ("EUR", None, "")


def test_a_wanted_date_is_answered_in_one_sentence(api: Api) -> None:
    by = schedule(core_plan()).finish_on - timedelta(days=1)
    result = settled(api, {"by": by.isoformat()})["result"]
    answer = result["answer"]
    least = min(cost for finish, cost in every_choice() if finish <= by)
    assert Decimal(answer["cost"]) == least == 120
    assert answer["finish"] <= by.isoformat() == result["by"]
    assert answer["sentence"] == f"Finished by {answer['finish']} for 120 EUR: 1 day of overtime."
    assert answer["taken"] == [
        {
            "expedite": "E2",
            "name": "Saturdays on the engine",
            "kind": "overtime",
            "days": 1.0,
            "cost": "120.00",
        }
    ]
    case = {"changes": [{"kind": "expedite_taken", "expedite": "E2", "days": 1}]}
    compared = api.post("/cases", {"cases": [case]}).json()
    assert compared["cases"][0]["finish"] == answer["finish"]
    assert compared["cases"][0]["bought"] == [{"amount": "120.00", "currency": "EUR"}]
    assert compared["plan_version"] == api.plan_version == 1


def test_a_sum_buys_the_earliest_finish_that_it_can(api: Api) -> None:
    result = settled(api, {"budget": "600"})["result"]
    earliest = min(finish for finish, cost in every_choice() if cost <= 600)
    assert result["answer"]["finish"] == earliest.isoformat()
    assert Decimal(result["answer"]["cost"]) <= 600 == Decimal(result["budget"])


def test_what_cannot_be_reached_says_what_can(api: Api) -> None:
    standing = settled(api, {"by": "2026-02-10"})
    result = standing["result"]
    assert (standing["state"], result["answer"]) == ("ready", None)
    for part in ("2026-02-10 cannot be reached", result["earliest_finish"], "820"):
        assert part in result["refusal"]
    assert "buys nothing" in settled(api, {"budget": "1"})["result"]["refusal"]
    assert len(result["curve"]) > 1


def test_a_date_that_the_plan_keeps_costs_nothing(api: Api) -> None:
    answer = settled(api, {"by": "2026-12-31"})["result"]["answer"]
    assert (answer["cost"], answer["taken"]) == ("0.00", [])
    assert answer["sentence"].startswith("Nothing to buy")


def test_without_expedites_there_is_one_sentence(client: TestClient) -> None:
    standing = settled(Api(client, small_plan()), {"by": "2026-02-10"})
    assert standing["state"] == "failed"
    assert "nothing" in standing["reason"]
    assert standing["result"]["curve"] == []


def test_nothing_is_begun_until_somebody_asks_and_an_edit_outdates_it(api: Api) -> None:
    assert api.read("/pulling-in")["state"] == "none"
    assert settled(api, {})["state"] == "ready"
    figure = api.read("/charts/cost-curve")
    assert [one["name"] for one in figure["data"]][2] == "Costs at least"
    assert api.patch("/tasks/T2", {"days": 6}).status_code == 200
    assert api.read("/pulling-in")["state"] == "outdated"
    assert api.read("/pulling-in")["result"] is None
    assert api.read("/charts/cost-curve")["data"] == []


def test_stopping_is_no_mistake_even_if_nothing_runs(api: Api) -> None:
    assert api.delete("/pulling-in").json()["state"] == "none"
    settled(api, {})
    assert api.delete("/pulling-in").json()["state"] == "ready"


@pytest.mark.parametrize(
    ("body", "parts"),
    [
        ({"by": "2026-03-01", "budget": "5"}, ("budget", "either")),
        ({"by": "soon"}, ("by", "soon")),
        ({"by": "0001-01-01"}, ("by", "0001-01-01")),
        ({"budget": "-5"}, ("budget", "-5")),
        ({"budget": "a lot"}, ("budget", "a lot")),
        ({"until": "2026-03-01"}, ("until",)),
    ],
)
def test_a_question_that_makes_no_sense_is_refused(
    shared_api: Api, body: dict[str, Any], parts: tuple[str, ...]
) -> None:
    assert_problem(shared_api.post("/pulling-in", body), 422, *parts)
    assert shared_api.read("/pulling-in")["state"] == "none"


TAKEN = {"name": "Sooner", "changes": [{"kind": "expedite_taken", "expedite": "E2", "days": 2}]}


def test_a_case_becomes_the_plan_and_is_taken_back_as_one(api: Api) -> None:
    before = api.read("/plan-file")
    compared = api.post("/cases", {"cases": [TAKEN]}).json()
    done = api.post("/cases/adopt", {"plan_version": 1, "case": TAKEN})
    assert done.status_code == 200, done.text
    taken = done.json()
    assert taken["changed"] == 3
    assert taken["finish"]["after"] == compared["cases"][0]["finish"]
    assert taken["finish"]["after"] == api.read("/schedule")["finish"]
    assert api.read("/expedites/E2")["taken_days"] == 2
    assert api.read("/plan-file")["costs"][-1]["amount"] == "240.00"
    changes = api.read("/changes")["changes"][:3]
    assert {one["action"] for one in changes} == {"case.adopt"}
    undone = api.post("/undo", {"kind": taken["kind"], "key": taken["key"]})
    assert undone.status_code == 200, undone.text
    assert api.read("/plan-file") == before


def test_only_the_planner_takes_a_case_into_the_plan(api: Api) -> None:
    for role in ("lead", "owner"):
        api.be(role)
        assert_problem(api.post("/cases/adopt", {"plan_version": 1, "case": TAKEN}), 403)
    assert api.plan_version == 1


def test_a_case_that_was_looked_at_with_an_older_plan_is_refused(api: Api) -> None:
    assert api.patch("/tasks/T2", {"days": 6}).status_code == 200
    answer = api.post("/cases/adopt", {"plan_version": 1, "case": TAKEN})
    problem = assert_problem(answer, 412, "Planner changed plan (days)")
    assert problem["current_version"] == 2
    assert problem["changes_since"][0]["key"] == "T2"
    assert api.read("/expedites/E2")["taken_days"] == 0


@pytest.mark.parametrize(
    ("change", "parts"),
    [
        (
            {"kind": "vendor_late", "vendor": "V1", "days": 5},
            ("case.changes[0]", '"V1" comes late is a guess, and no plan', "Away"),
        ),
        ({"kind": "expedite_taken", "expedite": "E9"}, ("case.changes[0].expedite", '"E9"')),
        ({"kind": "expedite_taken", "expedite": "E2", "days": 9}, ("days", "1 to 2", "9")),
    ],
)
def test_a_case_that_is_no_plan_is_refused_and_nothing_stored(
    shared_api: Api, change: dict[str, Any], parts: tuple[str, ...]
) -> None:
    asked = {"plan_version": 1, "case": {"changes": [change]}}
    assert_problem(shared_api.post("/cases/adopt", asked), 422, *parts)
    assert shared_api.plan_version == 1
