"""Levelling over the wire: begun, watched, stopped, adopted; crew links; one more hand."""

from __future__ import annotations

from time import monotonic, sleep
from typing import Any
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

from ribstitch.planfile import plan_document
from tests.api.asking import Api, assert_problem
from tests.services.test_levellings import busy_plan

LONG = 30.0


@pytest.fixture
def busy(client: TestClient) -> Api:
    """A client whose plan has more work at once than people."""
    return Api(client, plan_document(busy_plan()))


@pytest.fixture
def lone_busy(lone_client: TestClient) -> Api:
    """The same on SQLite alone."""
    return Api(lone_client, plan_document(busy_plan()))


def ended(api: Api, path: str) -> dict[str, Any]:
    """Ask until something that runs has ended."""
    until = monotonic() + LONG
    while True:
        answer = api.read(path)
        if answer["state"] != "running" or monotonic() > until:
            return answer
        sleep(0.01)


def levelled(api: Api, **asked: Any) -> dict[str, Any]:
    """Level the plan; return how it stands once it has ended."""
    answer = api.post("/levelling", {"seconds": 0, **asked})
    assert answer.status_code == 200, answer.text
    return ended(api, "/levelling")


def adopt(api: Api, plan_version: int) -> Any:
    """Adopt the levelled order of a plan version."""
    return api.post("/levelling/adopt", {"plan_version": plan_version})


def test_nothing_is_levelled_before_somebody_asks(lone_busy: Api) -> None:
    assert lone_busy.read("/levelling") == {
        "plan_version": 1,
        "state": "none",
        "progress": 0.0,
        "reason": "",
        "best": None,
        "history": [],
        "limits": {"finish_now": "2026-01-07", "finish_without_limits": "2026-01-07"},
    }
    assert lone_busy.client.delete(f"{lone_busy.root}/levelling").json()["state"] == "none"


def test_plan_is_levelled_adopted_and_put_back_as_one(busy: Api) -> None:
    found = levelled(busy)
    best = found["best"]
    assert (found["state"], found["progress"], best["gap_days"]) == ("ready", 1.0, 0)
    assert (best["finish"], best["bound"]) == ("2026-01-12", "2026-01-12")
    assert (best["moved_starts"], best["crew_links"]) == (2, 3)
    assert [one["finish"] for one in found["history"]] == ["2026-01-12"]
    answer = adopt(busy, found["plan_version"])
    assert answer.status_code == 200, answer.text
    done = answer.json()
    assert (done["added"], done["taken_away"], done["kept"]) == (3, 0, 0)
    assert done["finish"] == {"before": "2026-01-07", "after": "2026-01-12", "moved_days": 5}
    assert busy.read("/schedule")["finish"] == best["forecast"] == "2026-01-12"
    assert len(busy.read("/crew-links")["crew_links"]) == 3
    undone = busy.post("/undo", {"kind": done["kind"], "key": done["key"]})
    assert undone.json()["finish"]["after"] == "2026-01-07"
    assert busy.read("/crew-links")["crew_links"] == []


def test_levelling_is_outdated_by_a_change_and_adopting_it_refused(busy: Api) -> None:
    version = levelled(busy)["plan_version"]
    busy.patch("/tasks/skin", {"days": 2})
    assert busy.read("/levelling")["state"] == "outdated"
    assert busy.read("/levelling")["best"] is None
    refused = assert_problem(adopt(busy, version), 412, "changed plan", "days")
    assert [one["key"] for one in refused["changes_since"]] == ["skin"]
    assert_problem(adopt(busy, version + 1), 409, "level it first")
    assert busy.plan_version == 2


def test_wishes_that_make_no_sense_are_refused(lone_busy: Api) -> None:
    for asked, where in (
        ({"seconds": 601}, "seconds"),
        ({"seconds": -1}, "seconds"),
        ({"keep_days": 61}, "keep_days"),
        ({"keep_days": "few"}, "keep_days"),
        ({"order": "best"}, "order"),
    ):
        assert_problem(lone_busy.post("/levelling", asked), 422, where)
    assert_problem(lone_busy.post("/levelling/adopt", {}), 422, "plan_version")
    assert_problem(lone_busy.post("/one-more", {"seconds": 61}), 422, "seconds")
    assert lone_busy.read("/levelling")["state"] == "none"


def test_plan_that_nobody_can_do_says_what_it_would_take(lone_client: TestClient) -> None:
    plan = plan_document(busy_plan())
    plan["crew"] = [{"trade": "metal", "calendar": "shop"}]
    api = Api(lone_client, plan)
    for path in ("/levelling", "/one-more"):
        api.post(path, {"seconds": 0})
        answer = ended(api, path)
        assert answer["state"] == "failed"
        assert '"frame"' in answer["reason"]
        assert '"wood"' in answer["reason"]


@pytest.fixture
def hard(lone_client: TestClient) -> Api:
    """A client whose plan has a best order that is not proven in a moment."""
    plan = plan_document(busy_plan())
    plan["tasks"] = [
        {"id": f"T{n}", "days": 1 + n * 7 % 11, "trade": "metal", "people": 1 + n % 3}
        for n in range(60)
    ]
    plan["links"] = [{"from": f"T{n}", "to": f"T{n + 5}"} for n in range(0, 55, 2)]
    plan["crew"] = [{"trade": "metal", "people": 4, "calendar": "shop"}]
    return Api(lone_client, plan)


def test_levelling_that_runs_is_stopped_with_what_it_has(hard: Api) -> None:
    hard.post("/levelling", {"seconds": 600, "keep_days": 0.5})
    until = monotonic() + LONG
    while (running := hard.read("/levelling"))["best"] is None and monotonic() < until:
        sleep(0.01)
    assert running["state"] == "running"
    assert running["progress"] < 0.5
    assert (running["best"]["moved_starts"], running["best"]["crew_links"]) == (None, None)
    hard.delete("/levelling")
    found = ended(hard, "/levelling")
    assert found["state"] == "ready"
    assert found["best"]["finish"] <= running["best"]["finish"]
    assert adopt(hard, 1).json()["added"] == found["best"]["crew_links"] > 0


def test_one_more_that_runs_is_cancelled_at_once(hard: Api) -> None:
    assert hard.post("/one-more", {"seconds": 60}).json()["state"] == "running"
    stopped = hard.delete("/one-more").json()
    assert (stopped["state"], stopped["result"]) == ("cancelled", None)


def test_crew_links_are_listed_broken_and_brought_back(busy: Api) -> None:
    adopt(busy, levelled(busy)["plan_version"])
    links = busy.read("/crew-links")["crew_links"]
    place = next(one for one in links if one["kind"] == "place")
    assert place == {
        "key": "frame > spar",
        "version": 1,
        "from": "frame",
        "from_name": "Frame",
        "to": "spar",
        "to_name": "Spar",
        "kind": "place",
        "names": ["jig"],
        "units": 1,
        "holds": "as_set",
    }
    address = f"{busy.root}/crew-links/{quote(links[-1]['key'])}"
    assert_problem(busy.client.delete(address), 428, "If-Match")
    assert_problem(busy.client.delete(address, headers={"If-Match": '"7"'}), 412, "version 7")
    broken = busy.client.delete(address, headers={"If-Match": '"1"'}).json()
    assert broken["finish"]["moved_days"] < 0
    assert len(busy.read("/crew-links")["crew_links"]) == 2
    assert_problem(busy.client.delete(address, headers={"If-Match": '"2"'}), 404, "crew-link")
    undo = {"kind": "crew_link", "key": broken["key"]}
    back = busy.client.post(
        f"{busy.root}/undo", json=undo, headers={"If-Match": f'"{broken["version"]}"'}
    )
    assert back.status_code == 200, back.text
    assert busy.read("/crew-links")["crew_links"][-1]["version"] == 3


def test_crew_links_need_no_second_look_when_nothing_changed(lone_busy: Api) -> None:
    first = lone_busy.get("/crew-links")
    again = lone_busy.get("/crew-links", headers={"If-None-Match": first.headers["etag"]})
    assert again.status_code == 304


def test_one_more_says_in_words_what_it_would_gain(lone_busy: Api) -> None:
    assert lone_busy.read("/one-more")["state"] == "none"
    answer = lone_busy.post("/one-more", {"seconds": 0.2})
    assert answer.status_code == 200, answer.text
    found = ended(lone_busy, "/one-more")
    assert (found["state"], found["progress"], found["plan_version"]) == ("ready", 1.0, 1)
    first = found["result"]["gains"][0]
    assert found["result"]["base_finish"] == "2026-01-12"
    assert (first["kind"], first["trade"], first["gain_days"]) == ("person", "metal", 5)
    assert first["sentence"].startswith("One more metalworker")
    lone_busy.patch("/tasks/skin", {"days": 2})
    assert lone_busy.read("/one-more")["state"] == "outdated"
    assert lone_busy.read("/one-more")["result"] is None
