"""The draft over HTTP: shown to everybody, taken by those who plan."""

from __future__ import annotations

from typing import Any

from starlette.testclient import TestClient

from tests.api.asking import Api, assert_problem, small_plan


def evaluated() -> dict[str, Any]:
    """Return the small plan with one finding and a card of two steps."""
    hours = ["8", "8", "8"]
    return small_plan(
        cards=[
            {"id": "P", "name": "Mend", "driver": "patch", "steps": [
                {"number": 1, "name": "Cut", "hours": hours, "trade": "metal"},
                {"number": 2, "name": "Sign", "hours": hours, "trade": "insp", "after": [1],
                 "check": "buy_off"},
            ]},
        ],
        findings=[
            {"id": "F1", "seen": "Fin dented", "title": "Fin", "zone": "tail", "card": "P",
             "treatment": "repair"},
            {"id": "F2", "seen": "Dents", "treatment": "re_cover"},
        ],
    )  # fmt: skip


def test_a_draft_is_shown_and_taken_and_is_up_to_date_then(client: TestClient) -> None:
    api = Api(client, evaluated())
    shown = api.read("/draft")
    assert shown["up_to_date"] is False
    assert shown["counts"] == {"added": 5, "changed": 1, "dropped": 0, "kept": 0}
    assert shown["added"][0] == {
        "kind": "task", "key": "F1.1", "name": "Fin: cut", "finding": "F1", "card": "P",
        "why": "finding F1 (Fin dented), card P, step 1", "asked": "",
    }  # fmt: skip
    assert shown["changed"][0]["fields"] == [
        {"field": "hidden_work_percent", "before": None, "after": 60}
    ]
    assert [one["finding"] for one in shown["problems"]] == ["F2", None]
    assert "nobody" in shown["problems"][1]["sentence"].lower()
    taken = api.post("/draft", {"plan_version": shown["plan_version"]})
    assert taken.status_code == 200
    assert taken.json()["counts"] == shown["counts"]
    assert taken.json()["finish"]["after"] == shown["finish_after"]
    assert api.read("/draft")["up_to_date"] is True
    undone = api.post("/undo", {"kind": taken.json()["kind"], "key": taken.json()["key"]})
    assert undone.status_code == 200
    assert api.read("/draft")["counts"] == shown["counts"]


def test_a_draft_of_an_older_plan_is_refused(lone_client: TestClient) -> None:
    api = Api(lone_client, evaluated())
    version = api.read("/draft")["plan_version"]
    api.post("/draft", {"plan_version": version})
    refused = api.post("/draft", {"plan_version": version})
    assert_problem(refused, 412, "changed plan")


def test_the_owner_sees_the_draft_and_cannot_take_it(lone_client: TestClient) -> None:
    api = Api(lone_client, evaluated())
    api.be("owner")
    shown = api.read("/draft")
    assert_problem(api.post("/draft", {"plan_version": shown["plan_version"]}), 403, "owner")


def test_a_draft_says_who_is_asked_and_a_vendor_that_takes_the_kind_settles_what_it_lacks(
    lone_client: TestClient,
) -> None:
    away = {"seen": "Worn", "card": "P", "treatment": "overhaul", "send_out_kind": "engine"}
    plan = evaluated() | {"vendors": [{"id": "V0", "name": "A shop"}], "send_outs": []}
    plan["findings"] = [{"id": "F1", "title": "Pump", **away}]
    api = Api(lone_client, plan)
    shown = api.read("/draft")
    assert [one["without_vendor"] for one in shown["problems"]] == ["engine", None]
    assert "no vendor takes that" in shown["problems"][0]["sentence"]
    assert api.post("/vendors", {"id": "V9", "name": "Ninth", "kinds": ["engine"]}).is_success
    shown = api.read("/draft")
    assert [one["without_vendor"] for one in shown["problems"]] == [None, None]
    (item,) = [one for one in shown["added"] if one["kind"] == "send_out"]
    assert (item["key"], item["asked"]) == ("S-F1", "Ninth is asked: it takes engine.")
