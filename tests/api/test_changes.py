"""The change log, undo, redo."""

from __future__ import annotations

import csv
import json
from datetime import timedelta
from io import BytesIO
from itertools import pairwise
from time import monotonic, sleep
from urllib.parse import quote

import openpyxl
import pytest
from starlette.testclient import TestClient

from ribstitch.planfile import plan_document
from ribstitch.planning.model import CrewLink, Plan, Task
from tests.api.asking import Api, assert_problem
from tests.services.test_levellings import busy_plan
from tests.store.plans import DAY


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


def days_apart(api: Api) -> None:
    """Rename the fin on 2 February at 09:30 UTC, and again a day later."""
    api.patch("/tasks/T2", {"name": "First"})
    api.client.app.state.service.clock.move(timedelta(days=1))  # type: ignore[attr-defined]
    api.patch("/tasks/T2", {"name": "=Second"}, 2)


@pytest.mark.parametrize(
    ("span", "names"),
    [
        ({}, ["=Second", "First", None]),
        ({"since": "2026-02-03T09:30:00Z"}, ["=Second"]),
        ({"until": "2026-02-03T09:30:00Z"}, ["First", None]),
        # Midnight to midnight in Auckland, 13 hours ahead: 2 February ends there at 11 UTC.
        ({"since": "2026-02-02T00:00+13:00", "until": "2026-02-03T00:00+13:00"}, ["First", None]),
        ({"since": "2026-02-04T00:00Z"}, []),
    ],
)
def test_log_of_a_span_of_time_whatever_the_zone_it_is_asked_in(
    api: Api, span: dict[str, str], names: list[str | None]
) -> None:
    days_apart(api)
    for path, lines in (("/changes", "changes"), ("/actions", "actions")):
        found = api.get(path, params=span).json()[lines]
        changes = found if lines == "changes" else [one["changes"][0] for one in found]
        assert [(one["after"] or {}).get("name") for one in changes if one["kind"] == "task"] == [
            name for name in names if name
        ]
        assert len(found) == len(names)


def test_log_wants_instants_that_say_their_zone(lone_api: Api) -> None:
    assert_problem(lone_api.get("/changes?since=2026-02-02T00:00"), 422, "since")


def test_log_goes_out_as_a_table_without_formulas(api: Api) -> None:
    days_apart(api)
    head, *rows = csv.reader(api.get("/changes.csv").content.decode("utf-8-sig").splitlines())
    newest = dict(zip(head, rows[0], strict=True))
    assert (newest["who"], newest["role"], newest["kind"], newest["key"]) == (
        "Shop lead", "lead", "task", "T2",
    )  # fmt: skip
    assert newest["at"] == "2026-02-03T09:30:00+00:00"
    assert newest["fields"] == "name"
    assert json.loads(newest["before"])["name"] == "First"
    assert json.loads(newest["after"])["name"] == "=Second"
    assert [row[head.index("version")] for row in rows] == ["3", "2", "1"]
    assert api.get("/changes.csv?since=2027-01-01T00:00Z").text.count("\n") == 1
    book = openpyxl.load_workbook(BytesIO(api.get("/changes.xlsx").content)).active
    assert book is not None
    assert [cell.value for cell in book[2]][:5] == [
        3,
        newest["at"],
        "Shop lead",
        "lead",
        "task.edit",
    ]


def test_comma_separated_log_has_all_however_long_it_is(lone_api: Api) -> None:
    """Longer than a cell of a workbook: 32,767 letters (Office Open XML)."""
    card = {
        "id": "L1", "name": "Long", "driver": "bay",
        "steps": [
            {"number": number, "name": "y" * 400, "trade": "metal", "hours": [1, 2, 3]}
            for number in range(1, 91)
        ],
    }  # fmt: skip
    made = lone_api.post("/cards", card)
    assert made.status_code == 201, made.text
    head, newest, *_ = csv.reader(
        lone_api.get("/changes.csv").content.decode("utf-8-sig").splitlines()
    )
    kept = newest[head.index("after")]
    assert len(kept) > 32_767
    assert len(json.loads(kept)["steps"]) == 90


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


def test_log_by_action_folds_what_changed_many_things(lone_client: TestClient) -> None:
    api = Api(lone_client, plan_document(levelled_plan(7)))
    (link, *_) = api.read("/crew-links")["crew_links"]
    version = api.read("/changes")["changes"][0]["plan_version"]
    assert version == 1
    gone = api.client.delete(
        f"{api.root}/crew-links/{quote(link['key'])}", headers={"If-Match": '"1"'}
    )
    assert gone.status_code == 200, gone.text
    api.post("/levelling", {"seconds": 0, "keep_days": 0})
    until = monotonic() + 30.0
    while api.read("/levelling")["state"] == "running" and monotonic() < until:
        sleep(0.01)
    adopted = api.post("/levelling/adopt", {"plan_version": 2}).json()
    page = api.read("/actions?limit=2")
    large, small = page["actions"]
    assert large["count"] == adopted["added"] + adopted["taken_away"] > 5
    assert large["summary"].startswith("Levelled: ")
    assert [one["number"] for one in large["changes"]] == [adopted["change"]]
    assert (large["action"], large["who"], large["plan_version"]) == ("crew.level", "Shop lead", 3)
    assert [one["action"] for one in small["changes"]] == ["crew_link.delete"]
    (imported,) = api.read(f"/actions?before={page['next_before']}")["actions"]
    assert imported["action"] == "project.import"
    opened = api.read("/changes?plan_version=3&limit=4")
    rest = api.read(f"/changes?plan_version=3&before={opened['next_before']}")
    assert len(opened["changes"]) + len(rest["changes"]) == large["count"]
    assert_problem(api.get("/actions?before=0"), 422, "before", "0")


def levelled_plan(count: int) -> Plan:
    """Return tasks of one metalworker, linked in an order that levelling does not choose."""
    tasks = tuple(Task(f"T{n}", (1 + n) * DAY, trade="metal") for n in range(count))
    pairs = pairwise(reversed(tasks))
    links = tuple(CrewLink(one.id, other.id, names=("metal",)) for one, other in pairs)
    return busy_plan(tasks=tasks, crew_links=links)
