"""A task planned anew: looked at first, then kept in one action."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.asking import Api, assert_problem, small_plan

KEY = "T2 > T3 FS"


def ask(api: Api, what: str, body: Any, task: str = "T3", version: int = 1) -> Any:
    """Send a body to `preview` or `plan` of a task."""
    headers = {"If-Match": f'"{version}"'}
    return api.client.post(f"{api.root}/tasks/{task}/{what}", json=body, headers=headers)


def links(api: Api) -> set[str]:
    """Return the links of the plan as text."""
    plan = api.read("/plan-file")
    return {f"{one['from']} {one.get('type', 'FS')} {one['to']}" for one in plan["links"]}


def test_preview_tells_what_moves_and_writes_nothing(api: Api) -> None:
    """
    By hand, weekdays alone: the engine's 40 days end on Mon 9 March, three days on the road and
    one to accept it lead to Fri 13, T4 ends on Wed 18. T3 begins on Mon 9 February: its 10 days
    end on the 20th, 60 on Fri 1 May.
    """
    told = ask(api, "preview", {"task": {"days": 60}}).json()
    assert (told["finish"]["before"], told["finish"]["after"]) == ("2026-03-18", "2026-05-01")
    assert told["finish"]["moved_days"] == 44
    moved = {one["id"]: one["moved_days"] for one in told["moved"]["largest"]}
    assert moved == {"T3": 70, "T5": 44}
    assert (told["moved"]["count"], told["moved"]["later"]) == (2, 2)
    assert [one["id"] for one in told["newly_on_path"]["first"]] == ["T2", "T3"]
    assert "T4" in {one["id"] for one in told["no_longer_on_path"]["first"]}
    assert api.plan_version == 1


def test_what_is_saved_is_one_action_with_one_undo(api: Api) -> None:
    body = {
        "task": {"days": 12},
        "links": [
            {"key": KEY, "version": 1, "link": {"from": "T2", "to": "T3", "type": "SS"}},
            {"link": {"from": "T3", "to": "T4", "lag_days": 2}},
        ],
    }
    before = links(api)
    done = ask(api, "plan", body).json()
    assert (done["kind"], done["key"], done["plan_version"]) == ("task", "T3", 2)
    assert links(api) == (before - {"T2 FS T3"}) | {"T2 SS T3", "T3 FS T4"}
    log = api.read("/changes?plan_version=2")["changes"]
    assert {one["action"] for one in log} == {"task.plan"}
    assert {one["key"] for one in log} == {"T3", KEY, "T2 > T3 SS", "T3 > T4 FS"}
    history = api.read("/changes?task=T3")["changes"]
    assert len(history) == len(log)
    assert [one["key"] for one in api.read("/changes?task=T4")["changes"]] == ["T3 > T4 FS"]
    api.post("/undo", {"kind": done["kind"], "key": done["key"]})
    assert links(api) == before
    assert api.read("/tasks/T3")["task"]["days"] == 10


def test_links_alone_are_taken_back_by_the_thing_that_is_named(api: Api) -> None:
    done = ask(api, "plan", {"links": [{"key": KEY, "version": 1}]}).json()
    assert (done["kind"], done["key"]) == ("link", KEY)
    assert "T2 FS T3" not in links(api)
    headers = {"If-Match": f'"{done["version"]}"'}
    undo = {"kind": done["kind"], "key": done["key"]}
    answer = api.client.post(f"{api.root}/undo", json=undo, headers=headers)
    assert answer.status_code == 200, answer.text
    assert "T2 FS T3" in links(api)


@pytest.mark.parametrize("what", ["preview", "plan"])
@pytest.mark.parametrize(
    ("body", "field", "sentence"),
    [
        ({"task": {"days": -1}}, "days", "days:"),
        ({"links": [{"link": {"from": "T3", "to": "T2"}}]}, "links[0]", "circle: T2 -> T3 -> T2"),
        ({"links": [{"link": {"from": "T2", "to": "T3"}}]}, "links[0]", "linked FS already"),
        ({"links": [{"link": {"from": "T2", "to": "T4"}}]}, "links[0]", 'neither is "T3"'),
        ({"links": [{"link": {"from": "T3", "to": "gone"}}]}, "links[0].to", 'no task "gone"'),
        ({"links": [{"key": KEY, "version": 1}, {"key": KEY, "version": 1}]}, "links[1].key",
         "stands there twice"),
        ({"links": [{"link": {"from": "T3", "to": "T4", "lag_days": "x"}}]},
         "links[0].link.lag_days", '"x"'),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence_that_names_the_field(
    shared_api: Api, what: str, body: Any, field: str, sentence: str
) -> None:
    problem = assert_problem(ask(shared_api, what, body), 422, sentence)
    assert problem["field"] == field
    assert shared_api.plan_version == 1


@pytest.mark.parametrize("what", ["preview", "plan"])
def test_newer_edits_of_others_are_not_overwritten(api: Api, what: str) -> None:
    assert ask(api, "plan", {"links": [
        {"key": KEY, "version": 1, "link": {"from": "T2", "to": "T3", "lag_days": 1}}
    ]}).status_code == 200  # fmt: skip
    stale = {"links": [{"key": KEY, "version": 1, "link": {"from": "T2", "to": "T3"}}]}
    problem = assert_problem(ask(api, what, stale), 412, KEY)
    assert problem["current_version"] == 2
    assert problem["changes_since"][0]["key"] == KEY
    api.patch("/tasks/T3", {"days": 11})
    assert_problem(ask(api, what, {"task": {"days": 12}}), 412, "T3")
    gone = {"links": [{"key": "T2 > T3 FF", "version": 1}]}
    assert_problem(ask(api, what, gone, version=2), 404, "T2 > T3 FF")


def test_a_deadline_that_would_be_missed_is_named(lone_api: Api) -> None:
    lone_api.patch("/tasks/T3", {"deadline": "2026-02-24"})
    told = ask(lone_api, "preview", {"task": {"days": 13}}, version=2).json()
    (missed,) = told["newly_missed"]
    assert (missed["id"], missed["finish"], missed["missed_days"]) == ("T3", "2026-02-25", 1)


def test_task_tells_its_links_its_costs_and_where_it_comes_from(lone_api: Api) -> None:
    plan = small_plan()
    task = lone_api.read("/tasks/T3")
    (before,) = task["predecessors"]
    assert (before["link"], before["link_version"], before["send_out"]) == (KEY, 1, None)
    (leg,) = lone_api.read("/tasks/T4")["predecessors"]
    assert (leg["link"], leg["send_out"]) == (None, "S1")
    assert task["origin"] is None
    assert task["costs"]["currency"] == plan["project"].get("currency", "EUR")
