"""What the pages show of the whole plan."""

from __future__ import annotations

import json

from ribstitch.planfile import parse_plan
from ribstitch.planning.schedule import schedule
from tests.api.asking import Api, assert_problem, small_plan


def test_schedule_is_that_of_the_planning_core(api: Api) -> None:
    shown = api.read("/schedule")
    result = schedule(parse_plan(json.dumps(small_plan()).encode(), "small"))
    by_id = {one["id"]: one for one in shown["activities"]}
    assert list(by_id) == [one.id for one in result.activities if not one.dropped]
    assert shown["finish"] == result.finish_on.isoformat()
    assert shown["critical_path"] == [result.activities[n].id for n in result.critical_path]
    for name, one in by_id.items():
        number = result.number(name)
        assert one["start"] == result.start_on(number).isoformat()
        assert one["finish"] == result.finish_on_of(number).isoformat()
        assert one["late_start"] == result.late_start_on(number).isoformat()
        assert one["late_finish"] == result.late_finish_on(number).isoformat()
        assert one["total_float_days"] == int(result.total_float[number]) / 1440
        assert one["critical"] == result.is_critical(number)
        drivers = [result.activities[n].id for n in result.drivers[number]]
        assert one["driven_by"] == drivers
    assert by_id["S1/vendor_work"]["vendor"] == "V1"
    assert by_id["S1/vendor_work"]["kind"] == "leg"
    assert by_id["T3"]["kind"] == "task"


def test_today_lists_what_can_be_worked_on(api: Api) -> None:
    sheet = api.read("/today")
    assert sheet["as_of"] == "2026-02-02"
    assert [task["id"] for task in sheet["ready"]] == ["T2"]
    assert "licensed people decide" in sheet["standing_line"]
    assert api.read("/today?trade=engine")["ready"] == []
    assert api.read("/today?zone=wing")["ready"] == []
    api.patch("/tasks/T2", {"status": {"state": "in_work", "started": "2026-01-26"}})
    sheet = api.read("/today")
    assert [task["id"] for task in sheet["in_work"]] == ["T2"]
    done = {"state": "done", "finished": "2026-01-30"}
    api.patch("/tasks/T2", {"status": done}, version=2)
    sheet = api.read("/today")
    assert [task["id"] for task in sheet["ready"]] == ["T3"]
    assert [task["id"] for task in sheet["done_recently"]] == ["T2"]


def test_airframe_says_how_far_each_zone_is(api: Api) -> None:
    zones = {zone["id"]: zone for zone in api.read("/airframe")["zones"]}
    assert zones["tail"]["share_done"] == 0
    assert zones["wing"]["share_done"] == 0.4
    assert zones["wing"]["critical"]
    assert not zones["tail"]["critical"]
    assert [item["send_out"] for item in zones["wing"]["away"]] == ["S1"]


def test_forecast_explains_the_finish(api: Api) -> None:
    forecast = api.read("/forecast")
    path = api.read("/schedule")["critical_path"]
    assert forecast["finish"] == api.read("/schedule")["finish"]
    assert [step["id"] for step in forecast["why"]] == path
    assert all(step["sentence"].endswith(".") for step in forecast["why"])
    assert 0 < forecast["done_share"] < 1
    assert forecast["spend"]["paid"] == "120.50"
    assert [one["id"] for one in forecast["milestones"]] == ["T5"]
    assert len(forecast["log"]) == 1
    api.patch("/tasks/T3", {"days": 100})
    log = api.read("/forecast")["log"]
    assert len(log) == 2
    assert log[-1]["finish"] == api.read("/schedule")["finish"]


def test_health_names_tasks_and_keeps_the_limits_of_the_shop(api: Api) -> None:
    """Of three open tasks only T2 has nothing before it: before T4 the engine comes back."""
    before = {one["id"]: one for one in api.read("/health")["checks"]}
    missing = before["missing_links"]
    assert (missing["limit"], missing["ok"]) == (0.05, False)
    assert (missing["count"], missing["of"]) == (1, 3)
    assert missing["offenders"] == [
        {
            "id": "T2",
            "name": "Strip the fin",
            "note": "nothing comes before it",
            "kind": "task",
        }
    ]
    version = api.read("")["version"]
    answer = api.patch("", {"health_limits": {"missing_links": 1}}, version=version)
    assert answer.status_code == 200, answer.text
    after = api.read("/health")
    assert {one["id"]: one["ok"] for one in after["checks"]}["missing_links"] is True
    assert after["beyond"] == sum(one["ok"] is False for one in after["checks"])
    limits = {one["id"]: one["own"] for one in after["limits"]}
    assert limits.pop("missing_links") == 1
    assert set(limits.values()) == {None}
    assert api.read("/plan-file")["project"]["health_limits"] == {"missing_links": 1}
    api.patch("", {"health_limits": {"missing_links": None}}, version=version + 1)
    assert "health_limits" not in api.read("/plan-file")["project"]


def test_limit_that_makes_no_sense_changes_nothing(api: Api) -> None:
    version = api.read("")["version"]
    answer = api.patch("", {"health_limits": {"lags": 7}}, version=version)
    problem = assert_problem(answer, 422, "7 is not between 0 and 1")
    assert problem["field"] == "project.health_limits.lags"
    assert api.read("")["version"] == version


def test_views_of_an_empty_plan_are_empty_and_not_a_mistake(api: Api) -> None:
    empty = {"format": "ribstitch-plan/1", "project": {"start": "2026-01-05"}}
    number = api.client.post("/api/v1/projects", json=empty).json()["id"]
    api.root = f"/api/v1/projects/{number}"
    for path in ("/title-block", "/schedule", "/health", "/airframe", "/today", "/away",
                 "/forecast", "/tasks", "/vendors", "/crew", "/changes", "/plan-file",
                 "/charts/schedule", "/charts/away", "/charts/forecast-log"):  # fmt: skip
        assert api.get(path).status_code == 200, path
