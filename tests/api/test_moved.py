"""What moved since an earlier plan: causes that add up, each with the changes behind it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from tests.api.asking import Api, assert_problem, what_moved

LATE = {"lead_days": 55}


def change(api: Api) -> None:
    """Make the engine late, the fin longer, and add a dear cost line; then move the clock on."""
    assert api.patch("/send-outs/S1", LATE).status_code == 200
    assert api.patch("/tasks/T3", {"days": 12}).status_code == 200
    line = {"id": "C9", "name": "Rent", "amount": "350.00", "currency": "EUR"}
    assert api.post("/costs", line).status_code == 201
    assert api.patch("", {"as_of": "2026-02-03"}).status_code == 200


def test_each_cause_names_what_moved_and_the_changes_behind_it(api: Api) -> None:
    """
    By hand: 15 more working days at the vendor are 3 weeks; T3 has float and moves nothing.

    The causes add up to what the two plans say by themselves.
    """
    before = api.read("/forecast")["finish"]
    change(api)
    found = what_moved(api, 1)
    moved = found["moved"]
    assert (moved["finish_before"], moved["finish"]) == (before, api.read("/forecast")["finish"])
    assert sum(one["days"] for one in found["causes"]) == moved["days"] == 21
    amounts = sum(Decimal(one["amount"]) for one in found["causes"])
    assert amounts == Decimal(moved["moved"])
    engine, prices = found["causes"]
    assert (engine["kind"], engine["id"], engine["days"]) == ("item", "S1", 21)
    assert engine["what"] == "Engine (Invented Engines): late"
    (behind,) = engine["changes"]
    log = api.read("/changes")["changes"]
    logged = next(one for one in log if one["number"] == behind["number"])
    assert (logged["kind"], logged["key"]) == ("send_out", "S1") == (behind["kind"], behind["key"])
    assert (behind["who"], behind["at"][:16]) == (logged["who"], logged["at"][:16])
    assert behind["fields"] == ["lead_days"]
    assert (prices["kind"], prices["amount"], prices["changes_count"]) == ("prices", "350.00", 1)
    assert found["is_exact"]


def test_a_date_and_a_version_of_then_say_the_same(api: Api) -> None:
    change(api)
    assert what_moved(api, "2026-02-02")["causes"] == what_moved(api, 4)["causes"] == []
    assert what_moved(api, "2025-01-01") == what_moved(api, 1)


def likely_date(api: Api) -> date:
    """Return the likely date of the plan as it is now, once it is simulated."""
    api.settle()
    return date.fromisoformat(api.read("/simulation")["result"]["finish"]["p50"])


def test_the_causes_and_how_sure_it_is_add_up_to_the_likely_date(lone_api: Api) -> None:
    """What became less certain moves the likely date alone; both are told by `/simulation`."""
    first = likely_date(lone_api)
    change(lone_api)
    second = likely_date(lone_api)
    assert lone_api.patch("/tasks/T4", {"days_range": [2, 3, 90]}).status_code == 200
    third = likely_date(lone_api)
    assert first < second < third
    for since, before in ((1, first), (5, second)):
        found = what_moved(lone_api, since)
        written, likely = sum(one["days"] for one in found["causes"]), found["likely"]
        assert written == found["moved"]["days"]
        assert (likely["before"], likely["now"]) == (before.isoformat(), third.isoformat())
        assert written + likely["surer_days"] == likely["days"] == (third - before).days
    assert found["causes"] == []
    assert likely["sentence"] == (
        f"The likely date moved from {second} to {third}, {(third - second).days} days later."
    )


def test_what_was_taken_back_is_no_cause(api: Api) -> None:
    assert api.patch("/send-outs/S1", LATE).status_code == 200
    back = api.post("/undo", {"kind": "send_out", "key": "S1"})
    assert back.status_code == 200, back.text
    found = what_moved(api, 1)
    assert (found["causes"], found["moved"]["days"]) == ([], 0)


def test_since_when_has_to_be_a_date_or_a_version(api: Api) -> None:
    assert_problem(api.get("/moved?since=soon"), 422, "since", '"soon" is neither a date')
    assert_problem(api.get("/moved?since=9"), 422, "9 is no version of this plan, which is at 1")
    assert_problem(api.get("/moved"), 422, "since")


def test_a_plan_in_another_currency_is_not_compared(api: Api) -> None:
    assert api.patch("", {"currency": "GBP"}).status_code == 200
    answer = api.read("/moved?since=1")
    assert answer["state"] == "failed"
    assert answer["reason"] == "The plan was reckoned in EUR then and is in GBP now."
