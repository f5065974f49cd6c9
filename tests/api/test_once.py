"""A request that carries a key is done once, however often it is sent."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from httpx2 import Response
from PIL import Image
from starlette.testclient import TestClient

from ribstitch.services import change_plan as changing
from tests.api.asking import Api, assert_problem

KEY = "q-0123456789abcdef"
HOURS = {"id": "H-1", "task": "T1", "on": "2026-01-06", "hours": "6.5", "label": ""}


def send(
    api: Api, path: str, body: Any, *, key: str = KEY, method: str = "POST", version: int = 0
) -> Response:
    """Send something with a key."""
    headers = {"Idempotency-Key": key, "Content-Type": "application/json"}
    if version:
        headers["If-Match"] = f'"{version}"'
    content = json.dumps(body)
    return api.client.request(method, f"{api.root}{path}", content=content, headers=headers)


def begun(api: Api, *, key: str = KEY, version: int = 1, on: str = "2026-02-02") -> Response:
    """Begin the second task."""
    status = {"status": {"state": "in_work", "started": on}}
    return send(api, "/tasks/T2", status, key=key, method="PATCH", version=version)


def test_the_same_key_gets_the_same_answer_and_nothing_is_done_again(api: Api) -> None:
    first, second = begun(api), begun(api)
    assert (first.status_code, second.status_code) == (200, 200)
    assert second.content == first.content
    assert second.headers["etag"] == first.headers["etag"] == '"2"'
    assert second.headers["content-type"] == first.headers["content-type"]
    assert api.plan_version == 2


def test_without_a_key_the_same_request_is_an_edit_of_something_older(api: Api) -> None:
    status = {"status": {"state": "in_work", "started": "2026-02-02"}}
    assert api.patch("/tasks/T2", status).status_code == 200
    assert api.patch("/tasks/T2", status).status_code == 412


def test_the_answer_stays_when_the_thing_has_been_changed_or_is_gone(api: Api) -> None:
    added = send(api, "/hours", HOURS)
    assert added.status_code == 201
    assert api.delete("/hours/H-1", 1).status_code == 200
    assert send(api, "/hours", HOURS).content == added.content
    assert api.read("/hours")["hours"] == []


def test_a_hundred_at_once_make_one_change(api: Api) -> None:
    with ThreadPoolExecutor(20) as pool:
        answers = list(pool.map(lambda _: begun(api), range(100)))
    assert {one.status_code for one in answers} == {200}
    assert len({one.content for one in answers}) == 1
    assert api.plan_version == 2
    assert len(api.read("/changes?kind=task&key=T2")["changes"]) == 1


@pytest.mark.parametrize(
    "other",
    [{"version": 2}, {"on": "2026-01-30"}],
    ids=["another version", "another body"],
)
def test_a_key_of_another_request_is_refused(api: Api, other: dict[str, Any]) -> None:
    assert begun(api).status_code == 200
    problem = assert_problem(begun(api, **other), 422, KEY, "another request")
    assert problem["type"].endswith("/key-used")
    assert api.plan_version == 2


def test_a_key_belongs_to_its_address_and_method(api: Api) -> None:
    assert send(api, "/hours", HOURS).status_code == 201
    assert_problem(send(api, "/hours?reason=again", HOURS), 422, KEY)
    assert_problem(send(api, "/hours", HOURS, method="PUT"), 422, KEY)


def test_everybody_has_keys_of_their_own(api: Api) -> None:
    assert begun(api).status_code == 200
    api.be("planner")
    assert begun(api).status_code == 412


@pytest.mark.parametrize("key", ["short", "x" * 65, "with space", "semi;colon;", "é" * 9])
def test_a_key_is_of_safe_signs(lone_api: Api, key: str) -> None:
    answer = lone_api.client.post(
        f"{lone_api.root}/hours", json=HOURS, headers={b"Idempotency-Key": key.encode()}
    )
    assert_problem(answer, 400, "Idempotency-Key", "8 to 64")
    assert lone_api.plan_version == 1


def test_a_refusal_is_not_kept(api: Api) -> None:
    late = {**HOURS, "task": "T9"}
    assert_problem(send(api, "/hours", late), 422)
    assert send(api, "/hours", HOURS).status_code == 201


def test_what_changes_nothing_keeps_its_answer_too(api: Api) -> None:
    """The edit leaves the task as it is; later it would not."""
    first = send(api, "/tasks/T2", {"days": 5}, method="PATCH", version=1)
    assert first.json()["change"] is None
    api.patch("/tasks/T2", {"days": 6})
    again = send(api, "/tasks/T2", {"days": 5}, method="PATCH", version=1)
    assert again.content == first.content
    assert api.plan_version == 2


def test_a_photo_is_added_once(api: Api) -> None:
    made = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(made, "PNG")
    headers = {"Idempotency-Key": KEY, "Content-Type": "image/png"}
    answers = [
        api.client.post(f"{api.root}/evidence?task=T1", content=made.getvalue(), headers=headers)
        for _ in range(2)
    ]
    assert [one.status_code for one in answers] == [201, 201]
    assert answers[0].content == answers[1].content
    assert len(api.read("/evidence")["evidence"]) == 1


def test_a_request_that_asks_only_is_done_as_ever(lone_api: Api) -> None:
    headers = {"Idempotency-Key": "no"}
    assert lone_api.get("/today", headers=headers).status_code == 200


def test_a_body_without_end_is_not_read_to_its_end(lone_api: Api) -> None:
    answer = lone_api.client.post(
        f"{lone_api.root}/hours",
        content=b"x" * 40_000_000,
        headers={"Idempotency-Key": KEY, "Content-Type": "application/json"},
    )
    assert_problem(answer, 413, "larger than")


def test_a_change_whose_answer_got_lost_is_still_done_once(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The service goes down between the change and its answer: the key came with the change."""
    kept = changing.Recorded

    def broken(**values: Any) -> Any:
        monkeypatch.setattr(changing, "Recorded", kept)
        raise RuntimeError("on purpose")

    monkeypatch.setattr(changing, "Recorded", broken)
    assert begun(api).status_code == 500
    again = begun(api)
    assert (again.status_code, again.json()) == (200, {"done_before": True})
    assert api.plan_version == 2


def test_keys_are_forgotten_after_thirty_days(client: TestClient, api: Api) -> None:
    service = client.app.state.service  # type: ignore[attr-defined]
    send(api, "/hours", HOURS)
    service.store.forget_requests(service.now() + timedelta(days=29))
    assert send(api, "/hours", HOURS).status_code == 201
    service.store.forget_requests(service.now() + timedelta(days=31))
    assert_problem(send(api, "/hours", HOURS), 422, "H-1")
