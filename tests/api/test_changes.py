"""The change log, undo, redo."""

from __future__ import annotations

from tests.api.asking import Api, assert_problem


def test_log_says_who_changed_what_when_and_why(api: Api) -> None:
    api.be("planner")
    api.patch("/tasks/T2?reason=found%20more%20rust", {"days": 8})
    newest, imported = api.read("/changes")["changes"]
    assert newest["who"] == "Planner"
    assert newest["role"] == "planner"
    assert newest["at"] == "2026-02-02T09:30:00+00:00"
    assert (newest["kind"], newest["key"], newest["version"]) == ("task", "T2", 2)
    assert newest["fields"] == ["days"]
    assert newest["before"]["days"] == 5
    assert newest["after"]["days"] == 8
    assert newest["reason"] == "found more rust"
    assert imported["action"] == "project.import"


def test_log_of_one_thing_and_page_by_page(api: Api) -> None:
    for days in (6, 7, 8):
        api.patch("/tasks/T2", {"days": days}, version=days - 5)
    api.patch("/tasks/T3", {"days": 4})
    assert len(api.read("/changes?kind=task&key=T2")["changes"]) == 3
    seen: list[int] = []
    page = api.read("/changes?limit=2")
    while page["next_before"] is not None:
        seen += [one["number"] for one in page["changes"]]
        page = api.read(f"/changes?limit=2&before={page['next_before']}")
    seen += [one["number"] for one in page["changes"]]
    assert len(seen) == 5
    assert seen == sorted(seen, reverse=True)


def test_undo_puts_back_and_redo_brings_back(api: Api) -> None:
    finish = api.read("/schedule")["finish"]
    moved = api.patch("/tasks/T3", {"days": 100}).json()["finish"]
    assert moved["before"] == finish
    assert moved["moved_days"] > 0
    asked = {"kind": "task", "key": "T3"}
    undone = api.post("/undo", asked).json()
    assert undone["finish"]["after"] == finish
    assert undone["version"] == 3
    assert api.read("/tasks/T3")["task"]["days"] == 10
    assert api.post("/redo", asked).json()["finish"]["after"] == moved["after"]
    assert api.read("/tasks/T3")["task"]["days"] == 100


def test_undo_does_not_take_back_what_somebody_else_has_just_entered(api: Api) -> None:
    """The lead sees version 2 and taps undo, but the planner has entered something since."""
    asked, root = {"kind": "task", "key": "T3"}, f"{api.root}/undo"
    api.patch("/tasks/T3", {"days": 12})
    api.be("planner")
    api.patch("/tasks/T3", {"days": 14}, version=2)
    api.be("lead")
    refused = api.client.post(root, json=asked, headers={"If-Match": '"2"'})
    assert assert_problem(refused, 412, "Planner changed task T3")["current_version"] == 3
    assert api.read("/tasks/T3")["task"]["days"] == 14
    assert_problem(api.client.post(root, json=asked, headers={"If-Match": "*"}), 400, "If-Match")
    seen = api.client.post(root, json=asked, headers={"If-Match": '"3"'})
    assert seen.status_code == 200, seen.text
    assert api.read("/tasks/T3")["task"]["days"] == 12
    redone = api.client.post(f"{api.root}/redo", json=asked, headers={"If-Match": '"3"'})
    assert_problem(redone, 412, "task T3")


def test_nothing_to_undo_is_a_conflict(api: Api) -> None:
    assert_problem(api.post("/undo", {"kind": "task", "key": "T2"}), 409, "nothing to undo", "T2")
    assert_problem(api.post("/redo", {"kind": "task", "key": "T2"}), 409, "T2")
    assert_problem(api.post("/undo", {"kind": "project", "key": ""}), 409, "project")
    assert api.plan_version == 1


def test_undo_wants_kind_and_key(api: Api) -> None:
    assert_problem(api.post("/undo", {"kind": "task"}), 422, "key", "missing")
    assert_problem(api.post("/undo", {"kind": "wish", "key": "T2"}), 422, "kind", "wish")
    assert_problem(api.get("/changes?limit=0"), 422, "limit", "0")
    assert_problem(api.get("/changes?limit=many"), 422, "limit", "many")
