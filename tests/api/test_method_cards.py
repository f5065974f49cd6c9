"""The shop's method cards: what finished work made of their hours, and taking it."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.api.asking import Api, assert_problem
from tests.support.evaluated import card
from tests.support.worked_cards import worked_plan


@pytest.fixture
def shop(lone_client: TestClient) -> Api:
    """Return the service with that plan as its only project."""
    return Api(lone_client, worked_plan())


def by_key(shop: Api) -> dict[str, dict[str, Any]]:
    """Return the cards by key."""
    return {line["key"]: line for line in shop.read("/method-cards")["cards"]}


def test_cards_are_told_by_name_with_who_uses_them_and_what_they_took(shop: Api) -> None:
    """By hand as in the core: 4 h a bay three times, next job between 2.5 and 6.4. M06 has no
    jobs; its trade took 24 h where M05 says 4 h for each of 6 bays, once its hours."""
    seen = shop.read("/method-cards")
    assert [line["card"]["name"] for line in seen["cards"]] == [
        "Mend a skin with a patch", "Open up", "Remove later work",
    ]  # fmt: skip
    assert (seen["from_memory"], seen["enough_jobs"], seen["trades"]) == (3, 3, ["metal"])
    assert "lead_chromate" in seen["hazards"]
    assert "licensed people decide" in seen["standing_line"]
    cards = by_key(shop)
    assert (cards["M05"]["findings"], cards["M05"]["standing_jobs"]) == (0, 1)
    assert (cards["M15"]["findings"], cards["M15"]["standing_jobs"]) == (1, 0)
    assert cards["M05"]["steps"] == [{
        "number": 1, "jobs": 3, "average": 4.0,
        "proposal": {"hours": ["2.5", "4", "6.4"], "basis": "step", "jobs": 3, "ratio": None,
                     "is_taken": False},
    }]  # fmt: skip
    assert cards["M06"]["steps"][0]["proposal"] == {
        "hours": ["2", "4", "9"], "basis": "trade", "jobs": 3, "ratio": 1.0, "is_taken": True,
    }  # fmt: skip


def test_what_the_shop_needed_is_taken_in_one_edit_and_taken_back(shop: Api) -> None:
    before = by_key(shop)["M05"]
    hours = before["steps"][0]["proposal"]["hours"]
    edit = {"steps": [{**before["card"]["steps"][0], "hours": hours}], "from_memory": False}
    assert shop.patch("/cards/M05", edit).status_code == 200
    after = by_key(shop)["M05"]
    assert after["card"]["from_memory"] is False
    assert after["card"]["steps"][0]["hours"] == hours
    assert after["steps"][0]["proposal"]["is_taken"] is True
    assert shop.read("/method-cards")["from_memory"] == 2
    assert_problem(shop.patch("/cards/M05", edit), 412, "look at it again")
    undo = shop.client.post(
        f"{shop.root}/undo", json={"kind": "method_card", "key": "M05"}, headers={"If-Match": '"2"'}
    )
    assert undo.status_code == 200, undo.text
    assert by_key(shop)["M05"]["card"] == before["card"]


def test_edited_hours_change_what_the_planner_drafts(shop: Api) -> None:
    """By hand: J1 is two bays by M05, 4 h each, one person, a day of 8 h: 1 day. At 8 h, 2."""
    drawn = shop.post("/draft", {"plan_version": shop.plan_version})
    assert drawn.status_code == 200, drawn.text
    assert shop.read("/tasks/J1.1")["task"]["days"] == 1
    step = {**card("M05", "Open up", "bay")["steps"][0], "hours": ["4", "8", "18"]}
    assert shop.patch("/cards/M05", {"steps": [step], "from_memory": False}).status_code == 200
    [changed] = [one for one in shop.read("/draft")["changed"] if one["key"] == "J1.1"]
    assert {"field": "days", "before": 1, "after": 2} in changed["fields"]


def test_hours_that_fall_are_refused_and_nothing_is_stored(shop: Api) -> None:
    step = {**card("M05", "Open up", "bay")["steps"][0], "hours": ["5", "4", "9"]}
    answer = shop.patch("/cards/M05", {"steps": [step]})
    problem = assert_problem(answer, 422, "must rise", "5, 4, 9")
    assert problem["field"] == "steps[0].hours"
    assert by_key(shop)["M05"]["version"] == 1


def test_withdrawn_finding_uses_no_card(shop: Api) -> None:
    assert shop.patch("/findings/F1", {"dropped": True}).status_code == 200
    assert by_key(shop)["M15"]["findings"] == 0
