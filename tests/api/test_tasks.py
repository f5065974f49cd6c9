"""Tasks and links: listed, looked at, recorded, edited."""

from __future__ import annotations

import json
from urllib.parse import quote

import pytest

from ribstitch.planfile import parse_plan
from ribstitch.planning.schedule import schedule
from tests.api.asking import Api, assert_problem, small_plan

DONE = {"status": {"state": "done", "started": "2026-01-26", "finished": "2026-01-30"}}


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["T1", "T2", "T3", "T4", "T5"]),
        ("?zone=tail", ["T2", "T3"]),
        ("?state=done", ["T1"]),
        ("?state=not_started&trade=engine", ["T4"]),
        ("?q=FIN", ["T2", "T3"]),
        ("?q=t4", ["T4"]),
        ("?zone=nowhere", []),
        ("?limit=2", ["T1", "T2"]),
        ("?limit=2&offset=3", ["T4", "T5"]),
        ("?offset=99", []),
    ],
)
def test_tasks_are_filtered_and_paged(api: Api, query: str, found: list[str]) -> None:
    answer = api.read(f"/tasks{query}")
    assert [task["id"] for task in answer["tasks"]] == found
    paged = "limit" in query or "offset" in query
    assert answer["total"] == (5 if paged else len(found))


def test_critical_filter_follows_the_schedule(api: Api) -> None:
    critical = {one["id"] for one in api.read("/schedule")["activities"] if one["critical"]}
    yes = {task["id"] for task in api.read("/tasks?critical=true")["tasks"]}
    no = {task["id"] for task in api.read("/tasks?critical=false")["tasks"]}
    assert yes == {"T4", "T5"} == critical & {"T1", "T2", "T3", "T4", "T5"}
    assert no == {"T1", "T2", "T3"}


@pytest.mark.parametrize(
    ("query", "part"),
    [("limit=0", "limit"), ("limit=9999", "limit"), ("offset=-1", "offset"),
     ("state=lost", "state"), ("critical=maybe", "critical")],
)  # fmt: skip
def test_a_filter_that_makes_no_sense_is_named(api: Api, query: str, part: str) -> None:
    problem = assert_problem(api.get(f"/tasks?{query}"), 422, part, query.partition("=")[2])
    assert problem["field"] == part


def test_task_shows_its_dates_and_neighbours(api: Api) -> None:
    answer = api.get("/tasks/T3")
    task = answer.json()
    result = schedule(parse_plan(json.dumps(small_plan()).encode(), "small"))
    number = result.number("T3")
    assert answer.headers["etag"] == '"1"'
    assert task["task"]["days"] == 10
    assert task["task"]["status"]["state"] == "not_started"
    assert task["dates"]["start"] == result.start_on(number).isoformat()
    assert task["dates"]["late_finish"] == result.late_finish_on(number).isoformat()
    assert [one["id"] for one in task["predecessors"]] == ["T2"]
    assert task["predecessors"][0]["name"] == "Strip the fin"
    assert [one["id"] for one in task["successors"]] == ["T5"]


def test_recording_a_task_done_moves_the_finish_and_says_by_how_much(api: Api) -> None:
    before = api.read("/schedule")["finish"]
    started = {"status": {"state": "in_work", "started": "2026-02-02", "remaining_days": 90}}
    answer = api.patch("/tasks/T2", started)
    done = answer.json()
    assert answer.status_code == 200, answer.text
    assert answer.headers["etag"] == '"2"'
    assert done["task"]["state"] == "in_work"
    assert done["task"]["version"] == 2
    assert done["finish"]["before"] == before
    assert done["finish"]["moved_days"] > 0
    assert done["finish"]["after"] == api.read("/schedule")["finish"]
    assert done["change"] == api.read("/changes")["changes"][0]["number"]


def test_a_new_state_forgets_what_belonged_to_the_old_one(api: Api) -> None:
    held = {"state": "held", "started": "2026-01-26", "remaining_days": 2, "held_reason": "rivets"}
    api.patch("/tasks/T2", {"status": held}, version=1)
    api.patch("/tasks/T2", {"status": {"state": "done", "finished": "2026-01-30"}}, version=2)
    status = api.read("/tasks/T2")["task"]["status"]
    assert status["started"] == "2026-01-26"
    assert status["finished"] == "2026-01-30"
    assert status["remaining_days"] is None
    assert status["held_reason"] == ""
    api.patch("/tasks/T2", {"status": {"state": "not_started"}}, version=3)
    status = api.read("/tasks/T2")["task"]["status"]
    assert (status["started"], status["finished"]) == (None, None)


def test_within_a_state_what_is_left_out_stays(api: Api) -> None:
    held = {"state": "held", "started": "2026-01-26", "held_reason": "rivets"}
    api.patch("/tasks/T2", {"status": held}, version=1)
    api.patch("/tasks/T2", {"status": {"held_until": "2026-03-02"}}, version=2)
    status = api.read("/tasks/T2")["task"]["status"]
    assert status["held_reason"] == "rivets"
    assert status["started"] == "2026-01-26"
    assert status["held_until"] == "2026-03-02"


def test_status_is_logged_as_status_and_the_rest_as_edit(api: Api) -> None:
    api.patch("/tasks/T2", DONE, version=1)
    api.patch("/tasks/T2", {"notes": "wet"}, version=2)
    actions = [one["action"] for one in api.read("/changes")["changes"]]
    assert actions == ["task.edit", "task.status", "project.import"]


def test_task_is_added_linked_and_moves_the_finish(api: Api) -> None:
    new = {"id": "T9", "name": "Found rust", "zone": "tail", "days": 60, "trade": "metal"}
    answer = api.post("/tasks", new)
    assert answer.status_code == 201, answer.text
    assert answer.json()["task"]["name"] == "Found rust"
    linked = api.post("/links", {"from": "T9", "to": "T3", "lag_days": 1})
    assert linked.status_code == 201, linked.text
    assert linked.json()["link"]["type"] == "FS"
    assert linked.json()["finish"]["moved_days"] > 0
    assert [one["id"] for one in api.read("/tasks/T3")["predecessors"]] == ["T2", "T9"]
    gone = api.delete("/links?from=T9&to=T3")
    assert gone.status_code == 200, gone.text
    assert gone.json()["finish"]["moved_days"] == -linked.json()["finish"]["moved_days"]
    assert [one["id"] for one in api.read("/tasks/T3")["predecessors"]] == ["T2"]


def test_places_of_a_task_are_entered_and_given_back(api: Api) -> None:
    assert api.read("/tasks/T3")["task"]["places"] == []
    assert api.patch("/tasks/T3", {"places": ["booth"]}).status_code == 200
    assert api.read("/tasks/T3")["task"]["places"] == ["booth"]
    (change,) = api.read("/changes?kind=task")["changes"]
    assert change["fields"] == ["places"]
    assert api.patch("/tasks/T3", {"places": []}, version=2).status_code == 200
    assert api.read("/tasks/T3")["task"]["places"] == []


@pytest.mark.parametrize(
    ("places", "parts"),
    [
        (["booth", "hangar"], ("places[1]", 'there is no place "hangar"')),
        (["booth", "booth"], ("places[1]", '"booth"')),
        ("booth", ("places", "booth")),
        ([7], ("places[0]", "7")),
    ],
)
def test_places_that_are_not_there_are_refused(api: Api, places: object, parts: list[str]) -> None:
    assert_problem(api.patch("/tasks/T3", {"places": places}), 422, *parts)
    assert api.plan_version == 1


def test_dropped_task_stays_in_the_plan_file(api: Api) -> None:
    api.patch("/tasks/T3", {"status": {"state": "dropped"}})
    tasks = {task["id"]: task for task in api.read("/plan-file")["tasks"]}
    assert tasks["T3"]["status"] == {"state": "dropped"}


def test_task_is_found_whatever_stands_in_its_id(api: Api) -> None:
    for name in ("a/b", "ü?#%&=", "x y", "a+b"):
        answer = api.post("/tasks", {"id": name, "days": 1})
        assert answer.status_code == 201, answer.text
        path = f"/tasks/{quote(name, safe='')}"
        assert api.read(path)["task"]["id"] == name
        assert api.patch(path, {"days": 2}).status_code == 200


def test_unknown_task_is_one_sentence(api: Api) -> None:
    assert_problem(api.get("/tasks/T77"), 404, 'no task "T77"')
    assert_problem(api.patch("/tasks/T77", DONE), 404, 'no task "T77"')
    assert_problem(api.delete("/links?from=T1&to=T5"), 404, "T1 > T5 FS")


def test_edit_that_changes_nothing_is_answered_and_not_logged(api: Api) -> None:
    for patch in ({}, {"name": "Strip the fin"}, {"status": {"state": "not_started"}}):
        answer = api.patch("/tasks/T2", patch)
        assert answer.status_code == 200, answer.text
        assert answer.headers["etag"] == '"1"'
        assert (answer.json()["change"], answer.json()["version"]) == (None, 1)
    assert api.plan_version == 1
    assert len(api.read("/changes")["changes"]) == 1


def test_held_work_says_who_must_act_next(lone_api: Api) -> None:
    """The engine is with its vendor, and more money for it waits for the owner's yes."""

    def next_to_act() -> list[tuple[str, str]]:
        (card,) = lone_api.read("/today")["held"]
        return [(one["who"], one["name"]) for one in card["held_for"]]

    lone_api.patch("/tasks/T4", {"status": {"state": "held", "held_reason": "no engine"}})
    ((who, where),) = next_to_act()
    assert who == "Invented Engines"
    assert where.startswith("Engine: at Invented Engines until 2026-")
    more = {"id": "A9", "name": "New bearings", "asked_on": "2026-02-02", "send_out": "S1"}
    lone_api.post("/over-and-above", more)
    assert next_to_act()[0] == ("the owner", "New bearings waits for a yes")
    lone_api.patch("/tasks/T4", {"status": {"state": "not_started"}}, version=2)
    lone_api.patch("/tasks/T2", {"status": {"state": "held", "held_reason": "no rivets"}})
    assert next_to_act() == []


def test_task_of_the_demo_tells_where_it_comes_from_and_what_it_costs(settled_demo: Api) -> None:
    """By hand: material for 1430 EUR; 8 days of 4 hours at 46.00 EUR an hour are 1472 EUR."""
    task = settled_demo.read("/tasks/F57.3")
    origin, costs = task["origin"], task["costs"]
    assert (origin["finding"], origin["step"]) == ("F57", 3)
    assert origin["card_name"] == "Overhaul a mechanical landing gear leg"
    sums = {(one["line"], one["name"]): one["amount"] for one in costs["lines"]}
    assert sums[None, "Labour to come"] == "1472.00"
    assert sums["M-32", "Material to buy: landing gear"] == "1430.00"
    assert {one["sort"] for one in costs["lines"]} == {"expected"}
    assert (costs["total"], costs["currency"]) == ("2902.00", "EUR")
