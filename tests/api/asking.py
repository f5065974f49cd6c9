"""A small plan, and short ways to ask about it."""

from __future__ import annotations

import csv
import io
from typing import Any

from httpx2 import Response
from starlette.testclient import TestClient

PROBLEM = "application/problem+json"


def small_plan(**changes: Any) -> dict[str, Any]:
    """
    Return a plan file: a tail and a wing, one engine away, one propeller still here.

    By hand: T1 (2 days) is done; the engine S1 is with vendor V1; T4 waits for it.
    """
    plan: dict[str, Any] = {
        "format": "ribstitch-plan/1",
        "project": {
            "name": "Small plan",
            "aircraft": "Two-seat trainer",
            "serial": "42",
            "start": "2026-01-05",
            "as_of": "2026-02-02",
            "target_finish": "2026-05-29",
        },
        "calendars": [{"id": "shop"}, {"id": "v1", "name": "Engine shop"}],
        "zones": [{"id": "tail", "name": "Tail"}, {"id": "wing", "name": "Wing"}],
        "tasks": [
            {
                "id": "T1",
                "name": "Take the engine off",
                "zone": "wing",
                "days": 2,
                "trade": "engine",
                "status": {"state": "done", "started": "2026-01-05", "finished": "2026-01-06"},
            },
            {"id": "T2", "name": "Strip the fin", "zone": "tail", "days": 5, "trade": "metal"},
            {
                "id": "T3",
                "name": "Rivet the fin",
                "zone": "tail",
                "days": 10,
                "trade": "metal",
                "hazards": ["noise"],
            },
            {"id": "T4", "name": "Hang the engine", "zone": "wing", "days": 3, "trade": "engine"},
            {"id": "T5", "name": "Ready to fly", "milestone": "finish"},
        ],
        "links": [
            {"from": "T2", "to": "T3"},
            {"from": "T3", "to": "T5"},
            {"from": "T4", "to": "T5"},
        ],
        "vendors": [
            {"id": "V1", "name": "Invented Engines", "country": "GB", "calendar": "v1"},
            {"id": "V2", "name": "Invented Propellers", "country": "IE"},
        ],
        "send_outs": [
            {
                "id": "S1",
                "name": "Engine",
                "kind": "engine",
                "vendor": "V1",
                "after": ["T1"],
                "before": ["T4"],
                "prepare_days": 1,
                "ship_out_days": 3,
                "lead_days": 40,
                "ship_back_days": 3,
                "accept_days": 1,
                "status": {"shipped": "2026-01-07", "arrived": "2026-01-12"},
            },
            {
                "id": "S2",
                "name": "Propeller",
                "kind": "propeller",
                "vendor": "V2",
                "before": ["T5"],
                "ship_out_days": 2,
                "lead_days": 10,
                "accept_days": 1,
            },
        ],
        "crew": [{"trade": "metal", "people": 1, "label": "Metalworker 1"}, {"trade": "engine"}],
        "places": [{"id": "booth", "name": "Spray booth"}],
        "costs": [
            {"id": "C1", "name": "Paint", "amount": "120.50", "currency": "EUR", "state": "paid"}
        ],
        "budget": [{"chapter": "55", "amount": "5000.00", "currency": "EUR"}],
        "kinds": [{"id": "engine", "over_median": 1.35, "over_p90": 2.2}],
        "risks": [
            {
                "id": "R1",
                "name": "Cracked fitting",
                "task": "T3",
                "probability": 0.25,
                "impact_days": 4,
            }
        ],
        "exchange_rates": [{"currency": "GBP", "on": "2026-01-05", "rate": "1.16"}],
    }
    return {**plan, **changes}


class Api:
    """The service with one project taken in; paths are below the project's own."""

    def __init__(self, client: TestClient, plan: dict[str, Any]) -> None:
        self.client = client
        self.project = take_in(client, plan)
        self.root = f"/api/v1/projects/{self.project}"

    def get(self, path: str = "", **options: Any) -> Response:
        """Ask for something."""
        return self.client.get(f"{self.root}{path}", **options)

    def read(self, path: str = "") -> dict[str, Any]:
        """Ask for something that is there."""
        answer = self.get(path)
        assert answer.status_code == 200, answer.text
        content: dict[str, Any] = answer.json()
        return content

    def post(self, path: str, body: Any) -> Response:
        """Send something."""
        return self.client.post(f"{self.root}{path}", json=body)

    def patch(self, path: str, body: Any, version: int | None = 1) -> Response:
        """Edit a thing, saying which version was read."""
        headers = {} if version is None else {"If-Match": f'"{version}"'}
        return self.client.patch(f"{self.root}{path}", json=body, headers=headers)

    def delete(self, path: str, version: int | None = None) -> Response:
        """Take something away, perhaps saying which version was read."""
        headers = {} if version is None else {"If-Match": f'"{version}"'}
        return self.client.delete(f"{self.root}{path}", headers=headers)

    def settle(self) -> None:
        """Wait until the plan is simulated, so that answers tell how sure their dates are."""
        service = self.client.app.state.service  # type: ignore[attr-defined]
        current = service.forecasts.current(self.project)
        assert service.simulations.current(current, 60.0).state == "ready"

    def be(self, role: str) -> None:
        """Ask in another role from now on."""
        answer = self.client.put("/api/v1/session", json={"role": role})
        assert answer.status_code == 200, answer.text

    @property
    def plan_version(self) -> int:
        """How often the plan was changed."""
        version: int = self.read("")["plan_version"]
        return version


def take_in(client: TestClient, plan: dict[str, Any]) -> int:
    """Take a plan in; return the project's number."""
    answer = client.post("/api/v1/projects", json=plan)
    assert answer.status_code == 201, answer.text
    number: int = answer.json()["id"]
    return number


def assert_problem(answer: Response, status: int, *parts: str) -> dict[str, Any]:
    """Check that an answer is a refusal of the one shape, and that its sentence has some parts."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == PROBLEM
    problem: dict[str, Any] = answer.json()
    assert {"type", "title", "status", "detail", "instance"} <= set(problem)
    assert problem["status"] == status
    assert problem["type"].startswith("/api/v1/problems/")
    assert "\n" not in problem["detail"]
    for part in parts:
        assert part in problem["detail"]
    return problem


def csv_rows(answer: Response) -> list[dict[str, str]]:
    """Return a table that was answered, read as a spreadsheet reads comma-separated values."""
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def exported(api: Api, name: str) -> list[dict[str, str]]:
    """Return an exported table of the project."""
    answer = api.get(f"/exports/{name}.csv")
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}.csv"'
    return csv_rows(answer)


def what_moved(api: Api, since: int | str) -> dict[str, Any]:
    """Ask what moved since a date or a version, until it is worked out."""
    while True:
        answer = api.read(f"/moved?since={since}")
        if answer["state"] != "running":
            assert answer["state"] == "ready", answer
            found: dict[str, Any] = answer["result"]
            return found
