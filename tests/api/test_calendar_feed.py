"""Dates for a calendar that is kept elsewhere, by the rules of RFC 5545."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from icalendar import Calendar, Component
from starlette.testclient import TestClient

from ribstitch.assets import seed_folder
from ribstitch.clock import StoppedClock
from tests.api.asking import Api, assert_problem
from tests.api.conftest import NOW
from tests.api.money_plans import money_plan


@pytest.fixture
def taken_in() -> dict[str, Any]:
    """A plan that has money in it."""
    return money_plan()


@pytest.fixture
def demo(lone_client: TestClient) -> Api:
    """Return a client with a demo project of its own, simulated."""
    plan = json.loads((seed_folder() / "garganey.plan.json").read_text(encoding="utf-8"))
    api = Api(lone_client, plan)
    api.settle()
    return api


def text_of(api: Api, role: str) -> str:
    """Return a calendar as it is sent."""
    answer = api.get(f"/calendar.ics?role={role}")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    return answer.content.decode("utf-8")


def events_of(api: Api, role: str) -> dict[str, Component]:
    """Return the entries of a calendar by key, read with the library."""
    calendar = Calendar.from_ical(text_of(api, role))
    events = {str(one["uid"]).partition("@")[0]: one for one in calendar.walk("VEVENT")}
    assert len(events) == len(calendar.walk("VEVENT"))
    return events


def starts(events: dict[str, Component], kind: str) -> dict[str, str]:
    """Return the first date of each entry of one kind, by what it is about."""
    return {
        key.removeprefix(f"{kind}/"): one.decoded("dtstart").isoformat()
        for key, one in events.items()
        if key.startswith(f"{kind}/")
    }


def test_calendar_keeps_the_line_rules_of_rfc_5545(demo: Api) -> None:
    """Sections 3.1 (CR LF, 75 octets), 3.4 and 3.6.1 (what has to be there)."""
    long = "Žluté křídlo, „hotové“; \\ a tak dál\nx " * 9
    renamed = demo.patch("/tasks/first_flight", {"name": long})
    assert renamed.status_code == 200, renamed.text
    text = text_of(demo, "planner")
    assert text.endswith("END:VCALENDAR\r\n")
    assert not re.search(r"(?<!\r)\n|\r(?!\n)", text)
    lines = text.split("\r\n")
    assert max(len(line.encode()) for line in lines) <= 75
    assert any(line.startswith(" ") for line in lines)
    whole = re.sub(r"\r\n[ \t]", "", text).split("\r\n")
    assert whole[:3] == ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Ribstitch//Ribstitch//EN"]
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT6H" in whole
    count = whole.count("BEGIN:VEVENT")
    assert count > 10
    for name in ("UID:", "DTSTAMP:", "DTSTART;VALUE=DATE:", "DTEND;VALUE=DATE:", "SEQUENCE:"):
        in_events = whole[whole.index("BEGIN:VEVENT") :]
        assert sum(line.startswith(name) for line in in_events) == count, name
    escaped = long.replace("\n", " ").replace("\\", "\\\\").replace(",", "\\,").replace(";", "\\;")
    assert f"SUMMARY:Milestone: {escaped}" in whole


def test_lead_keeps_when_items_are_needed_and_promised_and_when_the_inspector_comes(
    settled_demo: Api,
) -> None:
    events = events_of(settled_demo, "lead")
    board = settled_demo.read("/away")["send_outs"]
    assert starts(events, "need-by") == {
        one["id"]: one["need_by"] for one in board if one["need_by"]
    }
    assert starts(events, "promised") == {
        one["id"]: one["promised"]
        for one in board
        if one["promised"] and not one["left_vendor"] and not one["accepted"]
    }
    work = {
        one["id"]: one
        for one in settled_demo.read("/schedule")["activities"]
        if one["trade"] == "insp" and one["state"] not in {"done", "dropped"}
    }
    assert starts(events, "inspection") == {key: one["start"] for key, one in work.items()}
    for key, one in work.items():
        after = events[f"inspection/{key}"].decoded("dtend") - timedelta(days=1)
        assert after.isoformat() == one["finish"]
    assert_milestones(settled_demo, events)
    assert {key.partition("/")[0] for key in events} == {
        "need-by", "promised", "inspection", "milestone",
    }  # fmt: skip


def assert_milestones(api: Api, events: dict[str, Component]) -> None:
    """Check that all milestones of the owner's page are there."""
    milestones = api.read("/forecast")["milestones"]
    assert starts(events, "milestone") == {one["id"]: one["finish"] for one in milestones}


def test_owner_keeps_decisions_cash_that_falls_due_and_the_likely_finish(settled_demo: Api) -> None:
    """What falls due adds up, currency by currency, to what the Money sheet says is committed."""
    events, money = events_of(settled_demo, "owner"), settled_demo.read("/money")
    asked = starts(events, "decision")
    assert set(asked) == {one["key"] for one in money["decisions"]}
    assert set(asked.values()) == {money["as_of"]}
    waiting = settled_demo.read("/forecast")["waiting_for_owner"]
    assert set(starts(events, "price")) == {one["id"] for one in waiting}
    sums: defaultdict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for key, one in events.items():
        if key.startswith("due/"):
            amount, currency = str(one["summary"]).split()[1:3]
            sums[f"{one.decoded('dtstart'):%Y-%m}", currency] += Decimal(amount)
    committed = {
        (month["month"], one["currency"]): Decimal(one["amount"])
        for month in money["cash"]["months"]
        for one in month["committed_in"]
    }
    assert committed
    assert {key: value for key, value in sums.items() if value} == committed
    finish = settled_demo.read("/simulation")["result"]["finish"]
    assert starts(events, "finish") == {"likely": finish["p50"], "80": finish["p80"]}
    assert_milestones(settled_demo, events)


def test_planner_keeps_the_dates_of_both(settled_demo: Api) -> None:
    both = events_of(settled_demo, "lead") | events_of(settled_demo, "owner")
    planner = events_of(settled_demo, "planner")
    assert set(planner) == set(both)
    assert all(planner[key]["summary"] == one["summary"] for key, one in both.items())


def test_entries_keep_their_names_while_the_plan_moves(lone_api: Api) -> None:
    before, again = text_of(lone_api, "lead"), text_of(lone_api, "lead")
    assert before == again
    old = events_of(lone_api, "lead")
    tomorrow = NOW + timedelta(days=1)
    lone_api.client.app.state.service.clock = StoppedClock(tomorrow)  # type: ignore[attr-defined]
    assert lone_api.patch("/tasks/T3", {"days": 60}).status_code == 200
    new = events_of(lone_api, "lead")
    assert set(new) == set(old)
    assert new["milestone/T5"]["uid"] == old["milestone/T5"]["uid"]
    assert new["milestone/T5"].decoded("dtstart") > old["milestone/T5"].decoded("dtstart")
    assert new["milestone/T5"].decoded("sequence") == old["milestone/T5"].decoded("sequence") + 1
    assert old["milestone/T5"].decoded("dtstamp") == NOW
    assert new["milestone/T5"].decoded("dtstamp") == tomorrow


def test_likely_dates_are_left_out_until_they_are_known_and_other_roles_refused(
    lone_api: Api,
) -> None:
    service: Any = lone_api.client.app.state.service  # type: ignore[attr-defined]
    service.simulations.current = lambda _: type("Running", (), {"result": None})
    assert starts(events_of(lone_api, "owner"), "finish") == {}
    assert_problem(lone_api.get("/calendar.ics?role=pilot"), 422, "pilot")
