"""The owner reads; the shop lead and the planner change the plan."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.asking import Api, assert_problem, small_plan

CHANGES: list[tuple[str, str, Any]] = [
    ("POST", "/api/v1/projects", small_plan()),
    (
        "POST",
        "/api/v1/new-project",
        {
            "name": "x",
            "airframe": "landplane",
            "rule_book": "eu",
            "week": [8] * 7,
            "zones": [{"id": "whole", "name": "x"}],
        },
    ),
    ("PATCH", "", {"name": "x"}),
    ("PATCH", "/tasks/T2", {"days": 4}),
    ("POST", "/tasks", {"id": "T9", "days": 1}),
    ("POST", "/tasks/T2/plan", {"task": {"days": 4}}),
    ("POST", "/links", {"from": "T2", "to": "T4"}),
    ("DELETE", "/links?from=T2&to=T3", None),
    ("PATCH", "/send-outs/S1", {"notes": "x"}),
    ("POST", "/send-outs/S1/contacts", {"on": "2026-01-30", "note": "x"}),
    ("POST", "/send-outs/S1/rejection", {"on": "2026-01-30"}),
    ("PATCH", "/vendors/V1", {"name": "x"}),
    ("POST", "/vendors", {"id": "V9"}),
    ("DELETE", "/vendors/V2", None),
    ("PATCH", "/calendars/shop", {"name": "x"}),
    ("PATCH", "/crew/metal", {"people": 2}),
    ("PATCH", "/zones/tail", {"name": "x"}),
    ("POST", "/zones", {"id": "fin"}),
    ("DELETE", "/zones/tail", None),
    ("PATCH", "/places/booth", {"capacity": 2}),
    ("PATCH", "/risks/R1", {"closed": True}),
    ("PATCH", "/kinds/engine", {"rejected": 0.1}),
    ("PATCH", "/exchange-rates/GBP 2026-01-05", {"rate": "1.1"}),
    ("PATCH", "/expedites/X1", {"cost": "1.00"}),
    ("POST", "/calendars", {"id": "sat"}),
    ("DELETE", "/calendars/v1", None),
    ("POST", "/crew", {"trade": "metal"}),
    ("DELETE", "/crew/metal", None),
    ("POST", "/places", {"id": "jig"}),
    ("DELETE", "/places/booth", None),
    ("POST", "/expedites", {"id": "X1", "task": "T3", "gains_days": 1, "cost": "1.00"}),
    ("DELETE", "/expedites/X1", None),
    ("POST", "/cases/adopt", {"plan_version": 1, "case": {"changes": []}}),
    ("POST", "/draft", {"plan_version": 1}),
    ("POST", "/levelling", {"seconds": 0}),
    ("DELETE", "/levelling", None),
    ("POST", "/levelling/adopt", {"plan_version": 1}),
    ("DELETE", "/crew-links/T2 > T3", None),
    ("POST", "/one-more", {"seconds": 0}),
    ("DELETE", "/one-more", None),
    ("POST", "/exchange-rates", {"currency": "USD", "on": "2026-02-01", "rate": "0.91"}),
    ("DELETE", "/exchange-rates/GBP 2026-01-05", None),
    ("POST", "/costs", {"id": "C9", "amount": "1.00", "currency": "EUR"}),
    ("PATCH", "/costs/C1", {"state": "paid"}),
    ("DELETE", "/costs/C1", None),
    ("POST", "/budget", {"chapter": "32", "amount": "1.00", "currency": "EUR"}),
    ("PATCH", "/budget/55", {"amount": "1.00"}),
    ("DELETE", "/budget/55", None),
    ("POST", "/hours", {"id": "H9", "task": "T2", "on": "2026-02-02", "hours": "1"}),
    ("PATCH", "/hours/H1", {"hours": "1"}),
    ("DELETE", "/hours/H1", None),
    ("POST", "/funding", {"id": "F9", "on": "2026-03-01", "amount": "1.00"}),
    ("PATCH", "/funding/F1", {"amount": "1.00"}),
    ("DELETE", "/funding/F1", None),
    ("POST", "/over-and-above", {"id": "A9", "name": "x", "asked_on": "2026-02-02"}),
    ("PATCH", "/over-and-above/A1", {"amount": "1.00"}),
    ("DELETE", "/over-and-above/A1", None),
    ("POST", "/imports/findings/apply?plan_version=1", {}),
    ("POST", "/findings", {"id": "F9", "seen": "x"}),
    ("PATCH", "/findings/F1", {"seen": "x"}),
    ("DELETE", "/findings/F1", None),
    ("POST", "/cards", {"id": "X1", "name": "x", "driver": "bay", "steps": []}),
    ("PATCH", "/cards/M01", {"name": "x"}),
    ("DELETE", "/cards/M01", None),
    ("POST", "/standing-jobs", {"id": "J1", "card": "M01"}),
    ("PATCH", "/standing-jobs/M01", {"title": "x"}),
    ("DELETE", "/standing-jobs/M01", None),
    ("POST", "/drawings", {}),
    ("PATCH", "/drawings/D1", {"name": "x"}),
    ("DELETE", "/drawings/D1", None),
    ("POST", "/evidence?task=T2", {}),
    ("PATCH", "/evidence/E1", {"caption": "x"}),
    ("DELETE", "/evidence/E1", None),
    ("POST", "/tasks/T2/sign-off", {"by": "x"}),
    ("POST", "/records/R1/sign-off", {"by": "x"}),
    ("POST", "/undo", {"kind": "task", "key": "T2"}),
    ("POST", "/redo", {"kind": "task", "key": "T2"}),
]


DECISIONS: list[tuple[str, Any]] = [
    ("/over-and-above/A1/decision", {"decision": "approved"}),
    ("/baselines", {"reason": "Agreed"}),
]
"""What the owner and the planner decide, and the shop lead does not."""


def test_every_way_to_change_something_is_in_the_list(shared_api: Api) -> None:
    described = shared_api.client.get("/api/v1/openapi.json").json()["paths"]
    ways = [
        (method, path)
        for path, operations in described.items()
        for method in operations
        if method in {"post", "patch", "put", "delete"}
    ]
    project = "/api/v1/projects/{project_id}"
    harmless = {
        ("put", "/api/v1/session"),
        *(way for way in ways if "accounts" in described[way[1]][way[0]]["tags"][0].lower()),
        ("post", f"{project}/cases"),
        ("post", f"{project}/tasks/{{task_id}}/preview"),
        ("post", f"{project}/charts/what-if"),
        *((method, f"{project}/{what}") for method in ("post", "delete")
          for what in ("simulation", "causes", "pulling-in")),
        *(("post", f"{project}/imports/{{table}}/{what}")
          for what in ("look", "try", "problems.csv")),
    }  # fmt: skip
    assert len(set(ways) - harmless) == len(CHANGES) + len(DECISIONS)


@pytest.mark.parametrize(("method", "path", "body"), CHANGES)
def test_owner_changes_nothing(shared_api: Api, method: str, path: str, body: Any) -> None:
    shared_api.be("owner")
    address = path if path.startswith("/api") else f"{shared_api.root}{path}"
    answer = shared_api.client.request(method, address, json=body, headers={"If-Match": '"1"'})
    assert_problem(answer, 403, "owner")
    assert shared_api.plan_version == 1
    assert len(shared_api.client.get("/api/v1/projects").json()["projects"]) == 1


@pytest.mark.parametrize(("path", "body"), DECISIONS)
def test_shop_lead_decides_nothing(shared_api: Api, path: str, body: Any) -> None:
    shared_api.be("lead")
    headers = {"If-Match": '"1"'}
    answer = shared_api.client.post(f"{shared_api.root}{path}", json=body, headers=headers)
    assert_problem(answer, 403, "The shop lead asks")
    assert shared_api.plan_version == 1


@pytest.mark.parametrize("role", ["lead", "planner"])
def test_lead_and_planner_change_the_plan_in_their_own_name(api: Api, role: str) -> None:
    api.be(role)
    assert api.patch("/tasks/T2", {"days": 4}).status_code == 200
    assert api.read("/changes")["changes"][0]["role"] == role


@pytest.mark.parametrize(
    "path",
    ["", "/title-block", "/schedule", "/airframe", "/today", "/away", "/forecast", "/tasks",
     "/tasks/T2", "/send-outs/S1", "/vendors", "/changes", "/plan-file", "/charts/schedule",
     "/costs", "/budget", "/hours", "/funding", "/over-and-above", "/baselines", "/money",
     "/moved?since=1"],
)  # fmt: skip
def test_owner_reads_everything(shared_api: Api, path: str) -> None:
    shared_api.be("owner")
    assert shared_api.get(path).status_code == 200
