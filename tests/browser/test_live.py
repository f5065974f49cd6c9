"""What others do to the plan shows on an open page, and what is typed there stays."""

from __future__ import annotations

from typing import Any

import httpx
from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, wait_until_drawn
from tests.browser.test_hours import PARTS, card_of
from tests.browser.test_states import bring_in, open_project

A_SECOND = 1_000


def held(root: str, task: str, version: int = 1) -> None:
    """Hold a task, as the planner elsewhere."""
    change(root, f"/tasks/{task}", {"status": {"state": "held", "held_reason": "glue"}}, version)


def change(root: str, path: str, body: dict[str, Any], version: int) -> None:
    """Change something, as the planner elsewhere."""
    cookies = {"ribstitch_role": "planner"}
    headers = {"If-Match": f'"{version}"'}
    httpx.patch(f"{root}{path}", json=body, headers=headers, cookies=cookies).raise_for_status()


def opened(page: Page, address: str, sheet: str = "today") -> str:
    """Open a sheet of a small project of its own; return its endpoint."""
    project = bring_in(address, **PARTS)
    open_project(page, sheet, project)
    return f"{address}/api/v1/projects/{project}"


def test_two_pages_see_each_others_changes_within_a_second(
    open_page: OpenPage, live_server: str
) -> None:
    """Two people, each with a browser of their own."""
    first, second = open_page(size=SIZES[1]), open_page(size=SIZES[0])
    root = opened(first, live_server)
    project = int(root.rsplit("/", 1)[1])
    open_project(second, "today", project)
    card_of(first, "A").get_by_role("button", name="Done").click()
    expect(card_of(first, "A")).to_have_attribute("data-state", "done")
    expect(card_of(second, "A")).to_have_attribute("data-state", "done", timeout=A_SECOND)
    card_of(second, "B").get_by_role("button", name="Done").click()
    expect(card_of(second, "B")).to_have_attribute("data-state", "done")
    expect(card_of(first, "B")).to_have_attribute("data-state", "done", timeout=A_SECOND)


def test_windows_of_one_browser_share_one_connection(open_page: OpenPage, live_server: str) -> None:
    """The one that listens is closed; the other goes on where it was."""
    first = open_page(size=SIZES[0])
    root = opened(first, live_server)
    connections: list[str] = []
    first.context.on(
        "request", lambda one: connections.append(one.url) if "/events" in one.url else None
    )
    second = first.context.new_page()
    second.goto(first.url)
    wait_until_drawn(second)
    held(root, "A")
    for page in (first, second):
        expect(card_of(page, "A")).to_have_attribute("data-state", "held", timeout=A_SECOND)
    assert connections == []
    first.goto("about:blank")
    held(root, "B")
    expect(card_of(second, "B")).to_have_attribute("data-state", "held")
    assert len(connections) == 1
    second.close()


def test_what_is_typed_stays_and_a_line_says_what_was_changed(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[1])
    root = opened(page, live_server, "settings")
    entry = page.locator("#project-form")
    name = entry.get_by_label("Project", exact=True)
    name.fill("The blue one")
    held(root, "A")
    line = page.locator("#live-line")
    expect(line).to_contain_text("Planner changed task A")
    expect(name).to_have_value("The blue one")
    line.get_by_role("button", name="Show it").click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("state: in work to held")
    dialog.get_by_role("button", name="Close").click()
    expect(name).to_have_value("The blue one")
    expect(line).to_be_visible()
    entry.get_by_role("button", name="Save").click()
    expect(page.locator("#notice")).to_contain_text("Saved")
    expect(line).to_be_hidden()
    expect(page.locator("#changes-list")).to_contain_text("held")


def test_a_page_that_follows_keeps_its_folds_its_place_and_its_focus(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[1])
    root = opened(page, live_server, "settings")
    fold = page.locator("#crew details.thing").first
    fold.locator("summary").click()
    summary = page.locator("#crew details.thing summary").nth(1)
    summary.focus()
    place = page.evaluate("scrollY")
    change(root, "", {"name": "Another name"}, 1)
    expect(page.locator("#project-form").get_by_label("Project", exact=True)).to_have_value(
        "Another name"
    )
    expect(fold).to_have_attribute("open", "")
    expect(summary).to_be_focused()
    assert abs(page.evaluate("scrollY") - place) < 5


def test_two_people_at_one_task_lose_nothing(open_page: OpenPage, live_server: str) -> None:
    """What only the other one wrote is taken in; where both wrote, whoever is late chooses."""
    page = open_page(size=SIZES[1], watched=False)
    root = opened(page, live_server)
    card_of(page, "A").locator(".card-name button").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("State").select_option("held")
    sheet.get_by_label("Held because").fill("no glue")
    theirs = {
        "status": {"state": "held", "held_reason": "too damp", "started": "2026-10-02"},
        "not_before": "2026-10-12",
    }
    change(root, "/tasks/A", theirs, 1)
    expect(sheet.locator("#live-line")).to_contain_text("Planner changed task A")
    sheet.get_by_role("button", name="Save the record").click()

    expect(sheet.get_by_role("alert").first).to_contain_text("choose where you both wrote")
    expect(sheet.get_by_label("Not before")).to_have_value("2026-10-12")
    expect(sheet.get_by_label("Started")).to_have_value("2026-10-02")
    expect(sheet.get_by_label("Held because")).to_have_value("no glue")
    both = sheet.get_by_role("group", name="What Planner wrote")
    expect(both).to_contain_text("too damp")
    both.get_by_role("button", name="Keep both").click()
    expect(sheet.get_by_label("Held because")).to_have_value("too damp; no glue")
    sheet.get_by_role("button", name="Save the record").click()
    expect(page.locator("#notice")).to_contain_text("Saved")
    stored = httpx.get(f"{root}/tasks/A").raise_for_status().json()["task"]
    assert stored["not_before"] == "2026-10-12"
    assert stored["status"]["held_reason"] == "too damp; no glue"
    assert stored["status"]["started"] == "2026-10-02"
