"""Every refusal has one shape and one sentence, and nothing is stored."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.api.asking import Api, assert_problem, small_plan

HUGE = b'{"format": "ribstitch-plan/1", "notes": "' + b"x" * 50_000_000 + b'"}'
JSON = {"Content-Type": "application/json"}


def plan_with(**tasks: Any) -> dict[str, Any]:
    """Return a small plan whose first task is changed."""
    plan = small_plan()
    plan["tasks"] = [{**plan["tasks"][0], **tasks}, *plan["tasks"][1:]]
    return plan


PLANS: dict[str, tuple[dict[str, Any], tuple[str, ...]]] = {
    "circle": (
        small_plan(links=[{"from": "T2", "to": "T3"}, {"from": "T3", "to": "T2"}]),
        ("links", "T2 -> T3 -> T2"),
    ),
    "unknown task": (small_plan(links=[{"from": "T2", "to": "T77"}]), ("links[0].to", '"T77"')),
    "self link": (small_plan(links=[{"from": "T2", "to": "T2"}]), ("links[0]", '"T2"', "itself")),
    "id twice": (plan_with(id="T2"), ("tasks[1].id", '"T2"', "twice")),
    "negative days": (plan_with(days=-1), ("tasks[0].days", "-1")),
    "absurd days": (plan_with(days=9000), ("tasks[0].days", "9000", "20 years")),
    "31 February": (plan_with(not_before="2026-02-31"), ("tasks[0].not_before", "2026-02-31")),
    "no working day": (
        small_plan(calendars=[{"id": "shop", "week": [0] * 7}, {"id": "v1"}]),
        ("calendars[0]", "shop", "no working day"),
    ),
    "closed backwards": (
        small_plan(
            calendars=[{"id": "shop", "closed": [["2026-08-14", "2026-08-03"]]}, {"id": "v1"}]
        ),
        ("calendars[0].closed[0]", "2026-08-03"),
    ),
    "unknown country": (
        small_plan(calendars=[{"id": "shop", "holidays": "ATLANTIS"}, {"id": "v1"}]),
        ("calendars[0].holidays", "ATLANTIS"),
    ),
    "done tomorrow": (
        plan_with(status={"state": "done", "finished": "2026-02-03"}),
        ("tasks[0].status.finished", "2026-02-03", "as-of date"),
    ),
    "done before begun": (
        plan_with(status={"state": "done", "started": "2026-01-08", "finished": "2026-01-07"}),
        ("tasks[0].status.finished", "2026-01-07"),
    ),
    "unknown vendor": (
        small_plan(vendors=[]), ("send_outs[0].vendor", '"V1"'),
    ),
    "unknown key": (plan_with(colour="red"), ("tasks[0]", "colour")),
    "wrong format": (small_plan(format="ribstitch-plan/2"), ("format", "ribstitch-plan/2")),
}  # fmt: skip


@pytest.mark.parametrize("name", PLANS)
def test_bad_plan_is_refused_whole(shared_api: Api, name: str) -> None:
    plan, parts = PLANS[name]
    assert_problem(shared_api.client.post("/api/v1/projects", json=plan), 422, *parts)
    assert len(shared_api.client.get("/api/v1/projects").json()["projects"]) == 1


EDITS: dict[str, tuple[str, Any, tuple[str, ...]]] = {
    "started tomorrow": (
        "/tasks/T2",
        {"status": {"state": "in_work", "started": "2026-02-03"}},
        ("status.started", "2026-02-03", "as-of date"),
    ),
    "done without a date": ("/tasks/T2", {"status": {"state": "done"}}, ("T2", "needs a date")),
    "finish before start": (
        "/tasks/T2",
        {"status": {"state": "done", "started": "2026-01-30", "finished": "2026-01-29"}},
        ("status.finished", "2026-01-29", "2026-01-30"),
    ),
    "negative remaining": (
        "/tasks/T2",
        {"status": {"state": "in_work", "started": "2026-01-30", "remaining_days": -2}},
        ("remaining_days", "-2"),
    ),
    "unknown state": ("/tasks/T2", {"status": {"state": "lost"}}, ("status.state", "lost")),
    "state as a list": ("/tasks/T2", {"status": {"state": []}}, ("status.state", "[]")),
    "state as an object": ("/tasks/T2", {"status": {"state": {"a": 1}}}, ("status.state",)),
    "31 February": ("/tasks/T2", {"deadline": "2026-02-31"}, ("deadline", "2026-02-31")),
    "date as number": ("/tasks/T2", {"deadline": 20260231}, ("deadline", "20260231")),
    "days as text": ("/tasks/T2", {"days": "four"}, ("days", "four")),
    "a tenth of a day": ("/tasks/T2", {"days": 0.1}, ("days", "0.1", "eighths")),
    "absurd days": ("/tasks/T2", {"days": 1e300}, ("days",)),
    "unknown key": ("/tasks/T2", {"status": {"mood": "good"}}, ("status", "mood")),
    "unknown zone": ("/tasks/T2", {"zone": "cellar"}, ("zone", '"cellar"')),
    "new id": ("/tasks/T2", {"id": "T9"}, ("id", "stays as it is")),
    "no object": ("/tasks/T2", [1], ("no JSON object",)),
    "deep": ("/tasks/T2", {"notes": json.loads("[" * 21 + "]" * 21)}, ("nested",)),
}  # fmt: skip


@pytest.mark.parametrize("name", EDITS)
def test_bad_edit_is_refused_and_nothing_stored(shared_api: Api, name: str) -> None:
    path, edit, parts = EDITS[name]
    before = shared_api.read("/plan-file")
    assert_problem(shared_api.patch(path, edit), 422, *parts)
    assert shared_api.plan_version == 1
    assert shared_api.read("/plan-file") == before
    assert len(shared_api.read("/changes")["changes"]) == 1


def test_edit_is_refused_before_either_database_stores_any_of_it(api: Api) -> None:
    """A value, a reference and a state that make no sense, each beside a field that does."""
    before = api.read("/plan-file")
    for edit in ({"days": "four"}, {"zone": "cellar"}, {"status": {"state": "done"}}):
        assert_problem(api.patch("/tasks/T2", {"notes": "Ask again", **edit}), 422)
    assert api.plan_version == 1
    assert api.read("/plan-file") == before
    assert len(api.read("/changes")["changes"]) == 1


def test_link_that_closes_a_circle_names_all_in_it(api: Api) -> None:
    answer = api.post("/links", {"from": "T5", "to": "T2"})
    assert_problem(answer, 422, "T2 -> T3", "T3 -> T5", "T5 -> T2")
    assert_problem(api.post("/links", {"from": "T2", "to": "T77"}), 422, '"T77"')
    assert_problem(api.post("/links", {"from": "T2", "to": "T2"}), 422, "itself")
    assert_problem(api.post("/links", {"from": "T2", "to": "T3"}), 422, "already")
    assert_problem(api.post("/tasks", {"id": "T2", "days": 1}), 422, '"T2"', "twice")
    assert_problem(api.post("/tasks", {"id": "T9"}), 422, "days")
    assert api.plan_version == 1


RAW: dict[str, tuple[bytes, dict[str, str], int, tuple[str, ...]]] = {
    "not JSON": (b"{days: 4}", JSON, 400, ("not JSON",)),
    "cut off": (b'{"days": ', JSON, 400, ("not JSON",)),
    "NaN": (b'{"days": NaN}', JSON, 400, ("not JSON",)),
    "empty": (b"", JSON, 400, ("no body",)),
    "not text": (b"\xff\xfe\x00", JSON, 400, ("not JSON",)),
    "nested without end": (b"[" * 200_000, JSON, 400, ("not JSON",)),
    "too large": (b'"' + b"x" * 300_000 + b'"', JSON, 413, ("256 KB",)),
    "NUL": (b'{"name": "a\\u0000b"}', JSON, 422, ("NUL",)),
    "form": (b"days=4", {"Content-Type": "application/x-www-form-urlencoded"}, 415,
             ("application/x-www-form-urlencoded", "application/json")),
    "plain text": (b'{"days": 4}', {"Content-Type": "text/plain"}, 415, ("text/plain",)),
    "no type": (b'{"days": 4}', {}, 415, ("application/json",)),
}  # fmt: skip


@pytest.mark.parametrize("name", RAW)
def test_body_that_cannot_be_read(shared_api: Api, name: str) -> None:
    body, headers, status, parts = RAW[name]
    answer = shared_api.client.patch(
        f"{shared_api.root}/tasks/T2", content=body, headers={"If-Match": '"1"', **headers}
    )
    assert_problem(answer, status, *parts)
    assert shared_api.plan_version == 1


PLAN_BODIES: dict[str, tuple[bytes, int, tuple[str, ...]]] = {
    "50 MB": (HUGE, 413, ("20 MB",)),
    "not JSON": (b"PK\x03\x04", 422, ("not JSON",)),
    "NaN": (json.dumps(plan_with(days=float("nan"))).encode(), 422, ("tasks[0].days",)),
    "infinite": (json.dumps(plan_with(days=float("inf"))).encode(), 422, ("tasks[0].days",)),
    "nested without end": (b'{"tasks":' + b"[" * 100_000, 422, ("nested",)),
    "a list": (b"[]", 422, ()),
    "null": (b"null", 422, ()),
}


@pytest.mark.parametrize("name", PLAN_BODIES)
def test_plan_file_that_cannot_be_read(shared_api: Api, name: str) -> None:
    body, status, parts = PLAN_BODIES[name]
    answer = shared_api.client.post("/api/v1/projects", content=body, headers=JSON)
    assert_problem(answer, status, *parts)
    assert len(shared_api.client.get("/api/v1/projects").json()["projects"]) == 1


def test_address_with_nul_is_refused_and_a_backslash_before_u0000_is_text(api: Api) -> None:
    for path in ("/tasks/%00", "/changes?key=%00", "/tasks?q=a%00"):
        assert_problem(api.get(path), 422, "NUL")
    body = rb'{"notes": "a\\u0000"}'
    answer = api.client.patch(
        f"{api.root}/tasks/T2", content=body, headers={"If-Match": '"1"', **JSON}
    )
    assert answer.status_code == 200, answer.text
    assert api.read("/tasks/T2")["task"]["notes"] == "a\\u0000"


def test_large_body_is_refused_though_it_does_not_say_its_size(shared_api: Api) -> None:
    def pieces() -> Any:
        for _ in range(30):
            yield b" " * 1_000_000

    answer = shared_api.client.post("/api/v1/projects", content=pieces(), headers=JSON)
    assert_problem(answer, 413, "20 MB")


@pytest.mark.parametrize("header", ['"two"', "*", '"1", "2"', '"' + "9" * 30 + '"', ""])
def test_if_match_that_is_no_version(shared_api: Api, header: str) -> None:
    answer = shared_api.client.patch(
        f"{shared_api.root}/tasks/T2", json={"days": 4}, headers={"If-Match": header}
    )
    assert_problem(answer, 400, "If-Match")
    assert shared_api.plan_version == 1


@pytest.mark.parametrize("header", ['"1"', 'W/"1"', "1"])
def test_if_match_in_each_of_its_forms(lone_api: Api, header: str) -> None:
    answer = lone_api.client.patch(
        f"{lone_api.root}/tasks/T2", json={"days": 4}, headers={"If-Match": header}
    )
    assert answer.status_code == 200, answer.text


@pytest.mark.parametrize(
    ("path", "edit"),
    [("", {"name": "x"}), ("/tasks/T2", {"days": 4}), ("/send-outs/S1", {"notes": "x"}),
     ("/vendors/V1", {"name": "x"}), ("/calendars/shop", {"name": "x"}),
     ("/crew/metal", {"people": 2}), ("/zones/tail", {"name": "x"}),
     ("/places/booth", {"capacity": 2})],
)  # fmt: skip
def test_edit_says_which_version_it_changes(api: Api, path: str, edit: dict[str, Any]) -> None:
    assert_problem(api.patch(path, edit, version=None), 428, "If-Match")
    assert api.plan_version == 1
    assert api.patch(path, edit, version=1).status_code == 200
    stale = assert_problem(api.patch(path, edit, version=1), 412, "Shop lead changed")
    assert stale["current_version"] == 2
    assert [one["fields"] for one in stale["changes_since"]] == [list(edit)]
    assert stale["changes_since"][0]["who"] == "Shop lead"
    assert api.plan_version == 2


def test_a_version_from_the_future_is_stale_too(api: Api) -> None:
    stale = assert_problem(api.patch("/tasks/T2", {"days": 4}, version=7), 412)
    assert stale["current_version"] == 1
    assert stale["changes_since"] == []


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/nowhere", 404),
        ("GET", "/api/v1/nowhere", 404),
        ("GET", "/api/v2/projects", 404),
        ("GET", "/today/", 404),
        ("GET", "/api/v1/projects/", 404),
        ("POST", "/today", 405),
        ("DELETE", "/api/v1/projects/1", 405),
        ("PUT", "/api/v1/projects/1/tasks/T1", 405),
        ("POST", "/assets/css/base.css", 405),
    ],
)
def test_wrong_addresses_and_methods(shared_api: Api, method: str, path: str, status: int) -> None:
    problem = assert_problem(shared_api.client.request(method, path), status, path)
    assert problem["instance"] == path
