"""Cases by hand: taken away and put back, shared, kept up with the plan, made of what matters."""

from __future__ import annotations

import json
from urllib.parse import quote

import httpx
from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, open_as, wait_until_drawn
from tests.browser.test_live import change, opened
from tests.browser.test_sheets import faults

LONGER = {"name": "Longer", "changes": [{"kind": "task_takes", "task": "A", "days": 30}]}


def with_cases(page: Page, *cases: object) -> None:
    """Open the same sheet with cases in its address."""
    page.goto(f"{page.url}&cases={quote(json.dumps(cases))}")
    wait_until_drawn(page)


def test_what_is_taken_away_comes_back_and_cases_follow_what_others_do(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[1])
    root = opened(page, live_server, "what-if")
    with_cases(page, LONGER)
    head = page.get_by_role("columnheader", name="Longer")
    days, undo = page.get_by_label("Days in all"), page.get_by_role("button", name="Undo")
    expect(days).to_have_value("30")
    expect(head).to_be_visible()
    page.get_by_role("button", name="Take this change away").click()
    expect(days).to_have_count(0)
    undo.click()
    expect(days).to_have_value("30")
    page.get_by_role("button", name="Take the case away").click()
    expect(head).to_have_count(0)
    undo.click()
    expect(head).to_be_visible()
    written = page.get_by_role("row").filter(
        has=page.get_by_role("rowheader", name="Finish as written")
    )
    before = written.locator("time").first.get_attribute("datetime")
    days.fill("31")
    days.blur()
    change(root, "/tasks/B", {"days": 90}, version=1)
    expect(page.get_by_role("status").filter(has_text="in the meantime")).to_be_visible()
    expect(written.locator("time").first).not_to_have_attribute("datetime", before or "")
    expect(days).to_have_value("31")
    answer = httpx.get(f"{root}/schedule").json()["finish"]
    expect(written.locator("time").first).to_have_attribute("datetime", answer)


def test_a_shared_case_is_readable_on_a_phone_and_says_who_can_adopt_it(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[2])
    opened(page, live_server, "what-if")
    with_cases(page, LONGER, {**LONGER, "name": "The same"})
    adopt = page.get_by_role("button", name="Take it into the plan")
    expect(page.locator(".side-by-side td").first).to_be_visible()
    expect(adopt).to_have_count(0)
    sides = page.locator(".side-by-side tbody tr").first.locator("td")
    assert [one.get_attribute("data-side") for one in sides.all()] == ["Plan", "Longer", "The same"]
    seen = [one.get_attribute("datetime") for one in sides.locator("time").all()]
    tops = [(one.bounding_box() or {"y": 0})["y"] for one in sides.all()]
    assert tops == sorted(set(tops)), "one below the other, in their order"
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[2][0]
    link = page.evaluate("location.pathname + location.search")
    page.get_by_role("button", name="Copy a link to these cases").click()
    expect(page.locator("#notice")).to_have_class("notice shown")
    who = "The planner takes cases into the plan."
    for role, can_adopt in (("owner", False), ("planner", True)):
        other = open_as(open_page, role, link, SIZES[2])
        sides = other.locator(".side-by-side tbody tr").first.locator("td")
        expect(sides).to_have_count(3)
        dates = [one.get_attribute("datetime") for one in sides.locator("time").all()]
        assert dates == seen, "as whoever sent the link sees them"
        adopt = other.get_by_role("button", name="Take it into the plan")
        expect(adopt).to_have_count(2 if can_adopt else 0)
        expect(other.locator(".case").filter(has_text=who)).to_have_count(0 if can_adopt else 2)


def test_what_matters_most_becomes_a_case_by_the_keyboard(open_page: OpenPage) -> None:
    page = open_as(open_page, "planner", "/what-if", SIZES[0])
    rows = page.locator(".swing")
    expect(rows).to_have_count(10, timeout=20_000)
    expect(rows.first).to_contain_text("sooner")
    expect(rows.first).to_contain_text("later")
    assert faults(page) == []
    make = rows.first.get_by_role("button", name="Make a case of it")
    make.focus()
    make.press("Enter")
    expect(page.get_by_label("Name of the case")).to_have_value("Metal work at its worst")
    expect(page.get_by_label("Percent longer")).not_to_have_value("")
    expect(page.get_by_role("columnheader", name="Metal work at its worst")).to_be_visible()
    expect(page.get_by_role("button", name="Take it into the plan")).to_be_visible()
