"""Cost lines, budget, hours, funding, over-and-above items; decisions; what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.asking import Api, assert_problem
from tests.api.money_plans import money_plan

NEW: list[tuple[str, str, dict[str, Any], dict[str, Any]]] = [
    (
        "costs",
        "cost",
        {"id": "C9", "amount": "12.345", "currency": "GBP", "kind": "freight", "task": "T2"},
        {"amount": "15.00", "document": "INV 7"},
    ),
    (
        "budget",
        "budget_line",
        {"chapter": "32", "amount": "10.00", "currency": "EUR", "kind": "material"},
        {"amount": "11.00"},
    ),
    (
        "hours",
        "hours_worked",
        {"id": "H9", "task": "T2", "on": "2026-02-02", "hours": "0.5", "trade": "metal"},
        {"hours": "1.25"},
    ),
    (
        "funding",
        "funding",
        {"id": "F9", "on": "2026-04-01", "amount": "1500.00", "every_months": 3},
        {"until": "2027-04-01"},
    ),
    (
        "over-and-above",
        "over_and_above",
        {"id": "A9", "name": "Cracked rib", "asked_on": "2026-02-02", "amount": "40.00"},
        {"hours": "3"},
    ),
    (
        "exchange-rates",
        "exchange_rate",
        {"currency": "USD", "on": "2026-02-01", "rate": "0.91"},
        {"rate": "0.92"},
    ),
]


@pytest.fixture(scope="module")
def taken_in() -> dict[str, Any]:
    """A plan that has money in it."""
    return money_plan()


@pytest.mark.parametrize(("plural", "kind", "new", "edit"), NEW)
def test_line_is_added_edited_and_taken_out_and_all_is_taken_back(
    api: Api, plural: str, kind: str, new: dict[str, Any], edit: dict[str, Any]
) -> None:
    before = api.read("/plan-file")
    added = api.post(f"/{plural}", new)
    assert added.status_code == 201, added.text
    line = added.json()[kind]
    assert new.items() <= line.items()
    assert api.read(f"/{plural}")[plural.replace("-", "_")][-1] == line
    path = f"/{plural}/{line['key']}"
    edited = api.patch(path, edit).json()[kind]
    assert {**line, **edit, "version": 2} == edited == api.read(path)
    assert api.delete(path, 2).status_code == 200
    assert api.read("/plan-file") == before
    actions = [one["action"] for one in api.read(f"/changes?kind={kind}")["changes"]]
    assert actions == [f"{kind}.delete", f"{kind}.edit", f"{kind}.add"]
    for left in (edited, line):
        assert api.post("/undo", {"kind": kind, "key": line["key"]}).status_code == 200
        assert {**left, "version": 0} == {**api.read(path), "version": 0}
    assert api.post("/undo", {"kind": kind, "key": line["key"]}).status_code == 200
    assert api.read("/plan-file") == before


@pytest.mark.parametrize(
    ("path", "new", "parts"),
    [
        ("/costs", {"id": "C9", "amount": "1.00", "currency": "euro"}, ("currency", "euro")),
        ("/costs", {"id": "C9", "amount": "1e15", "currency": "EUR"}, ("amount",)),
        ("/costs", {"id": "C9", "amount": "1.0000001", "currency": "EUR"}, ("amount", "decimal")),
        ("/costs", {"id": "C9", "amount": "much", "currency": "EUR"}, ("amount", "much")),
        ("/costs", {"id": "C9", "amount": "NaN", "currency": "EUR"}, ("amount",)),
        ("/costs", {"id": "C1", "amount": "1.00", "currency": "EUR"}, ("id", '"C1"', "twice")),
        (
            "/costs",
            {"id": "C9", "amount": "1.00", "currency": "EUR", "task": "T9"},
            ("task", '"T9"'),
        ),
        (
            "/costs",
            {"id": "C9", "amount": "1.00", "currency": "EUR", "state": "owed"},
            ("state", "owed"),
        ),
        (
            "/costs",
            {
                "id": "C9",
                "amount": "9.00",
                "currency": "EUR",
                "payments": [{"on": "2026-01-07", "amount": "4.00"}] * 2,
            },
            ("payments[1]", "has a payment of 4.00 on 2026-01-07 already"),
        ),
        (
            "/costs",
            {
                "id": "C9",
                "amount": "9.00",
                "currency": "EUR",
                "dues": [{"percent": "30", "at": "order"}],
            },
            ("dues", "30 %, not 100"),
        ),
        (
            "/hours",
            {"id": "H9", "task": "T2", "on": "2026-02-02", "hours": "-2"},
            ("hours", "-2 hours"),
        ),
        (
            "/hours",
            {"id": "H9", "task": "T2", "on": "2026-02-02", "hours": "25"},
            ("hours", "25 hours"),
        ),
        (
            "/hours",
            {"id": "H9", "task": "T2", "on": "2026-02-03", "hours": "2"},
            ("on", "2026-02-03", "2026-02-02"),
        ),
        ("/funding", {"id": "F9", "on": "2026-04-01", "amount": "-1.00"}, ("amount", "-1.00")),
        ("/budget", {"chapter": "55", "amount": "1.00"}, ("currency",)),
        ("/exchange-rates", {"currency": "USD", "on": "2026-02-01", "rate": "-1"}, ("rate", "-1")),
        (
            "/over-and-above",
            {"id": "A9", "name": "Rib", "asked_on": "2026-02-03"},
            ("asked_on", "2026-02-03"),
        ),
        (
            "/over-and-above",
            {
                "id": "A9",
                "name": "Rib",
                "asked_on": "2026-02-01",
                "state": "approved",
                "decided_on": "2026-02-02",
            },
            ("state", "approved", "who decides"),
        ),
    ],
)
def test_money_that_makes_no_sense_is_refused_in_one_sentence(
    shared_api: Api, path: str, new: dict[str, Any], parts: tuple[str, ...]
) -> None:
    before = shared_api.read("/plan-file")
    assert_problem(shared_api.post(path, new), 422, *parts)
    assert shared_api.read("/plan-file") == before
    assert shared_api.plan_version == 1


def test_a_vendor_with_open_orders_stays(lone_api: Api) -> None:
    assert_problem(lone_api.delete("/vendors/V1", 1), 422, 'still names the vendor "V1"')
    assert [one["id"] for one in lone_api.read("/vendors")["vendors"]] == ["V1", "V2"]


def test_a_line_keeps_what_it_was_as_it_goes_on(api: Api) -> None:
    invoice = {"state": "invoiced", "amount": "4180.00", "on": "2026-02-01", "document": "INV 2291"}
    line = api.patch("/costs/C2", invoice).json()["cost"]
    order = {"state": "ordered", "amount": "4000.00", "on": "2026-01-06", "document": "PO 118"}
    assert line["earlier"] == [order]
    assert api.read("/costs/C2") == line
    paid = api.patch("/costs/C2", {"state": "paid"}, 2).json()["cost"]
    assert [one["state"] for one in paid["earlier"]] == ["ordered", "invoiced"]
    back = api.patch("/costs/C2", {"state": "ordered"}, 3).json()["cost"]
    assert back["earlier"] == []
    assert api.post("/undo", {"kind": "cost", "key": "C2"}).status_code == 200
    assert api.read("/costs/C2")["earlier"] == paid["earlier"]


def test_earlier_states_that_are_entered_stand_as_entered(lone_api: Api) -> None:
    quote = {"state": "quoted", "amount": "3900.00", "on": None, "document": ""}
    line = lone_api.patch("/costs/C2", {"state": "invoiced", "earlier": [quote]}).json()["cost"]
    assert line["earlier"] == [quote]


@pytest.mark.parametrize("role", ["owner", "planner"])
def test_owner_and_planner_say_yes_or_no(api: Api, role: str) -> None:
    api.be(role)
    said = decide(api, "approved", "Do it well.")
    assert said.status_code == 200, said.text
    item = said.json()["over_and_above"]
    assert (item["state"], item["decided_on"], item["reason"]) == (
        "approved",
        "2026-02-02",
        "Do it well.",
    )
    assert item["decided_by"] == {"owner": "Owner", "planner": "Planner"}[role]
    (change,) = api.read("/changes?kind=over_and_above")["changes"]
    assert (change["action"], change["role"]) == ("over_and_above.decide", role)
    assert change["reason"] == "Do it well."
    otherwise = decide(api, "declined", "Too dear.", 2).json()["over_and_above"]
    assert otherwise["state"] == "declined"
    api.be("planner")
    for state in ("approved", "waiting"):
        assert api.post("/undo", {"kind": "over_and_above", "key": "A1"}).status_code == 200
        assert api.read("/over-and-above/A1")["state"] == state


def test_shop_lead_does_not_say_yes_to_own_work(api: Api) -> None:
    assert_problem(decide(api, "approved"), 403, "The shop lead asks")
    yes = {"state": "approved", "decided_on": "2026-02-02"}
    assert_problem(api.patch("/over-and-above/A1", yes), 422, "state", '"A1" is approved')
    assert api.plan_version == 1


def test_what_is_decided_is_neither_edited_nor_taken_out(api: Api) -> None:
    api.be("owner")
    assert decide(api, "approved").status_code == 200
    api.be("lead")
    dearer = api.patch("/over-and-above/A1", {"amount": "3000.00"}, 2)
    assert_problem(dearer, 422, "state", '"A1" is approved')
    assert_problem(api.delete("/over-and-above/A1", 2), 422, '"A1" is approved')
    assert api.read("/over-and-above/A1")["amount"] == "300.00"


@pytest.mark.parametrize(
    ("body", "version", "status", "parts"),
    [
        ({"decision": "declined"}, 1, 422, ("reason", "says why")),
        ({"decision": "declined", "reason": " "}, 1, 422, ("reason",)),
        ({"decision": "waiting"}, 1, 422, ("decision", "waiting")),
        ({"decision": "approved", "amount": "1.00"}, 1, 422, ("amount",)),
        ({"decision": "approved"}, 2, 412, ("version 2",)),
        ({"decision": "approved"}, None, 428, ("If-Match",)),
    ],
)
def test_a_decision_that_makes_no_sense_is_refused(
    lone_api: Api, body: dict[str, Any], version: int | None, status: int, parts: tuple[str, ...]
) -> None:
    lone_api.be("owner")
    headers = {} if version is None else {"If-Match": f'"{version}"'}
    answer = lone_api.client.post(
        f"{lone_api.root}/over-and-above/A1/decision", json=body, headers=headers
    )
    assert_problem(answer, status, *parts)
    assert lone_api.plan_version == 1


def test_an_edit_after_the_owner_looked_is_not_approved_unseen(api: Api) -> None:
    assert api.patch("/over-and-above/A1", {"amount": "900.00"}).status_code == 200
    api.be("owner")
    problem = assert_problem(decide(api, "approved"), 412)
    assert problem["changes_since"][0]["fields"] == ["amount"]
    assert_problem(decide(api, "approved", key="A8"), 404, '"A8"')


def decide(api: Api, decision: str, reason: str = "", version: int = 1, key: str = "A1") -> Any:
    """Say yes or no to an item."""
    return api.client.post(
        f"{api.root}/over-and-above/{key}/decision",
        json={"decision": decision, "reason": reason},
        headers={"If-Match": f'"{version}"'},
    )
