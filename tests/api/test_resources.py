"""Calendars, vendors, crew, zones, places, expedites, risks, kinds of send-outs, rates."""

from __future__ import annotations

import pytest

from tests.api.asking import Api, assert_problem, small_plan, take_in

EDITS = [
    ("calendars", "calendar", "shop", {"closed": [["2026-03-02", "2026-03-06"]]}),
    ("vendors", "vendor", "V1", {"country": "IE", "currency": "EUR", "kinds": ["engine"]}),
    ("crew", "crew", "metal", {"people": 2}),
    ("zones", "zone", "tail", {"name": "Tail and rudder"}),
    ("places", "place", "booth", {"capacity": 2}),
    ("risks", "risk", "R1", {"probability": 0.5, "impact_days_range": [1, 2.5, 8], "closed": True}),
    (
        "kinds",
        "send_out_kind",
        "engine",
        {"name": "Engines", "over_p90": 2.5, "growth_median": 1.2, "growth_p90": 1.6},
    ),
    ("exchange-rates", "exchange_rate", "GBP 2026-01-05", {"rate": "1.14"}),
    ("crew", "crew", "engine", {"rate": "46.00"}),
    ("zones", "zone", "wing", {"hidden_work_percent": 25, "opened_by": "T2"}),
    (
        "vendors",
        "vendor",
        "V2",
        {
            "history": [
                {
                    "kind": "engine",
                    "quoted_days": 20,
                    "actual_days": 25.5,
                    "ordered": "2025-03-03",
                    "trips": 2,
                    "promised_days": 24,
                    "quoted_price": "4600.50",
                    "final_price": "5120",
                }
            ]
        },
    ),
]


@pytest.mark.parametrize(("plural", "kind", "key", "edit"), EDITS)
def test_thing_is_listed_looked_at_and_edited(
    api: Api, plural: str, kind: str, key: str, edit: dict[str, object]
) -> None:
    lines = {line["key"]: line for line in api.read(f"/{plural}")[plural.replace("-", "_")]}
    one = api.get(f"/{plural}/{key}")
    assert one.json() == lines[key]
    assert one.headers["etag"] == '"1"'
    done = api.patch(f"/{plural}/{key}", edit)
    assert done.status_code == 200, done.text
    after = {**lines[key], **edit, "version": 2}
    assert done.json()[kind] == after
    assert done.headers["etag"] == '"2"'
    assert api.read(f"/{plural}/{key}") == after


@pytest.mark.parametrize(("plural", "kind", "key", "edit"), EDITS)
def test_unknown_thing_is_one_sentence(
    either_api: Api, plural: str, kind: str, key: str, edit: dict[str, object]
) -> None:
    name = kind.replace("_", "-")
    assert_problem(either_api.get(f"/{plural}/none"), 404, f'no {name} "none"')
    assert_problem(either_api.patch(f"/{plural}/none", edit), 404, f'no {name} "none"')
    assert either_api.plan_version == 1


def test_a_closed_week_moves_the_finish(api: Api) -> None:
    closed = {"closed": [["2026-02-02", "2026-05-29"]]}
    finish = api.patch("/calendars/shop", closed).json()["finish"]
    assert finish["moved_days"] > 50
    assert finish["after"] == api.read("/schedule")["finish"]


def test_the_id_of_a_thing_stays(api: Api) -> None:
    assert_problem(api.patch("/vendors/V1", {"id": "V9"}), 422, "id", "stays as it is")
    assert api.patch("/vendors/V1", {"id": "V1", "name": "Same"}).status_code == 200


@pytest.mark.parametrize(
    ("path", "edit", "parts"),
    [
        ("/calendars/shop", {"week": [0, 0, 0, 0, 0, 0, 0]}, ("shop", "no working day")),
        ("/calendars/shop", {"closed": [["2026-03-06", "2026-03-02"]]}, ("closed", "before")),
        ("/calendars/shop", {"holidays": "XX"}, ("holidays", '"XX"')),
        ("/calendars/shop", {"open": [{"date": "2026-02-30", "hours": 4}]}, ("2026-02-30",)),
        ("/vendors/V1", {"calendar": "none"}, ("calendar", '"none"')),
        ("/vendors/V1", {"currency": "euro"}, ("currency", "euro")),
        ("/vendors/V1", {"kinds": ["moon"]}, ("kinds", 'no kind of send-out "moon"')),
        ("/vendors/V1", {"kinds": ["engine"] * 2}, ("kinds", '"engine" is named already')),
        ("/crew/metal", {"people": -1}, ("people", "-1")),
        ("/crew/metal", {"hourly": 4}, ("hourly",)),
        ("/places/booth", {"capacity": -2}, ("capacity", "-2")),
        ("/zones/tail", {"name": 5}, ("name", "5")),
        ("/zones/tail", {"hidden_work_percent": 501}, ("hidden_work_percent", "501")),
        ("/zones/tail", {"opened_by": "T9"}, ("opened_by", '"T9"')),
        ("/crew/metal", {"rate": "-1"}, ("rate", "-1")),
        ("/crew/metal", {"rate": "much"}, ("rate", "much")),
        ("/risks/R1", {"probability": 1.5}, ("probability", "1.5")),
        ("/risks/R1", {"impact_days_range": [5, 2, 9]}, ("impact_days_range", "5, 2, 9")),
        ("/risks/R1", {"send_out": "S1"}, ("send_out", '"T3"', '"S1"')),
        ("/kinds/engine", {"over_p90": 1.2}, ("over_p90", "1.2", "1.35")),
        ("/exchange-rates/GBP 2026-01-05", {"rate": "0"}, ("rate", "0")),
        ("/exchange-rates/GBP 2026-01-05", {"on": "2026-01-06"}, ("GBP 2026-01-06",)),
        (
            "/vendors/V1",
            {"history": [{"kind": "engine", "quoted_days": 0, "actual_days": 3}]},
            ("quoted_days", "0 days"),
        ),
    ],
)
def test_an_edit_that_makes_no_sense_names_field_and_value(
    either_api: Api, path: str, edit: dict[str, object], parts: tuple[str, ...]
) -> None:
    before = either_api.read("/plan-file")
    assert_problem(either_api.patch(path, edit), 422, *parts)
    assert either_api.plan_version == 1
    assert either_api.read("/plan-file") == before


@pytest.mark.parametrize(("plural", "kind", "key", "edit"), EDITS)
def test_an_edit_is_logged_taken_back_and_brought_back(
    api: Api, plural: str, kind: str, key: str, edit: dict[str, object]
) -> None:
    first = api.read(f"/{plural}/{key}")
    second = api.patch(f"/{plural}/{key}", edit).json()[kind]
    (change,) = api.read(f"/changes?kind={kind}")["changes"]
    assert (change["action"], change["key"]) == (f"{kind}.edit", key)
    assert set(change["fields"]) == set(edit)
    assert api.post("/undo", {"kind": kind, "key": key}).status_code == 200
    assert api.read(f"/{plural}/{key}") == {**first, "version": 3}
    assert api.post("/redo", {"kind": kind, "key": key}).status_code == 200
    assert api.read(f"/{plural}/{key}") == {**second, "version": 4}


def test_fields_of_uncertainty_of_the_project_are_edited(api: Api) -> None:
    edit = {
        "work_shape": "triangular",
        "zone_spread": 0.2,
        "trade_spread": 0,
        "standing_per_month": "1450.00",
    }
    assert api.patch("", edit).status_code == 200
    project = api.read("/plan-file")["project"]
    assert {key: project[key] for key in edit} == edit
    assert_problem(api.patch("", {"zone_spread": 1.1}, 2), 422, "zone_spread", "1.1")


def test_two_crew_entries_of_one_trade_are_told_apart(api: Api) -> None:
    crew = [
        {"trade": "metal", "label": "Metalworker 1"},
        {"trade": "metal", "label": "Metalworker 2"},
    ]
    api.root = f"/api/v1/projects/{take_in(api.client, small_plan(crew=crew))}"
    first, second = api.read("/crew")["crew"]
    assert first["key"] != second["key"]
    path = f"/crew/{second['key'].replace('#', '%23')}"
    assert api.patch(path, {"people": 3}).json()["crew"]["label"] == "Metalworker 2"
    assert [one["people"] for one in api.read("/crew")["crew"]] == [1, 3]


NEW = [
    ("calendars", "calendar", {"id": "sat", "name": "Saturdays", "week": [0, 0, 0, 0, 0, 6, 0]}),
    ("places", "place", {"id": "jig", "name": "Wing jig", "capacity": 2}),
    (
        "expedites",
        "expedite",
        {
            "id": "X1",
            "name": "Evenings on the fin",
            "kind": "overtime",
            "task": "T3",
            "gains_days": 2,
            "cost": "150.00",
            "by_the_day": True,
        },
    ),
    ("crew", "crew", {"trade": "fabric", "label": "Metalworker 1", "calendar": "shop"}),
    (
        "vendors",
        "vendor",
        {"id": "V9", "name": "A plating shop", "currency": "EUR", "kinds": ["engine"]},
    ),
    ("zones", "zone", {"id": "mount", "name": "Engine mount"}),
]


@pytest.mark.parametrize(("plural", "kind", "new"), NEW)
def test_thing_is_added_and_taken_out_and_both_are_taken_back(
    api: Api, plural: str, kind: str, new: dict[str, object]
) -> None:
    before = api.read("/plan-file")
    done = api.post(f"/{plural}", new)
    assert done.status_code == 201, done.text
    line = done.json()[kind]
    assert new.items() <= line.items()
    assert done.headers["etag"] == f'"{line["version"]}"'
    assert api.read(f"/{plural}")[plural][-1] == line
    path = f"/{plural}/{line['key']}"
    gone = api.delete(path, line["version"])
    assert gone.status_code == 200, gone.text
    assert api.read("/plan-file") == before
    actions = [change["action"] for change in api.read(f"/changes?kind={kind}")["changes"]]
    assert actions == [f"{kind}.delete", f"{kind}.add"]
    assert api.post("/undo", {"kind": kind, "key": line["key"]}).status_code == 200
    assert new.items() <= api.read(path).items()


def test_a_second_trade_of_one_person_has_a_key_of_its_own(api: Api) -> None:
    """Same label and calendar: the same hands, as levelling reads it."""
    again = {"trade": "metal", "label": "Metalworker 1"}
    assert api.post("/crew", again).json()["crew"]["key"] == "metal#2"
    assert [one["key"] for one in api.read("/crew")["crew"]] == ["metal", "engine", "metal#2"]


@pytest.mark.parametrize(
    ("path", "new", "parts"),
    [
        ("/places", {"id": "booth"}, ("id", 'place id "booth" is used twice')),
        ("/places", {"id": " "}, ("id", "empty")),
        ("/places", {"id": "jig", "capacity": "two"}, ("capacity", "two")),
        ("/places", {"name": "Nameless"}, ("id",)),
        ("/calendars", {"id": "shop"}, ("id", '"shop" is used twice')),
        ("/calendars", {"id": "sat", "week": [0] * 7}, ("sat", "no working day")),
        ("/vendors", {"id": "V1"}, ("id", '"V1" is used twice')),
        ("/vendors", {"id": "V9", "kinds": ["moon"]}, ("kinds", 'no kind of send-out "moon"')),
        ("/zones", {"id": "tail"}, ("id", '"tail" is used twice')),
        ("/crew", {"label": "Somebody"}, ("trade",)),
        ("/crew", {"trade": "metal", "calendar": "none"}, ("calendar", '"none"')),
        (
            "/expedites",
            {"id": "X1", "task": "T3", "send_out": "S1", "gains_days": 1, "cost": "1.00"},
            ('"X1" names both a task and a send-out',),
        ),
        (
            "/expedites",
            {"id": "X1", "send_out": "S2", "leg": "intake", "gains_days": 1, "cost": "1.00"},
            ('the send-out "S2" has no leg "intake"',),
        ),
    ],
)
def test_a_new_thing_that_makes_no_sense_is_refused_in_one_sentence(
    either_api: Api, path: str, new: dict[str, object], parts: tuple[str, ...]
) -> None:
    before = either_api.read("/plan-file")
    assert_problem(either_api.post(path, new), 422, *parts)
    assert either_api.plan_version == 1
    assert either_api.read("/plan-file") == before


def test_what_is_named_elsewhere_stays(api: Api) -> None:
    """What a vendor keeps, what a task takes or lies in, and who has an order, stays."""
    vendor = 'vendors[0].calendar: "Invented Engines" still names the calendar "v1"'
    assert assert_problem(api.delete("/calendars/v1", 1), 422)["detail"] == vendor
    project = 'project.calendar: the project still names the calendar "shop"'
    assert assert_problem(api.delete("/calendars/shop", 1), 422)["detail"] == project
    assert api.patch("/tasks/T3", {"places": ["booth"]}).status_code == 200
    task = 'tasks[2].places[0]: "Rivet the fin" still names the place "booth"'
    assert assert_problem(api.delete("/places/booth", 1), 422)["detail"] == task
    assert api.read("/places/booth")["name"] == "Spray booth"
    lies = 'tasks[0].zone: "Take the engine off" still names the zone "wing"'
    assert assert_problem(api.delete("/zones/wing", 1), 422)["detail"] == lies
    order = 'send_outs[0].vendor: "Engine" still names the vendor "V1"'
    assert assert_problem(api.delete("/vendors/V1", 1), 422)["detail"] == order


def test_taking_out_asks_for_the_version_that_was_read(api: Api) -> None:
    assert_problem(api.delete("/places/booth"), 428, "If-Match")
    assert api.patch("/places/booth", {"capacity": 2}).status_code == 200
    problem = assert_problem(api.delete("/places/booth", 1), 412)
    assert problem["changes_since"][0]["fields"] == ["capacity"]
    assert api.delete("/places/booth", 2).status_code == 200
    assert_problem(api.delete("/places/booth", 3), 404, "booth")


def test_what_comes_with_the_plan_file_is_not_added_here(api: Api) -> None:
    assert api.post("/kinds", {"id": "K9", "over_median": 1, "over_p90": 2}).status_code == 405
    assert api.delete("/kinds/engine", 1).status_code == 405
