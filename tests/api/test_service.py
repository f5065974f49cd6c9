"""Health, session, kinds of refusals, the description."""

from __future__ import annotations

import json
import re

import pytest
from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from ribstitch import __version__
from ribstitch.api.conditional import expected_version
from ribstitch.api.problems import PROBLEMS
from ribstitch.api.routers import ROUTERS
from tests.api.asking import Api, assert_problem


def test_health_answers_with_the_version(client: TestClient) -> None:
    answer = client.get("/api/v1/health")
    assert answer.json() == {"status": "ok", "version": __version__}


def test_an_answer_is_a_refusal_when_the_database_is_gone(lone_client: TestClient) -> None:
    store = lone_client.app.state.service.store  # type: ignore[attr-defined]
    with store.begin(None, None) as work:
        work._connection.exec_driver_sql("DROP TABLE project")
    answer = lone_client.get("/api/v1/projects")
    assert_problem(answer, 503, "database", "nothing was stored")
    assert "project" not in answer.json()["detail"]
    assert answer.headers["retry-after"] == "5"


def test_edit_while_somebody_writes_without_end_is_refused_and_can_be_repeated(
    lone_api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = lone_api.client.app.state.service.store  # type: ignore[attr-defined]
    monkeypatch.setattr("ribstitch.store.engine._BUSY_MS", 50)
    store.close()
    with store.begin(None, None):
        assert_problem(lone_api.patch("/tasks/T2", {"days": 4}), 503, "nothing was stored")
        assert lone_api.plan_version == 1
    assert lone_api.patch("/tasks/T2", {"days": 4}).status_code == 200


def test_without_a_cookie_the_shop_lead_asks(lone_client: TestClient) -> None:
    assert lone_client.get("/api/v1/session").json() == {
        "entry": "open",
        "role": "lead",
        "name": "Shop lead",
    }


def test_a_chosen_role_stays_in_a_cookie_that_no_script_reads(lone_client: TestClient) -> None:
    answer = lone_client.put("/api/v1/session", json={"role": "owner"})
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    assert lone_client.get("/api/v1/session").json() == {
        "entry": "open",
        "role": "owner",
        "name": "Owner",
    }


def test_an_unknown_role_in_the_cookie_counts_as_none(lone_client: TestClient) -> None:
    lone_client.cookies.set("ribstitch_role", "admin")
    assert lone_client.get("/api/v1/session").json()["role"] == "lead"


def test_an_unknown_role_is_refused(lone_client: TestClient) -> None:
    answer = lone_client.put("/api/v1/session", json={"role": "admin"})
    assert_problem(answer, 422, "role", '"admin"')


def test_every_kind_of_refusal_is_explained_at_its_address(lone_client: TestClient) -> None:
    listed = lone_client.get("/api/v1/problems").json()["problems"]
    assert [one["status"] for one in listed] == [problem.status for problem in PROBLEMS]
    for one in listed:
        assert lone_client.get(one["type"]).json() == one
    assert_problem(lone_client.get("/api/v1/problems/nothing"), 404, "nothing")


def test_description_loads_nothing_and_every_reference_in_it_resolves(
    lone_client: TestClient,
) -> None:
    text = lone_client.get("/api/v1/openapi.json").text
    schemas = json.loads(text)["components"]["schemas"]
    for name in set(re.findall(r'"#/components/schemas/([^"]+)"', text)):
        assert name in schemas
    assert "HTTPValidationError" not in schemas
    assert lone_client.get("/docs").status_code == 404


def test_description_explains_every_operation_and_its_refusals(lone_client: TestClient) -> None:
    described = lone_client.get("/api/v1/openapi.json").json()
    for path, operations in described["paths"].items():
        for method, operation in operations.items():
            where = f"{method} {path}"
            assert operation["summary"], where
            assert operation["description"], where
            assert operation["tags"], where
            refused = {code for code in operation["responses"] if code.startswith("4")}
            assert "422" in refused, where
            if "{project_id}" in path:
                assert "404" in refused, where
            if method == "patch":
                assert {"403", "404", "412", "415", "422", "428"} <= refused, where
            if method in {"post", "patch", "put"} and operation["tags"] != ["Simulation"]:
                content = operation["requestBody"]["content"]
                takes_a_file = operation["tags"] == ["Imports"] or (
                    operation["operationId"] in {"add_evidence", "add_drawing"}
                )
                assert takes_a_file or content["application/json"]["examples"], where
            for code in refused:
                assert list(operation["responses"][code]["content"]) == [
                    "application/problem+json"
                ], where


def test_api_needs_no_second_look_when_nothing_changed(api: Api) -> None:
    api.settle()
    first = api.get("/schedule")
    again = api.get("/schedule", headers={"If-None-Match": first.headers["etag"]})
    assert again.status_code == 304
    assert again.content == b""
    assert again.headers["etag"] == first.headers["etag"]
    api.patch("/tasks/T2", {"days": 6})
    changed = api.get("/schedule", headers={"If-None-Match": first.headers["etag"]})
    assert changed.status_code == 200
    assert changed.json()["plan_version"] == 2


def test_what_asks_for_a_version_says_how_it_refuses_one(lone_client: TestClient) -> None:
    paths = lone_client.get("/api/v1/openapi.json").json()["paths"]
    asking = [
        (method.lower(), f"/api/v1{route.path_format}")
        for router in ROUTERS
        for route in router.routes
        if isinstance(route, APIRoute)
        and expected_version in {one.call for one in route.dependant.dependencies}
        for method in route.methods or ()
    ]
    assert len(asking) > 30
    silent = [
        (method, path)
        for method, path in asking
        if not {"400", "412", "428"} <= set(paths[path][method]["responses"])
    ]
    assert silent == []
