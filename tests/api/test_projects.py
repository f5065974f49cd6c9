"""Projects: list, take in, look at, edit, hand out again."""

from __future__ import annotations

import json

from starlette.testclient import TestClient

from ribstitch.planfile import parse_plan
from tests.api.asking import Api, assert_problem, small_plan, take_in


def test_empty_store_lists_no_project(client: TestClient) -> None:
    assert client.get("/api/v1/projects").json() == {"projects": []}


def test_plan_taken_in_is_listed_and_has_an_address(client: TestClient) -> None:
    answer = client.post("/api/v1/projects", json=small_plan())
    line = answer.json()
    assert answer.status_code == 201
    assert line == {
        "id": 1,
        "name": "Small plan",
        "aircraft": "Two-seat trainer",
        "serial": "42",
        "as_of": "2026-02-02",
        "currency": "EUR",
        "airframe": "",
        "plan_version": 1,
    }
    assert client.get("/api/v1/projects").json() == {"projects": [line]}
    assert client.get(answer.headers["location"]).json()["name"] == "Small plan"


def test_plan_handed_out_is_the_plan_taken_in(api: Api) -> None:
    answer = api.get("/plan-file")
    assert 'filename="small-plan.plan.json"' in answer.headers["content-disposition"]
    given = parse_plan(json.dumps(small_plan()).encode(), "given")
    assert parse_plan(answer.content, "handed out") == given


def test_plan_taken_in_twice_is_two_projects(client: TestClient) -> None:
    assert [take_in(client, small_plan()), take_in(client, small_plan())] == [1, 2]


def test_project_is_edited_and_the_plan_calculated_anew(api: Api) -> None:
    before = api.get()
    assert before.headers["etag"] == '"1"'
    answer = api.patch("", {"as_of": "2026-02-09", "name": "Renamed"})
    done = answer.json()
    assert answer.headers["etag"] == '"2"'
    assert done["project"]["as_of"] == "2026-02-09"
    assert done["project"]["name"] == "Renamed"
    assert done["plan_version"] == 2
    assert done["finish"]["moved_days"] >= 0
    assert api.read() == done["project"]


def test_null_puts_back_the_default(api: Api) -> None:
    assert api.read()["target_finish"] == "2026-05-29"
    assert api.patch("", {"target_finish": None}).json()["project"]["target_finish"] is None


def test_an_as_of_date_before_what_was_done_is_refused(api: Api) -> None:
    assert_problem(api.patch("", {"as_of": "2026-01-05"}), 422, '2026-01-06 of "T1"', "as-of date")
    assert api.plan_version == 1


def test_unknown_project_is_one_sentence(api: Api) -> None:
    for path in ("", "/schedule", "/plan-file", "/tasks", "/changes", "/vendors", "/away"):
        answer = api.client.get(f"/api/v1/projects/99{path}")
        assert_problem(answer, 404, "There is no project 99")
    assert_problem(api.client.get("/api/v1/projects/x"), 422, "project_id", "x")
    assert_problem(api.client.get(f"/api/v1/projects/{10**30}"), 422, "project_id")


def test_title_block_says_what_stands_in_the_corner(api: Api) -> None:
    block = api.read("/title-block")
    assert block["project"] == "Small plan"
    assert block["serial"] == "42"
    assert block["as_of"] == "2026-02-02"
    assert block["finish"] == api.read("/schedule")["finish"]
    assert block["target_finish"] == "2026-05-29"
    assert block["plan_version"] == 1
