"""What the pages show of the whole plan."""

from __future__ import annotations

import json
from typing import Any

import pytest
from plotly.graph_objects import Figure
from starlette.testclient import TestClient

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
    assert forecast["spend"]["at_completion"] == api.read("/money")["at_completion"]
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


SEATS = {"id": "T6", "name": "Mend the seats", "days": 2, "trade": "metal", "places": ["booth"]}


def crew_plan() -> dict[str, Any]:
    """
    Return the small plan with seats that the metalworker mends last.

    Strip the fin from Monday 2 to Friday 6 February, rivet it until Friday the 20th, then
    the seats on the 23rd and 24th; by themselves they could begin on the 2nd.
    """
    plan = small_plan()
    order = {"from": "T3", "to": "T6", "names": ["metal"]}
    return {**plan, "tasks": [*plan["tasks"], SEATS], "crew_links": [order]}


def test_crew_load_tells_who_waits_and_what_it_costs(lone_client: TestClient) -> None:
    api = Api(lone_client, crew_plan())
    found = api.read("/crew-load")
    assert found["finish"] == api.read("/schedule")["finish"]
    assert (found["as_of"], found["crew_links"]) == ("2026-02-02", 1)
    metal, engine = found["trades"]
    assert (metal["trade"], metal["people"], metal["labels"]) == ("metal", 1, ["Metalworker 1"])
    first = {"week": "2026-02-02", "used_days": 5, "available_days": 5, "over_days": 0}
    assert metal["weeks"][0] == first
    assert (metal["used_days"], engine["used_days"]) == (17, 3)
    (booth,) = found["places"]
    assert (booth["place"], booth["name"], booth["capacity"]) == ("booth", "Spray booth", 1)
    (wait,) = found["waits"]
    assert (wait["key"], wait["from"], wait["to"]) == ("T3 > T6", "T3", "T6")
    assert (wait["since"], wait["until"], wait["days"]) == ("2026-02-02", "2026-02-23", 21)
    assert wait["sentence"] == (
        "Mend the seats waits 3 weeks for the only metalworker, who first does Rivet the fin."
    )
    assert wait["sentence"] in found["explanation"]
    assert all(sentence.endswith(".") for sentence in found["explanation"])


def test_crew_load_follows_a_broken_link(lone_client: TestClient) -> None:
    api = Api(lone_client, crew_plan())
    before = api.get("/crew-load")
    tag = {"If-None-Match": before.headers["ETag"]}
    assert api.get("/crew-load", headers=tag).status_code == 304
    answer = api.delete("/crew-links/T3 > T6", version=1)
    assert answer.status_code == 200, answer.text
    after = api.read("/crew-load")
    assert (after["waits"], after["crew_links"]) == ([], 0)
    assert after["trades"][0]["over_days"] == 2, "two days for the seats while the fin is stripped"


def test_crew_week_is_a_sheet_to_print(lone_client: TestClient) -> None:
    api = Api(lone_client, crew_plan())
    week = api.read("/crew-week?monday=2026-02-26")
    assert week["monday"] == "2026-02-23"
    metalworker = week["people"][0]
    assert (metalworker["slot"], metalworker["trades"]) == ("Metalworker 1", ["metal"])
    told = {"task": "T6", "name": "Mend the seats", "zone": "", "hours": 8, "hazards": []}
    assert [day["works"] for day in metalworker["days"][:3]] == [[told], [told], []]
    assert "licensed people decide" in week["caution"]
    assert list(api.read("/crew-week?monday=2026-02-09")["hazards"]) == ["noise"]
    assert api.read("/crew-week")["monday"] == "2026-02-02"


@pytest.mark.parametrize("monday", ["soon", "0001-01-01", "9999-12-31"])
def test_week_that_makes_no_sense_is_refused(lone_api: Api, monday: str) -> None:
    assert_problem(lone_api.get(f"/crew-week?monday={monday}"), 422, "monday")


def test_crew_load_is_drawn_for_all_or_for_one_trade(lone_client: TestClient) -> None:
    api = Api(lone_client, crew_plan())

    def names(path: str) -> list[str]:
        drawn = Figure(api.read(path)).data[-1].customdata
        return list(dict.fromkeys(facts[0] for facts in drawn))

    assert names("/charts/crew-load") == ["Metal", "Engine and mechanical", "Spray booth"]
    assert names("/charts/crew-load?trade=metal") == ["Metal"]
    assert names("/charts/crew-load?trade=nobody") == []
