"""The schedule in short, and its activities a page at a time, against the whole of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.api.asking import Api, assert_problem, small_plan

ORDERS: dict[str, Callable[[dict[str, Any]], Any]] = {
    "zone": lambda one: one["zone_name"].casefold() if one["zone"] else "",
    "trade": lambda one: one["trade"],
    "state": lambda one: one["state"],
    "start": lambda one: one["start"],
    "finish": lambda one: one["finish"],
    "likely": lambda one: one["spread"] and one["spread"]["p50"],
    "by80": lambda one: one["spread"] and one["spread"]["p80"],
    "float": lambda one: None if one["state"] == "done" else one["total_float_days"],
    "criticality": lambda one: one["criticality"],
}  # fmt: skip
"""What each order goes by, of the lines of the whole schedule."""


@pytest.fixture(scope="module")
def whole(settled_demo: Api) -> list[dict[str, Any]]:
    """Return every activity of the demo, with the name of its zone."""
    shown = settled_demo.read("/schedule")
    names = {one["id"]: one["name"] for one in shown["zones"]}
    return [one | {"zone_name": names.get(one["zone"], "")} for one in shown["activities"]]


def text(one: dict[str, Any]) -> str:
    """Return what a search looks through."""
    state = one["state"].replace("_", " ")
    parts = (one["id"], one["name"], one["zone_name"], one["trade"] or "", state)
    return " ".join(parts).casefold()


def ids(lines: list[dict[str, Any]]) -> list[str]:
    return [one["id"] for one in lines]


def test_pages_put_together_are_the_whole_schedule(
    settled_demo: Api, whole: list[dict[str, Any]]
) -> None:
    pages = [settled_demo.read(f"/activities?limit=150&offset={at}") for at in range(0, 600, 150)]
    lines = [one for page in pages for one in page["activities"]]
    assert [len(page["activities"]) for page in pages[:2]] == [150, 150]
    assert {page["total"] for page in pages} == {len(whole)}
    assert lines == [{key: one[key] for key in lines[0]} for one in whole]


def test_the_filters_hold_together(settled_demo: Api, whole: list[dict[str, Any]]) -> None:
    def found(query: str) -> list[str]:
        page = settled_demo.read(f"/activities?limit=1000&{query}")
        assert page["total"] == len(page["activities"])
        return ids(page["activities"])

    legs = [one for one in whole if one["kind"] == "leg"]
    assert found("kind=leg") == ids(legs)
    tail = [one for one in whole if one["zone"] == "tail"]
    assert found("zone=tail") == ids(tail)
    metal = [one for one in tail if one["trade"] == "metal"]
    assert found("zone=tail&trade=metal") == ids(metal)
    spars = [one for one in metal if "spar" in one["name"].casefold()]
    assert found("zone=tail&trade=metal&q=SPAR") == ids(spars)
    for some in (legs, tail, metal):
        assert 0 < len(some) < len(whole)


def test_words_are_looked_for_in_id_name_zone_trade_and_state(
    settled_demo: Api, whole: list[dict[str, Any]]
) -> None:
    for words in ("left wing held", "not started fabric", "rib", "no such work at all"):
        page = settled_demo.read(f"/activities?limit=1000&q={words}")
        assert ids(page["activities"]) == [
            one["id"] for one in whole if all(word in text(one) for word in words.split())
        ]


@pytest.mark.parametrize("order", ORDERS)
def test_a_page_is_of_the_whole_in_order(
    settled_demo: Api, whole: list[dict[str, Any]], order: str
) -> None:
    """What has no value stands last either way; equal ones stay in the plan's order."""
    value = ORDERS[order]
    known = [one for one in whole if value(one) is not None]
    unknown = [one for one in whole if value(one) is None]
    for descending in (False, True):
        expected = [*sorted(known, key=value, reverse=descending), *unknown]
        query = f"sort={order}&descending={descending}&limit=60&offset=20"
        page = settled_demo.read(f"/activities?{query}")
        assert ids(page["activities"]) == ids(expected)[20:80]


def test_names_are_sorted_as_people_count(lone_client: TestClient) -> None:
    """Rib 9 before rib 10: digits count as the number that they are. É stands beside e."""
    names = ["rib 10", "Rib 9", "Flap", "Eye", "Élevon"]
    tasks = [{"id": f"T{at}", "name": name, "days": 1} for at, name in enumerate(names)]
    api = Api(lone_client, small_plan() | {"tasks": tasks, "links": [], "send_outs": []})
    shown = api.read("/activities?sort=name")["activities"]
    assert [one["name"] for one in shown] == ["Élevon", "Eye", "Flap", "Rib 9", "rib 10"]


def test_names_to_choose_from_are_those_of_the_schedule(
    settled_demo: Api, whole: list[dict[str, Any]]
) -> None:
    page = settled_demo.read("/activities/names?limit=5000")
    same = ("id", "name", "kind", "trade", "state", "milestone", "finish")
    assert page["total"] == len(whole)
    assert page["activities"] == [
        {key: one[key] for key in same} | {"zone": one["zone_name"]} for one in whole
    ]
    some = settled_demo.read("/activities/names?kind=task&q=spar&limit=3&offset=1")
    spars = [one for one in whole if one["kind"] == "task" and "spar" in text(one)]
    assert ids(some["activities"]) == ids(spars)[1:4]
    assert some["total"] == len(spars) > 4


def test_the_outline_tells_what_the_whole_schedule_does(
    settled_demo: Api, whole: list[dict[str, Any]]
) -> None:
    outline, shown = settled_demo.read("/schedule/outline"), settled_demo.read("/schedule")
    for key in ("plan_version", "finish", "as_of", "zones", "critical_path", "near_critical"):
        assert outline[key] == shown[key]
    assert outline["is_sure"]
    assert outline["activities"] == len(whole)
    assert outline["open"] == sum(one["state"] != "done" for one in whole)
    assert outline["trades"] == sorted({one["trade"] for one in whole if one["trade"]})
    chains = [shown["critical_path"], *(one["activities"] for one in shown["near_critical"])]
    assert len(outline["steps"]) == len({one for chain in chains for one in chain})
    lines = {one["id"]: one | {"zone": one["zone_name"]} for one in whole}
    for step in outline["steps"]:
        assert step == {key: lines[step["id"]][key] for key in step}


def test_a_task_tells_how_sure_its_end_is(settled_demo: Api, whole: list[dict[str, Any]]) -> None:
    known = next(one for one in whole if one["kind"] == "task" and one["spread"])
    done = next(one for one in whole if one["kind"] == "task" and one["state"] == "done")
    for one in (known, done):
        task = settled_demo.read(f"/tasks/{one['id']}")
        assert (task["spread"], task["criticality"]) == (one["spread"], one["criticality"])


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("sort=colour", "sort"),
        ("kind=hammock", "kind"),
        ("limit=1001", "limit"),
        ("offset=-1", "offset"),
    ],
)
def test_a_page_that_makes_no_sense_is_refused(settled_demo: Api, query: str, field: str) -> None:
    assert_problem(settled_demo.get(f"/activities?{query}"), 422, field)
