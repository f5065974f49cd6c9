"""Late curves, cases, charts."""

from __future__ import annotations

import json
from typing import Any

import pytest

from ribstitch.planfile import parse_plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.whatif import VendorLate, apply_changes
from tests.api.asking import Api, assert_problem, small_plan


def late(vendor: str, days: float) -> dict[str, Any]:
    return {"kind": "vendor_late", "vendor": vendor, "days": days}


def test_late_curve_is_what_re_scheduling_gives(api: Api) -> None:
    curve = api.read("/late-curve?vendor=V1&days=60")
    plan = parse_plan(json.dumps(small_plan()).encode(), "small")
    base = schedule(plan).finish_on
    assert curve["days"] == list(range(61))
    for days in (0, 1, 17, 60):
        finish = apply_changes(plan, [VendorLate("V1", days)]).schedule().finish_on
        assert curve["finish"][days] == finish.isoformat()
        assert curve["moved_days"][days] == (finish - base).days
    within = int(curve["grace_days"])
    assert curve["moved_days"][within] == 0


def test_late_curve_wants_one_vendor_or_one_item(api: Api) -> None:
    assert api.read("/late-curve?send_out=S2&days=3")["days"] == [0, 1, 2, 3]
    assert_problem(api.get("/late-curve"), 422, "vendor")
    assert_problem(api.get("/late-curve?vendor=V1&send_out=S1"), 422, "vendor")
    assert_problem(api.get("/late-curve?vendor=V9"), 404, '"V9"')
    assert_problem(api.get("/late-curve?vendor=V1&days=-1"), 422, "days", "-1")
    assert_problem(api.get("/late-curve?vendor=V1&days=100000"), 422, "days", "100000")


def test_cases_stand_beside_the_plan_and_store_nothing(api: Api) -> None:
    cases = [
        {"name": "Engine late", "changes": [late("V1", 30)]},
        {"changes": [{"kind": "task_dropped", "task": "T3"}]},
        {
            "name": "Saturdays",
            "changes": [
                {
                    "kind": "extra_days",
                    "calendar": "v1",
                    "weekday": 5,
                    "first": "2026-02-02",
                    "last": "2026-06-30",
                    "hours": 8,
                }
            ],
        },
        {"changes": [{"kind": "bought_as_exchange", "send_out": "S1", "lead_days": 5}]},
        {
            "changes": [
                {"kind": "vendor_swapped", "send_out": "S2", "vendor": "V1", "lead_days": 20}
            ]
        },
        {"changes": [{"kind": "send_out_late", "send_out": "S2", "days": 3}]},
    ]
    answer = api.post("/cases", {"cases": cases})
    assert answer.status_code == 200, answer.text
    compared = answer.json()
    finish = compared["plan"]["finish"]
    assert finish == api.read("/schedule")["finish"]
    assert compared["plan"]["critical_path"][-1] == "T5"
    moved = [case["moved_days"] for case in compared["cases"]]
    curve = api.read("/late-curve?vendor=V1&days=30")
    assert moved[0] == curve["moved_days"][30] > 0
    assert moved[2] < 0
    assert moved[3] < 0
    assert compared["cases"][0]["milestones"] == [
        {
            "id": "T5",
            "name": "Ready to fly",
            "plan": finish,
            "case": compared["cases"][0]["finish"],
            "moved_days": moved[0],
        }
    ]
    assert api.plan_version == 1


def test_every_kind_of_sentence_is_understood(api: Api) -> None:
    """Each is taken to the planning core: it answers for what it names, or refuses its value."""
    changes: list[dict[str, Any]] = [
        {"kind": "task_takes", "task": "T3", "days": 30},
        {"kind": "task_not_before", "task": "T5", "on": "2026-12-01"},
        {"kind": "one_more_hand", "trade": "metal", "first": "2026-03-02"},
        {"kind": "trade_away", "trade": "metal", "first": "2026-03-02", "last": "2026-09-30"},
        {"kind": "trade_days", "trade": "metal", "weekday": 5, "first": "2026-02-02",
         "last": "2026-06-30"},
        {"kind": "trade_slower", "trade": "metal", "percent": 50},
        {"kind": "zone_slower", "zone": "tail", "percent": 50},
    ]  # fmt: skip
    answer = api.post("/cases", {"cases": [{"changes": [one]} for one in changes]})
    assert answer.status_code == 200, answer.text
    moved = [case["moved_days"] for case in answer.json()["cases"]]
    assert moved[0] > 0
    assert moved[1] > 0
    assert moved[2] <= 0
    refused = [
        ({"kind": "wait_dropped", "task": "T3", "before": "T5"}, "does not wait"),
        ({"kind": "risk_settled", "risk": "R9", "strikes": True}, '"R9"'),
        ({"kind": "trade_days", "trade": "metal", "weekday": 5}, "first"),
    ]
    for change, part in refused:
        assert_problem(api.post("/cases", {"cases": [{"changes": [change]}]}), 422, part)


@pytest.mark.parametrize(
    ("changes", "status", "parts"),
    [
        ([late("V9", 3)], 422, ("cases[0].changes[0].vendor", '"V9"')),
        ([late("V1", -3)], 422, ("cases[0].changes[0].days", "-3")),
        ([{"kind": "vendor_early"}], 422, ("cases[0].changes[0]", "vendor_early")),
        ([{"kind": "vendor_late", "vendor": "V1"}], 422, ("days", "missing")),
        ([{"kind": "vendor_swapped", "send_out": "S1", "vendor": "V2"}], 422, ("S1", "left")),
        ([{"kind": "task_dropped", "task": "T1"}], 422, ("T1", "done already")),
    ],
)
def test_case_that_cannot_be_names_its_place(
    api: Api, changes: list[dict[str, Any]], status: int, parts: tuple[str, ...]
) -> None:
    assert_problem(api.post("/cases", {"cases": [{"changes": changes}]}), status, *parts)


def test_cases_are_limited(api: Api) -> None:
    assert_problem(api.post("/cases", {"cases": []}), 422, "cases")
    assert_problem(api.post("/cases", {"cases": [{"changes": []}] * 13}), 422, "cases")


def test_owner_may_ask_what_if(api: Api) -> None:
    api.be("owner")
    assert api.post("/cases", {"cases": [{"changes": [late("V1", 1)]}]}).status_code == 200


@pytest.mark.parametrize(
    "chart",
    [
        "schedule",
        "schedule?zone=tail&from=2026-02-01&to=2026-03-31",
        "schedule?trade=metal",
        "late-curve?vendor=V1&days=40",
        "late-curve?send_out=S1",
        "forecast-log",
        "away",
    ],
)
def test_chart_is_a_figure_that_plotly_takes(api: Api, chart: str) -> None:
    from plotly.graph_objects import Figure

    figure = api.read(f"/charts/{chart}")
    assert Figure(figure).data


def test_chart_refuses_what_it_cannot_draw(api: Api) -> None:
    assert_problem(api.get("/charts/pie"), 404, "/charts/pie")
    assert_problem(api.get("/charts/schedule?from=31-12-2026"), 422, "from")
    assert_problem(api.get("/charts/schedule?to=9999-12-31"), 422, "to", "9999-12-31")
    assert_problem(api.get("/charts/late-curve?vendor=V9"), 404, '"V9"')
