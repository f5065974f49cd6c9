"""Beginning a project: what is offered, what is stored, what is refused by which field."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

AIRFRAMES = ["amphibian", "landplane", "biplane"]


def told(client: TestClient, airframe: str = "landplane", **changes: Any) -> dict[str, Any]:
    """Return a body with everything that is offered for a kind of aircraft."""
    offer = client.get("/api/v1/new-project").raise_for_status().json()
    kind = next(one for one in offer["kinds"] if one["airframe"] == airframe)
    body = {
        "name": "Two-seater 42",
        "serial": "42",
        "restored_to": "summer 1939",
        "airframe": airframe,
        "rule_book": "national",
        "start": "2026-02-02",
        "zones": kind["zones"],
        "surfaces": kind["surfaces"],
        "week": offer["week"],
        "holidays": "IE",
        "closed": [["2026-08-03", "2026-08-14"]],
        "crew": offer["crew"],
        "places": kind["places"],
        "currency": "GBP",
        "standing_per_month": "640.50",
        "budget": "180000",
        "target_finish": "2028-06-30",
    }
    return body | changes


@pytest.mark.parametrize("airframe", AIRFRAMES)
def test_the_defaults_of_each_kind_give_a_plan_with_a_forecast(
    lone_client: TestClient, airframe: str
) -> None:
    made = lone_client.post("/api/v1/new-project", json=told(lone_client, airframe))
    assert made.status_code == 201, made.text
    begun = made.json()
    assert begun["problems"] == []
    assert made.headers["location"] == f"/api/v1/projects/{begun['id']}"
    title = lone_client.get(f"{made.headers['location']}/title-block").json()
    assert title["finish"] == begun["finish"] > "2026-06-01"
    tasks = lone_client.get(f"{made.headers['location']}/plan-file").json()["tasks"]
    # by hand, from the steps of the cards: M01 19 h, M02 26 h, M03 114 h
    hours = {one["card"]: one["hours"] for one in begun["work"]}
    assert (hours["M01"], hours["M02"], hours["M03"]) == (19, 26, 114)
    assert len([task for task in tasks if "milestone" not in task]) == begun["tasks"]
    assert all(task["zone"] for task in tasks if "milestone" not in task)


def test_a_project_keeps_all_that_was_told_of_it(client: TestClient) -> None:
    made = client.post("/api/v1/new-project", json=told(client)).raise_for_status().json()
    plan = client.get(f"/api/v1/projects/{made['id']}/plan-file").json()
    project = plan["project"]
    assert project["name"] == "Two-seater 42"
    assert (project["airframe"], project["rule_book"]) == ("landplane", "national")
    assert (project["restored_to"], project["currency"]) == ("summer 1939", "GBP")
    assert project["standing_per_month"] == "640.50"
    assert [(line["chapter"], line["amount"]) for line in plan["budget"]] == [("whole", "180000")]
    shop, *others = plan["calendars"]
    assert (shop["id"], shop["holidays"]) == ("shop", "IE")
    assert shop["closed"] == [["2026-08-03", "2026-08-14"]]
    metal = next(one for one in plan["crew"] if one["trade"] == "metal")
    paint = next(one for one in plan["crew"] if one["trade"] == "paint")
    assert metal["label"] == paint["label"] == "Metalworker 1"
    assert metal["calendar"] == paint["calendar"] == "crew-1"
    own = next(one for one in others if one["id"] == "crew-1")
    assert (own["day_hours"], own["week"]) == (5, [5, 5, 5, 5, 5, 0, 0])
    assert own["closed"] == shop["closed"]
    assert [place["id"] for place in plan["places"]] == ["dry-bay", "wing-jig"]
    assert len(plan["cards"]) == 33
    assert all(card.get("from_memory", True) for card in plan["cards"])
    assert {job["id"] for job in plan["standing_jobs"]} >= {"M01", "M05.rear", "M29.rudder", "M33"}
    [change] = client.get(f"/api/v1/projects/{made['id']}/changes").json()["changes"]
    assert (change["action"], change["who"]) == ("project.begin", "Shop lead")


def test_only_the_zones_and_bays_that_were_chosen_are_opened_up(lone_client: TestClient) -> None:
    body = told(lone_client)
    body["zones"] = [
        {"id": "whole", "name": "Whole aircraft"},
        {"id": "pod", "name": "Belly pod", "bays": 3},
    ]
    body["surfaces"] = []
    made = lone_client.post("/api/v1/new-project", json=body).raise_for_status().json()
    hours = {one["card"]: one["hours"] for one in made["work"]}
    assert hours["M05"] == 3 * (3 + 4 + 1)  # card M05: 3, 4 and 1 likely hours a bay
    assert "M29" not in hours
    plan = lone_client.get(f"/api/v1/projects/{made['id']}/plan-file").json()
    assert [zone["id"] for zone in plan["zones"]] == ["whole", "pod"]


def test_method_cards_of_another_project_come_with_its_own_hours(lone_client: TestClient) -> None:
    first = lone_client.post("/api/v1/new-project", json=told(lone_client)).json()["id"]
    card = f"/api/v1/projects/{first}/cards/M01"
    known = lone_client.get(card).raise_for_status()
    steps = known.json()["steps"]
    steps[0]["hours"] = ["40", "60", "90"]
    lone_client.patch(
        card,
        json={"steps": steps, "from_memory": False},
        headers={"If-Match": known.headers["etag"]},
    ).raise_for_status()
    body = told(lone_client, cards_of=first)
    second = lone_client.post("/api/v1/new-project", json=body).raise_for_status().json()
    hours = {one["card"]: one["hours"] for one in second["work"]}
    assert hours["M01"] == 60 + 4 + 9  # its first step as the shop has it, the others as shipped


def test_cards_that_a_project_has_retired_stay_there_unless_every_aircraft_needs_them(
    lone_client: TestClient,
) -> None:
    first = lone_client.post("/api/v1/new-project", json=told(lone_client)).json()["id"]
    for key in ("M06", "M01"):
        card = f"/api/v1/projects/{first}/cards/{key}"
        etag = lone_client.get(card).headers["etag"]
        lone_client.patch(
            card, json={"retired": True}, headers={"If-Match": etag}
        ).raise_for_status()
    body = told(lone_client, cards_of=first)
    second = lone_client.post("/api/v1/new-project", json=body).raise_for_status().json()["id"]
    cards = lone_client.get(f"/api/v1/projects/{second}/plan-file").json()["cards"]
    known = {card["id"]: card for card in cards}
    assert "M01" in known
    assert "M06" not in known
    assert known["M13"]["after_cards"] == ["M05", "M07", "M08"]


def test_what_of_the_budget_is_not_shared_out_stands_in_one_line_of_the_whole(
    lone_client: TestClient,
) -> None:
    """No chapter but its own is over it: 180,000 less 40,000 for 53; the crew costs 50 an hour."""
    body = told(
        lone_client,
        shares=[{"chapter": "53", "amount": "40000"}],
        rates={"metal": "50", "engine": "50", "insp": "60"},
    )
    made = lone_client.post("/api/v1/new-project", json=body).raise_for_status().json()["id"]
    root = f"/api/v1/projects/{made}"
    plan = lone_client.get(f"{root}/plan-file").json()
    assert [(one["chapter"], one["amount"]) for one in plan["budget"]] == [
        ("53", "40000"), ("whole", "140000"),
    ]  # fmt: skip
    assert {one["rate"] for one in plan["crew"] if one["trade"] in {"metal", "engine"}} == {"50"}
    money = lone_client.get(f"{root}/money").raise_for_status().json()
    chapters = {one["chapter"] or one["title"]: one for one in money["chapters"]}
    assert money["budget"] == "180000.00"
    assert chapters["Whole project, not yet shared out"]["budget"] == "140000.00"
    assert {key for key, one in chapters.items() if one["is_agreed"]} == {"53"}
    assert float(chapters["90"]["expected"]) > 0
    whole = body | {"shares": [], "budget": None}
    other = lone_client.post("/api/v1/new-project", json=whole).raise_for_status().json()["id"]
    money = lone_client.get(f"/api/v1/projects/{other}/money").json()
    assert all(one["is_agreed"] for one in money["chapters"])


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("name", {"name": "  "}),
        ("budget", {"budget": "10", "shares": [{"chapter": "53", "amount": "10.01"}]}),
        (
            "shares[1].chapter",
            {"shares": [{"chapter": "53", "amount": "1"}, {"chapter": "53", "amount": "2"}]},
        ),
        ("shares[0].amount", {"shares": [{"chapter": "53", "amount": "-1"}]}),
        ("rates.glider", {"rates": {"glider": "5"}}),
        ("rates.metal", {"rates": {"metal": "-5"}}),
        ("airframe", {"airframe": "glider"}),
        ("rule_book", {"rule_book": "none"}),
        ("zones", {"zones": [{"id": "tail", "name": "Tail", "bays": 1}]}),
        ("zones[1].name", {"zones": [{"id": "whole", "name": "All"}, {"id": "x", "name": ""}]}),
        ("zones[0].bays", {"zones": [{"id": "whole", "name": "All", "bays": -1}]}),
        (
            "zones[1].id",
            {"surfaces": [], "zones": [{"id": "whole", "name": "A"}, {"id": "whole", "name": "B"}]},
        ),
        ("surfaces[0].zone", {"surfaces": [{"id": "M29.x", "name": "Rudder", "zone": "keel"}]}),
        ("calendars[0].week", {"week": [0, 0, 0, 0, 0, 0, 0]}),
        ("calendars[0].week", {"week": [8, 8]}),
        ("calendars[0].holidays", {"holidays": "XQ"}),
        ("calendars[0].closed[0]", {"closed": [["2026-08-14", "2026-08-03"]]}),
        ("currency", {"currency": "DEM"}),
        ("budget", {"budget": "-1"}),
        ("budget", {"budget": "a lot"}),
        ("standing_per_month", {"standing_per_month": "-0.01"}),
        ("target_finish", {"target_finish": "2026-02-02"}),
        ("cards_of", {"cards_of": 99}),
        ("places[1].id", {"places": [{"id": "jig", "name": "A"}, {"id": "jig", "name": "B"}]}),
    ],
)
def test_what_makes_no_sense_is_refused_by_its_field_and_nothing_is_stored(
    shared_client: TestClient, field: str, changes: dict[str, Any]
) -> None:
    refused = shared_client.post("/api/v1/new-project", json=told(shared_client) | changes)
    assert (refused.status_code, refused.json()["field"]) == (422, field), refused.text
    assert shared_client.get("/api/v1/projects").json() == {"projects": []}


@pytest.mark.parametrize(
    ("field", "line"),
    [
        ("crew[1].label", {"label": " "}),
        ("crew[1].label", {"label": "Metalworker 1"}),
        ("crew[1].trades", {"trades": []}),
        ("crew[1].trades", {"trades": ["wood", "wood"]}),
        ("crew[1].people", {"people": 0}),
        ("crew[1].hours", {"hours": [0, 0, 0, 0, 0, 0, 0]}),
        ("crew[1].hours", {"hours": [25, 0, 0, 0, 0, 0, 0]}),
        ("crew[1].hours", {"hours": [8]}),
        ("crew[1].rate", {"rate": "-5"}),
    ],
)
def test_people_who_cannot_be_are_refused_by_their_line(
    shared_client: TestClient, field: str, line: dict[str, Any]
) -> None:
    body = told(shared_client)
    body["crew"][1] |= line
    refused = shared_client.post("/api/v1/new-project", json=body)
    assert (refused.status_code, refused.json()["field"]) == (422, field), refused.text
    assert shared_client.get("/api/v1/projects").json() == {"projects": []}


def test_a_trade_that_nobody_has_is_told_and_planned_on_the_shops_calendar(
    lone_client: TestClient,
) -> None:
    body = told(lone_client, crew=[{"label": "A", "trades": ["metal"], "hours": [8] * 7}])
    begun = lone_client.post("/api/v1/new-project", json=body).raise_for_status().json()
    assert any('"engine"' in sentence for sentence in begun["problems"])
    assert begun["finish"] > "2026-02-02"


def test_a_start_that_is_to_come_is_the_as_of_date_and_an_earlier_one_is_not(
    lone_client: TestClient,
) -> None:
    later = told(lone_client, start="2026-03-02", target_finish=None)
    earlier = told(lone_client, start="2025-11-03", target_finish=None)
    dates = []
    for body in (later, earlier):
        made = lone_client.post("/api/v1/new-project", json=body).raise_for_status().json()
        project = lone_client.get(f"/api/v1/projects/{made['id']}").json()
        dates.append((project["start"], project["as_of"]))
    assert dates == [("2026-03-02", "2026-03-02"), ("2025-11-03", "2026-02-02")]


def test_the_owner_begins_no_project(lone_client: TestClient) -> None:
    body = told(lone_client)
    lone_client.put("/api/v1/session", json={"role": "owner"}).raise_for_status()
    assert lone_client.post("/api/v1/new-project", json=body).status_code == 403
    assert lone_client.get("/api/v1/projects").json() == {"projects": []}
