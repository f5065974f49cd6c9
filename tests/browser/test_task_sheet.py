"""The sheet of a task: what it asks of the shop, and whom it waits for."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, name_of_size
from tests.browser.test_sheets import faults
from tests.browser.test_states import DAY, bring_in, open_project

PARTS: dict[str, Any] = {
    "tasks": [
        {"id": "A", "name": "Rib the left wing", "days": 5, "trade": "wood", "places": ["jig"],
         "status": {"state": "in_work", "started": DAY}},
        {"id": "B", "name": "Rib the right wing", "days": 4, "trade": "wood", "people": 2},
        {"id": "C", "name": "Cover the wings", "days": 3, "trade": "fabric"},
    ],
    "links": [{"from": "B", "to": "C"}, {"from": "A", "to": "C"}],
    "crew": [{"trade": "wood", "people": 2, "label": "Joiner", "calendar": "shop"}],
    "calendars": [{"id": "shop"}],
    "places": [{"id": "jig", "name": "Wing jig"}, {"id": "bay", "name": "Dry bay"}],
    "crew_links": [{"from": "A", "to": "B", "names": ["wood"], "units": 1}],
}  # fmt: skip


def opened(page: Page, address: str, task: str, **changes: Any) -> tuple[Locator, str]:
    """Open the sheet of a task of a small project; return it and the project's endpoint."""
    project = bring_in(address, **{**PARTS, **changes})
    open_project(page, "schedule", project)
    page.locator("main summary", has_text="table").first.click()
    names = {one["id"]: one["name"] for one in PARTS["tasks"]}
    page.get_by_role("table").get_by_role("button", name=names[task], exact=True).first.click()
    dialog = page.get_by_role("dialog")
    expect(dialog.get_by_role("heading", name=names[task])).to_be_visible()
    return dialog, f"{address}/api/v1/projects/{project}"


def section(dialog: Locator, title: str) -> Locator:
    """Return a section of the sheet by its heading."""
    heading = dialog.page.get_by_role("heading", name=title, exact=True)
    return dialog.locator("section").filter(has=heading)


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_sheet_fits_and_axe_finds_nothing(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    page = open_page(size=size)
    dialog, _ = opened(page, live_server, "A")
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert dialog.evaluate("(node) => node.scrollWidth <= node.clientWidth")
    assert faults(page) == []


def test_waiting_for_hands_is_told_apart_from_waiting_for_work(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page()
    second, _ = opened(page, live_server, "B")
    hands = section(second, "Waits for hands or room")
    expect(hands).to_contain_text("Rib the right wing waits for")
    expect(hands).to_contain_text("Rib the left wing")
    expect(hands).to_contain_text("sets the date")
    expect(section(second, "Waits for")).to_contain_text("waits for no other task")
    expect(section(second, "Others wait for it")).to_contain_text("Cover the wings")
    page.keyboard.press("Escape")
    first, _ = opened(page, live_server, "A")
    expect(section(first, "Others wait for its hands or room")).to_contain_text("right wing")
    expect(section(first, "Others wait for it")).to_contain_text("Cover the wings")
    page.keyboard.press("Escape")
    last, _ = opened(page, live_server, "C")
    expect(section(last, "Waits for hands or room")).to_have_count(0)
    expect(section(last, "Waits for").locator("li")).to_have_count(2)


def test_facts_name_people_and_places(open_page: OpenPage, live_server: str) -> None:
    page = open_page()
    first, _ = opened(page, live_server, "A")
    expect(first.locator(".facts")).to_contain_text("TakesWing jig")
    page.keyboard.press("Escape")
    second, _ = opened(page, live_server, "B")
    expect(second.locator(".facts")).to_contain_text("Wood, 2 people")
    expect(second.locator(".facts")).not_to_contain_text("Takes")


def test_places_trade_and_people_are_changed_and_taken_back(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page()
    dialog, root = opened(page, live_server, "A")
    expect(dialog.get_by_label("Wing jig")).to_be_checked()
    dialog.get_by_label("Wing jig").uncheck()
    dialog.get_by_label("Dry bay").check()
    dialog.get_by_label("Trade", exact=True).select_option(label="nobody of the crew")
    dialog.get_by_label("People of that trade").fill("3")
    dialog.get_by_role("button", name="Save the record").click()
    notice = page.locator(".notice")
    expect(notice).to_contain_text("Saved: Rib the left wing.")
    task = httpx.get(f"{root}/tasks/A").json()["task"]
    assert (task["places"], task["trade"], task["people"]) == (["bay"], None, 3)
    assert task["status"]["state"] == "in_work"
    notice.get_by_role("button", name="Undo").click()
    expect(notice).to_contain_text("Put back")
    task = httpx.get(f"{root}/tasks/A").json()["task"]
    assert (task["places"], task["trade"], task["people"]) == (["jig"], "wood", 1)


def test_what_was_left_alone_is_not_sent(open_page: OpenPage, live_server: str) -> None:
    page = open_page()
    dialog, _ = opened(page, live_server, "A")
    dialog.get_by_label("Dry bay").check()
    with page.expect_request("**/tasks/A/plan") as sent:
        dialog.get_by_role("button", name="Save the record").click()
    assert sent.value.post_data_json == {"task": {"places": ["jig", "bay"]}, "links": []}
    expect(page.locator(".notice")).to_contain_text("Saved")


def test_a_plan_without_places_says_where_to_enter_them(
    open_page: OpenPage, live_server: str
) -> None:
    tasks = [{**one, "places": []} for one in PARTS["tasks"]]
    page = open_page()
    dialog, _ = opened(page, live_server, "A", places=[], tasks=tasks)
    expect(dialog).to_contain_text("The plan has no bay, jig or booth yet")
    dialog.get_by_role("link", name="add one under Settings").click()
    expect(page.locator("#places")).to_be_in_viewport()


def test_what_moves_is_told_before_links_and_days_are_saved_and_one_undo_takes_all_back(
    open_page: OpenPage, live_server: str
) -> None:
    """
    By hand: the right wing's four days end on Thu 15 October, with ten on Fri 23; covering, three
    days, follows from Tue 20 to Wed 28. Tied to the left wing alone it would end on the 14th.
    """
    page = open_page(size=SIZES[1])
    dialog, root = opened(page, live_server, "B")
    told = dialog.locator(".move-preview")
    expect(told).to_be_hidden()
    before = httpx.get(f"{root}/plan-file").json()["links"]
    dialog.get_by_label("Working days in all").fill("10")
    expect(told).to_contain_text("8 days later. 2 ends move: 2 later.")
    dialog.get_by_role("button", name="Take away: Cover the wings").click()
    expect(told).to_contain_text("1 later, 1 sooner")
    dialog.get_by_role("button", name="Add what waits for it").click()
    page.get_by_label("a word of its name").fill("cover")
    page.get_by_role("button", name="Cover the wings C").click()
    line = section(dialog, "Others wait for it").locator(".link-line:not(.gone)")
    line.get_by_label("It is done").select_option(label="with its start")
    line.get_by_label("Days between").fill("2")
    expect(told).to_contain_text("The finish as written")
    assert httpx.get(f"{root}/plan-file").json()["links"] == before
    promised = told.locator(".move-first").inner_text().partition(" 2 ends")[0].split(". ")[0]
    dialog.get_by_role("button", name="Save the record").click()
    notice = page.locator(".notice")
    expect(notice).to_contain_text(f"Saved: Rib the right wing. {promised}")
    after = httpx.get(f"{root}/plan-file").json()
    tied = next(one for one in after["links"] if one["from"] == "B")
    assert tied == {"from": "B", "to": "C", "type": "SS", "lag_days": 2}
    notice.get_by_role("button", name="Undo").click()
    expect(notice).to_contain_text("Put back")
    assert httpx.get(f"{root}/plan-file").json()["links"] == before
    assert httpx.get(f"{root}/tasks/B").json()["task"]["days"] == 4


def test_a_circle_is_told_at_once_and_again_beside_its_line(
    open_page: OpenPage, live_server: str
) -> None:
    """On a phone, by keyboard alone."""
    page = open_page(size=SIZES[2], watched=False)
    dialog, root = opened(page, live_server, "A")
    dialog.get_by_role("button", name="Add what it waits for").focus()
    page.keyboard.press("Enter")
    page.keyboard.type("cover")
    page.get_by_role("button", name="Cover the wings C").wait_for()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    told = dialog.locator(".move-preview")
    expect(told).to_contain_text("Cover the wings: these wait for each other in a circle")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(dialog.get_by_label("It is done")).to_be_focused()
    dialog.get_by_role("button", name="Save the record").press("Enter")
    summary = dialog.locator(".error-summary")
    expect(summary).to_contain_text("in a circle")
    summary.get_by_role("link").press("Enter")
    expect(dialog.get_by_label("It is done")).to_be_focused()
    dialog.get_by_role("button", name="Discard").press("Enter")
    expect(dialog.locator(".move-preview, .error-summary")).to_be_hidden()
    expect(dialog.get_by_role("button", name="Discard")).to_be_hidden()
    assert httpx.get(f"{root}/title-block").json()["plan_version"] == 1


def test_neighbours_are_walked_to_and_back_with_what_was_typed(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page()
    first, root = opened(page, live_server, "A")
    first.get_by_label("Deadline").fill("2030-01-01")
    first.get_by_role("button", name="Cover the wings", exact=True).click()
    second = page.get_by_role("dialog", name="Cover the wings")
    second.get_by_label("Working days in all").fill("6")
    second.get_by_role("button", name="Save the record").click()
    expect(second).to_have_count(0)
    expect(first.get_by_label("Deadline")).to_have_value("2030-01-01")
    first.get_by_role("button", name="Cover the wings", exact=True).click()
    second.locator(".task-history summary").click()
    second.get_by_role("button", name="Undo").click()
    expect(second.get_by_label("Working days in all")).to_have_value("3")
    second.get_by_role("button", name="Back to Rib the left wing").click()
    first.get_by_role("button", name="Discard").click()
    first.get_by_role("button", name="Cover the wings", exact=True).click()
    second.get_by_role("button", name="Close").click()
    expect(page.get_by_role("dialog")).to_have_count(0)
    assert httpx.get(f"{root}/tasks/C").json()["task"]["days"] == 3
