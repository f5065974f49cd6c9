"""Every route of the API asks exactly one rule, and the rule lets in whom it should."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import APIRouter
from fastapi.routing import APIRoute
from starlette.requests import Request

from ribstitch.api.app import ROOT
from ribstitch.api.identity import RULES, Anyone, Reader, guard, rule_of
from ribstitch.api.problems import ProblemError
from ribstitch.api.routers import ROUTERS
from ribstitch.store import UnknownProjectError
from tests.support.loops import awaited
from tests.support.signed_in import EVERYBODY, PROJECT, Furnished, House, running_house

PASSES = 0
"""Instead of the status of a refusal."""

TABLE: dict[str, dict[str, int]] = {
    "anyone": dict.fromkeys(("nobody", *EVERYBODY), PASSES),
    "reader": {"nobody": 401, "stranger": 404},
    "editor": {"nobody": 401, "stranger": 404, "viewer": 403, "owner": 403},
    "decider": {"nobody": 401, "stranger": 404, "viewer": 403, "lead": 403},
    "planner": {"nobody": 401, "stranger": 404, "viewer": 403, "owner": 403, "lead": 403},
    "maker": {"nobody": 401, **dict.fromkeys(EVERYBODY, 403), "keeper": PASSES},
    "keeper": {"nobody": 401, **dict.fromkeys(EVERYBODY, 403), "keeper": PASSES},
    "signed_in": {"nobody": 401},
}
"""Whom each rule refuses, and how; whom it does not name passes."""

OF_NO_PROJECT: dict[str, str] = {
    "GET /health": "anyone",
    "GET /ready": "anyone",
    "GET /metrics": "anyone",
    "GET /session": "anyone",
    "PUT /session": "anyone",
    "GET /problems": "anyone",
    "GET /problems/{name}": "anyone",
    "POST /sign-in": "anyone",
    "POST /sign-in/second-factor": "anyone",
    "POST /sign-out": "signed_in",
    "POST /one-time-links/look": "anyone",
    "POST /one-time-links/use": "anyone",
    "GET /account": "signed_in",
    "PATCH /account": "signed_in",
    "POST /account/password": "signed_in",
    "GET /account/sessions": "signed_in",
    "DELETE /account/sessions/{session_id}": "signed_in",
    "POST /account/second-factor": "signed_in",
    "PUT /account/second-factor": "signed_in",
    "POST /account/second-factor/drop": "signed_in",
    "GET /account/tokens": "signed_in",
    "POST /account/tokens": "signed_in",
    "DELETE /account/tokens/{token_id}": "signed_in",
    "GET /people": "keeper",
    "POST /people": "keeper",
    "PATCH /people/{account_id}": "keeper",
    "POST /new-password-links": "signed_in",
    "GET /account-log": "keeper",
    "GET /projects": "reader",
    "POST /projects": "maker",
    "GET /new-project": "maker",
    "POST /new-project": "maker",
}
"""What is outside of projects, route by route."""

_P = "/projects/{project_id}"
DECIDED = {f"POST {_P}/baselines", f"POST {_P}/over-and-above/{{key:path}}/decision"}
COMPUTED = {
    f"{method} {_P}/{path}"
    for method, path in [
        ("POST", "cases"), ("POST", "charts/what-if"), ("POST", "simulation"),
        ("POST", "tasks/{task_id:path}/preview"),
        ("DELETE", "simulation"), ("POST", "causes"), ("DELETE", "causes"),
        ("POST", "pulling-in"), ("DELETE", "pulling-in"), ("POST", "imports/{table}/look"),
        ("POST", "imports/{table}/try"), ("POST", "imports/{table}/problems.csv"),
    ]
}  # fmt: skip
"""What is sent with a body and stores nothing."""
OF_PEOPLE = {
    f"GET {_P}/people",
    f"POST {_P}/people",
    f"PATCH {_P}/people/{{account_id}}",
    f"DELETE {_P}/people/{{account_id}}",
}
"""What the planner alone sees and changes."""


def routes() -> list[tuple[str, APIRoute]]:
    """Return all routes of the API, named by method and path."""
    return [
        (f"{method} {route.path}", route)
        for router in ROUTERS
        for route in router.routes
        if isinstance(route, APIRoute)
        for method in sorted(route.methods or ())
    ]


def expected_rule(name: str) -> str:
    """Return the rule that a route should have."""
    if not name.partition(" ")[2].startswith(_P):
        return OF_NO_PROJECT[name]
    if name in OF_PEOPLE:
        return "planner"
    if name in DECIDED:
        return "decider"
    return "reader" if name.startswith("GET ") or name in COMPUTED else "editor"


@pytest.fixture(scope="module")
def shared_house(furnished: Furnished, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """The service with somebody in every role, for what changes nothing."""
    folder = tmp_path_factory.mktemp("house")
    with running_house(f"sqlite:///{shutil.copy(furnished.file, folder)}", folder) as house:
        yield house


def test_every_route_has_the_rule_that_the_table_says() -> None:
    told = {name: rule_of(route.endpoint).__name__ for name, route in routes()}
    assert told == {name: expected_rule(name) for name in told}
    assert set(OF_NO_PROJECT) == {name for name in told if _P not in name}
    assert set(told) >= DECIDED | COMPUTED | OF_PEOPLE
    assert set(TABLE) == {rule.__name__ for rule in RULES}


def test_nobody_is_answered_by_anything_that_is_not_public(shared_house: House) -> None:
    """Through everything: so the guard stands before every route."""
    client = shared_house.come_as("nobody")
    for name, route in routes():
        method, path = name.split(" ")
        address = path
        for part in route.param_convertors:
            value = str(PROJECT) if part == "project_id" else "x"
            address = address.replace(f"{{{part}:path}}", value).replace(f"{{{part}}}", value)
        if rule_of(route.endpoint) is RULES[0]:
            continue
        answer = client.request(method, f"{ROOT}{address}", content=b"no JSON")
        assert answer.status_code == 401, name
        assert answer.json()["type"].endswith("/sign-in"), name
        assert answer.headers["www-authenticate"] == "Bearer"


def test_each_route_lets_in_whom_the_table_says(shared_house: House) -> None:
    cookies = {who: _cookie(shared_house, who) for who in EVERYBODY}
    assert awaited(_wrong(shared_house, cookies)) == []


async def _wrong(house: House, cookies: dict[str, str]) -> list[tuple[str, str, int, int]]:
    """Return whom a route answers otherwise than the table says: found, and expected."""
    wrong = []
    for name, route in routes():
        refused = TABLE[expected_rule(name)]
        for who in ("nobody", *EVERYBODY):
            expected = refused.get(who, PASSES)
            if expected == 404 and "{project_id}" not in name:
                expected = PASSES
            found = await _asked(house, name, route, cookies.get(who, ""))
            if found != expected:
                wrong.append((name, who, found, expected))
    return wrong


def test_a_route_without_a_rule_or_with_two_is_found() -> None:
    router = APIRouter()

    @router.get("/nothing")
    def nothing() -> None: ...

    @router.get("/both")
    def both(_one: Anyone, _two: Reader) -> None: ...

    for endpoint, count in ((nothing, 0), (both, 2)):
        with pytest.raises(LookupError, match=f"has {count} rules"):
            rule_of(endpoint)


def test_service_does_not_start_with_a_route_that_has_no_rule(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    router = APIRouter()

    @router.get("/nothing")
    def nothing() -> None: ...

    monkeypatch.setattr("ribstitch.api.app.ROUTERS", (*ROUTERS, router))
    with (
        pytest.raises(LookupError, match="nothing has 0 rules"),
        running_house(f"sqlite:///{tmp_path / 'x.db'}", tmp_path),
    ):
        pass


def _cookie(house: House, who: str) -> str:
    client = house.come_as(who)
    return "; ".join(f"{name}={value}" for name, value in client.cookies.items())


async def _asked(house: House, name: str, route: APIRoute, cookie: str) -> int:
    """Ask the guard itself; return the status of its refusal."""
    method, path = name.split(" ")
    given = {part: str(PROJECT) if part == "project_id" else "x" for part in route.param_convertors}
    scope: dict[str, Any] = {
        "type": "http", "method": method, "path": path, "query_string": b"", "app": house.app,
        "headers": [(b"cookie", cookie.encode())], "path_params": given,
        "endpoint": route.endpoint, "state": {},
    }  # fmt: skip
    try:
        await guard(Request(scope))
    except ProblemError as refused:
        return refused.problem.status
    except UnknownProjectError:
        return 404
    return PASSES
