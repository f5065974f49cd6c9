"""A currency that there is not is refused wherever one can be entered; old plans keep theirs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from ribstitch.clock import StoppedClock
from ribstitch.planfile.reading import parse_plan
from ribstitch.services.import_plan import import_plan
from ribstitch.store import Person
from tests.api.asking import Api, assert_problem, small_plan
from tests.api.conftest import NOW
from tests.api.money_plans import money_plan

NEW: dict[str, dict[str, Any]] = {
    "/costs": {"id": "C9", "amount": "1.00"},
    "/budget": {"chapter": "79", "amount": "1.00"},
    "/exchange-rates": {"on": "2026-01-05", "rate": "2"},
    "/over-and-above": {"id": "A9", "name": "Hinge", "asked_on": "2026-01-12"},
    "/expedites": {"id": "X9", "task": "T2", "gains_days": 1, "cost": "5.00"},
}


@pytest.fixture
def taken_in() -> dict[str, Any]:
    """A plan that has money in it."""
    return money_plan()


def test_a_currency_that_there_is_not_is_refused_wherever_it_is_entered(lone_api: Api) -> None:
    sentence = 'currency: "EUX" is no current currency of ISO 4217'
    before = lone_api.plan_version
    for path, body in NEW.items():
        assert_problem(lone_api.post(path, {**body, "currency": "EUX"}), 422, sentence)
    for path in ("", "/vendors/V1", "/costs/C2"):
        assert_problem(lone_api.patch(path, {"currency": "EUX"}), 422, sentence)
    plan = small_plan(budget=[{"chapter": "55", "amount": "1", "currency": "EUX"}])
    answer = lone_api.client.post("/api/v1/projects", json=plan)
    assert_problem(answer, 422, f"budget[0].{sentence}")
    assert lone_api.plan_version == before
    for path, body in NEW.items():
        assert lone_api.post(path, {**body, "currency": "NOK"}).status_code == 201, path


def test_a_plan_kept_from_before_opens_with_the_currency_it_has(lone_api: Api) -> None:
    """Nothing that was stored is lost because a currency is gone; its next edit names it."""
    plan = parse_plan(lone_api.get("/plan-file").content, "")
    old = replace(plan, costs=(replace(plan.costs[0], currency="DEM"), *plan.costs[1:]))
    service = lone_api.client.app.state.service  # type: ignore[attr-defined]
    at = StoppedClock(NOW).now_utc()
    number = import_plan(service.store, old, Person("Planner", "planner"), at)
    root = f"/api/v1/projects/{number}"
    money = lone_api.client.get(f"{root}/money")
    assert money.status_code == 200, money.text
    assert any("DEM, of which no exchange rate" in one for one in money.json()["missing"])
    edit = lone_api.client.patch(
        f"{root}/costs/{old.costs[0].id}", json={"name": "Paint"}, headers={"If-Match": '"1"'}
    )
    assert_problem(edit, 422, '"DEM" is no current currency')
