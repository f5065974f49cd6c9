"""The days of lead, owner and planner by the keyboard alone: what has the focus is found by Tab."""

from __future__ import annotations

from typing import Any

import httpx
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, OpenPage
from tests.browser.journeys import answer, open_as
from tests.browser.test_states import bring_in, open_project
from tests.browser.test_taps import PLAN

STOPS = 160
FOCUSED = """() => {
  const node = document.activeElement;
  const label = node.getAttribute("aria-label") ?? node.labels?.[0]?.textContent;
  return node === document.body ? "" : (label ?? node.textContent).trim().replaceAll("\u00a0", " ");
}"""


def reach(page: Page, name: str, key: str = "Tab") -> None:
    """Press Tab until what has this name has the focus."""
    seen = []
    for _ in range(STOPS):
        page.keyboard.press(key)
        seen.append(page.evaluate(FOCUSED))
        if seen[-1] == name:
            return
    raise AssertionError(f"{name} is not reached: {seen}")


def press(page: Page, name: str) -> None:
    """Reach a button or a link and press it."""
    reach(page, name)
    page.keyboard.press("Enter")


def told(page: Page, text: str) -> None:
    """See that the notice says so."""
    expect(page.locator("#notice .notice-text")).to_contain_text(text)


def test_the_leads_day_by_keyboard_alone(open_page: OpenPage, live_server: str) -> None:
    """Start, hours, hold with a reason, go on, done, and something found."""
    project = bring_in(live_server, **PLAN)
    root = f"{live_server}/api/v1/projects/{project}"
    page = open_page(size=DESKTOP)
    open_project(page, "today", project)

    press(page, "Start: Rib the left wing")
    told(page, "In work: Rib the left wing")
    assert status(root, "RIB")["state"] == "in_work"

    press(page, "Hours: Weld the mount")
    press(page, "Save 4 h")
    told(page, "Entered: 4")

    press(page, "Hold: Weld the mount")
    press(page, "No hands for it")
    press(page, "Hold the task")
    told(page, "Held: Weld the mount")
    assert status(root, "WELD")["held_reason"] == "No hands for it"

    press(page, "Go on: Weld the mount")
    told(page, "In work: Weld the mount")
    press(page, "Done: Weld the mount")
    told(page, "Done: Weld the mount")
    assert status(root, "WELD")["state"] == "done"

    reach(page, "Found something", "Shift+Tab")
    page.keyboard.press("Enter")
    page.keyboard.type("Cracked rib")
    press(page, "Write it down")
    told(page, "Found: Cracked rib")
    press(page, "Undo")
    told(page, "Put back: Found: Cracked rib")


def status(root: str, task: str) -> dict[str, Any]:
    """Return where a task stands."""
    found: dict[str, Any] = httpx.get(f"{root}/tasks/{task}").raise_for_status().json()
    return dict(found["task"]["status"])


def test_the_owner_reads_the_forecast_says_yes_and_prints_by_keyboard_alone(
    open_page: OpenPage, live_server: str
) -> None:
    asked = answer(live_server, "/money")["decisions"][0]
    page = open_as(open_page, "owner", "/forecast")
    page.evaluate("window.print = () => { document.body.dataset.printed = 'yes'; }")
    press(page, "Skip to the sheet")
    expect(page.locator("#main")).to_be_focused()
    press(page, "Print this sheet")
    expect(page.locator("body")).to_have_attribute("data-printed", "yes")
    page.keyboard.press("Home")
    reach(page, asked["name"], "Shift+Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/money*")
    page.locator("main[aria-busy='false']").wait_for()
    press(page, "Approve…")
    page.keyboard.press("Enter")
    told(page, f"Approved: {asked['name']}")
    assert asked["key"] not in [one["key"] for one in answer(live_server, "/money")["decisions"]]


def test_the_planner_makes_a_case_compares_and_takes_it_in_by_keyboard_alone(
    open_page: OpenPage, live_server: str
) -> None:
    before = answer(live_server, "/plan-file")
    page = open_as(open_page, "planner", "/what-if")
    press(page, "Start an empty case")
    reach(page, "Add a change to Case A")
    page.keyboard.press("L")
    expect(page.get_by_role("columnheader", name="Case A")).to_be_visible()
    assert page.evaluate("document.activeElement.closest('.changes') !== null"), (
        "what was added has the focus"
    )
    press(page, "Take it into the plan")
    press(page, "Take it")
    told(page, "Taken into the plan: Case A")
    assert answer(live_server, "/plan-file") != before
    reach(page, "Undo")
    page.keyboard.press("Enter")
    told(page, "Put back: Case A")
    assert answer(live_server, "/plan-file") == before
