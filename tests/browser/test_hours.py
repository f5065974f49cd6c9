"""Hours on Today: entered in two taps, refused in a sentence, changed on the task's own sheet."""

from __future__ import annotations

import re
from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, name_of_size, take_role
from tests.browser.test_sheets import faults
from tests.browser.test_states import DAY, bring_in, open_project

BEFORE = "2026-10-04"
RIBS, SPARS, WELD = "Rib the left wing", "Splice the spars", "Weld the mount"


def in_work(key: str, name: str, trade: str) -> dict[str, Any]:
    """Return a task that was begun today."""
    status = {"state": "in_work", "started": DAY}
    return {"id": key, "name": name, "days": 5, "trade": trade, "status": status}


PARTS: dict[str, Any] = {
    "project": {"name": "Hours"},
    "calendars": [
        {"id": "shop"},
        {"id": "half", "day_hours": 4, "week": [4, 4, 4, 4, 4, 0, 0]},
    ],
    "tasks": [
        in_work("A", RIBS, "wood"),
        in_work("B", SPARS, "wood"),
        in_work("C", WELD, "metal"),
        in_work("D", "Paint the hull", "paint"),
    ],
    "crew": [
        {"trade": "wood", "people": 2, "label": "Joiner", "calendar": "half"},
        {"trade": "metal", "label": "Welder", "calendar": "shop"},
    ],
}


def opened(page: Page, address: str, **changes: Any) -> tuple[str, int]:
    """Open Today of a small project; return the project's endpoint and its number."""
    project = bring_in(address, **{**PARTS, **changes})
    open_project(page, "today", project)
    return f"{address}/api/v1/projects/{project}", project


def card_of(page: Page, task: str) -> Locator:
    """Return the card of a task."""
    return page.locator(f"article.card[data-task='{task}']")


def unfolded(page: Page, task: str) -> Locator:
    """Unfold the form for hours on a card and return the card."""
    card = card_of(page, task)
    card.get_by_role("button", name="Hours:").click()
    expect(card.get_by_role("form")).to_be_visible()
    return card


def entries(root: str) -> list[tuple[str, ...]]:
    """Return what is stored: task, date, hours, who."""
    found = httpx.get(f"{root}/hours").raise_for_status().json()["hours"]
    return [(one["task"], one["on"], one["hours"], one["label"]) for one in found]


@pytest.mark.parametrize("size", SIZES[1:], ids=name_of_size)
def test_hours_are_entered_in_two_taps_and_taken_back(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    """The only welder and the as-of date are chosen already: Hours, then a full day."""
    page = open_page(size=size)
    root, _ = opened(page, live_server)
    card = unfolded(page, "C")
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []
    with page.expect_request(lambda request: request.method == "POST") as sent:
        card.get_by_role("button", name=re.compile("Save 8")).click()
    body: dict[str, Any] = sent.value.post_data_json or {}
    assert {key: body[key] for key in ("task", "on", "hours", "label")} == {
        "task": "C",
        "on": DAY,
        "hours": "8",
        "label": "Welder",
    }
    expect(card.locator(".card-hours")).to_have_text(
        re.compile("8.h today, 8.h so far; planned 40")
    )
    expect(card.get_by_role("form")).to_have_count(0)
    assert entries(root) == [("C", DAY, "8", "Welder")]
    notice = page.locator("#notice")
    expect(notice).to_contain_text(f"of Welder, 5 Oct, on {WELD}.")
    notice.get_by_role("button", name="Undo").click()
    expect(notice).to_contain_text("Put back")
    expect(card.locator(".card-hours")).to_contain_text("No hours yet")
    assert entries(root) == []


def test_who_is_asked_once_and_remembered_for_the_next_card(
    open_page: OpenPage, live_server: str
) -> None:
    """A quick choice without anybody chosen saves nothing and loses nothing."""
    page = open_page(size=SIZES[1])
    root, _ = opened(page, live_server)
    card = unfolded(page, "A")
    card.get_by_role("button", name=re.compile("Save 2")).click()
    expect(card.get_by_role("alert").filter(has_text="Not saved yet")).to_contain_text(
        "Who: choose who worked"
    )
    expect(card.get_by_label("Other hours", exact=True)).to_have_value("2")
    assert entries(root) == []
    card.get_by_text("Joiner 2", exact=True).click()
    card.get_by_role("button", name="Save", exact=True).click()
    expect(card.locator(".card-hours")).to_contain_text("today")
    other = unfolded(page, "B")
    expect(other.get_by_label("Joiner 2")).to_be_checked()
    other.get_by_role("button", name=re.compile("Save 1")).click()
    expect(other.locator(".card-hours")).to_contain_text("today")
    assert entries(root) == [("A", DAY, "2", "Joiner 2"), ("B", DAY, "1", "Joiner 2")]


@pytest.mark.parametrize("text", ["6,5", "6.5"])
def test_comma_and_point_are_the_same_and_yesterday_is_one_tap(
    open_page: OpenPage, live_server: str, text: str
) -> None:
    page = open_page(size=SIZES[2])
    root, _ = opened(page, live_server)
    card = unfolded(page, "C")
    card.get_by_role("button", name="4 Oct").click()
    expect(card.get_by_role("button", name="4 Oct")).to_have_attribute("aria-pressed", "true")
    card.get_by_label("Other hours", exact=True).fill(text)
    card.get_by_label("Other hours", exact=True).press("Enter")
    expect(card.locator(".card-hours")).to_have_text(re.compile("^0.h today, 6.5.h so far"))
    assert entries(root) == [("C", BEFORE, "6.5", "Welder")]


@pytest.fixture
def unwatched(open_page: OpenPage) -> Page:
    """Return a page that nobody watches: a refusal shows in the console."""
    return open_page(size=SIZES[1], watched=False)


@pytest.mark.parametrize(
    ("hours", "on", "sentence"),
    [
        ("-2", DAY, "Other hours: -2 hours on one date cannot be"),
        ("0", DAY, "Other hours: 0 hours on one date cannot be"),
        ("24,5", DAY, "Other hours: 24.5 hours on one date cannot be"),
        ("all day", DAY, "Hours: give a number"),
        ("", DAY, "Hours: give a number"),
        ("3", "", "Date: choose the date"),
        ("3", "2026-10-06", "is after the as-of date"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence_and_stays_as_typed(
    unwatched: Page, live_server: str, hours: str, on: str, sentence: str
) -> None:
    page = unwatched
    root, _ = opened(page, live_server)
    card = unfolded(page, "C")
    card.get_by_label("Other hours", exact=True).fill(hours)
    card.get_by_label("Date", exact=True).fill(on)
    card.get_by_role("button", name="Save", exact=True).click()
    expect(card.locator(".error-summary li")).to_have_count(1)
    expect(card.locator(".error-summary")).to_contain_text(sentence)
    expect(card.get_by_label("Other hours", exact=True)).to_have_value(hours)
    expect(card.get_by_label("Date", exact=True)).to_have_value(on)
    assert entries(root) == []


def test_person_who_left_the_crew_meanwhile_is_refused(unwatched: Page, live_server: str) -> None:
    page = unwatched
    root, _ = opened(page, live_server)
    card = unfolded(page, "C")
    version = httpx.get(f"{root}/crew/metal").json()["version"]
    headers = {"If-Match": f'"{version}"'}
    httpx.patch(f"{root}/crew/metal", json={"label": "Smith"}, headers=headers).raise_for_status()
    card.get_by_role("button", name=re.compile("Save 2")).click()
    expect(card.locator(".error-summary")).to_contain_text(
        'Who: nobody of the crew is called "Welder"'
    )
    expect(card.get_by_label("Other hours", exact=True)).to_have_value("2")
    assert entries(root) == []


def test_what_is_typed_outlives_a_new_drawing_of_the_cards(
    open_page: OpenPage, live_server: str
) -> None:
    """Another card's status changes while hours are typed on this one."""
    page = open_page(size=SIZES[1])
    opened(page, live_server)
    card = unfolded(page, "C")
    card.get_by_label("Other hours", exact=True).fill("3,25")
    card_of(page, "D").get_by_role("button", name="Done").click()
    expect(page.locator("#notice")).to_contain_text("Done: Paint the hull")
    expect(card_of(page, "C").get_by_label("Other hours", exact=True)).to_have_value("3,25")


def test_done_work_offers_its_hours_in_the_same_notice(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[2])
    root, _ = opened(page, live_server)
    card_of(page, "C").get_by_role("button", name="Done").click()
    notice = page.locator("#notice")
    expect(notice).to_contain_text(f"Done: {WELD}")
    expect(notice.get_by_role("button", name="Undo")).to_be_visible()
    notice.get_by_role("button", name="Hours").click()
    card = page.locator("#done article.card")
    expect(card.get_by_role("form")).to_be_in_viewport()
    card.get_by_role("button", name=re.compile("Save 4")).click()
    expect(notice).to_contain_text("Entered: 4")
    expect(card.locator(".card-hours")).to_contain_text("planned")
    assert entries(root) == [("C", DAY, "4", "Welder")]


def test_trade_without_a_crew_counts_for_the_trade(open_page: OpenPage, live_server: str) -> None:
    page = open_page(size=SIZES[1])
    root, _ = opened(page, live_server)
    card = unfolded(page, "D")
    expect(card).to_contain_text("the hours count for Paint")
    card.get_by_role("button", name=re.compile("Save 1")).click()
    expect(page.locator("#notice")).to_contain_text("of Paint, 5 Oct")
    assert entries(root) == [("D", DAY, "1", "")]


def hours_on_sheet(page: Page, task: str) -> Locator:
    """Open the sheet of a task and return its part about hours."""
    card_of(page, task).locator(".card-name button").click()
    return page.get_by_role("dialog").get_by_role("region", name="Hours")


HOURS = [{"id": "H1", "task": "C", "on": DAY, "hours": "7.5", "label": "Welder"}]


def test_sheet_of_the_task_changes_hours_and_takes_them_out(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=SIZES[1])
    root, _ = opened(page, live_server, hours=HOURS)
    part = hours_on_sheet(page, "C")
    expect(part).to_contain_text("7.5")
    part.locator("summary", has_text="Welder").click()
    assert faults(page) == []
    thing = part.locator(".thing")
    thing.get_by_label("Hours", exact=True).fill("6,25")
    thing.get_by_role("button", name="Save", exact=True).click()
    expect(part.locator("summary b")).to_have_text(re.compile("^6.25.h$"))
    expect(part.get_by_role("heading", name="Hours")).to_be_focused()
    assert entries(root) == [("C", DAY, "6.25", "Welder")]
    part.locator("summary", has_text="Welder").click()
    part.get_by_role("button", name="Take out of the plan").click()
    expect(part).to_contain_text("No hours yet")
    assert entries(root) == []
    page.get_by_role("dialog").get_by_role("button", name="Close").click()
    page.locator("#notice").get_by_role("button", name="Undo").click()
    expect(card_of(page, "C").locator(".card-hours")).to_contain_text("6.25")


def test_owner_reads_hours_and_enters_none(open_page: OpenPage, live_server: str) -> None:
    page = open_page()
    opened(page, live_server, hours=HOURS)
    take_role(page, "owner")
    expect(card_of(page, "C").locator(".card-hours")).to_contain_text("7.5")
    expect(page.get_by_role("button", name="Hours:")).to_have_count(0)
    part = hours_on_sheet(page, "C")
    expect(part.locator(".hours-line")).to_contain_text("Welder")
    expect(part.locator("form, button, input")).to_have_count(0)


def test_printed_sheet_has_a_column_to_write_hours_in(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page()
    opened(page, live_server)
    unfolded(page, "C")
    page.emulate_media(media="print")
    boxes = page.locator("#in-work .hours-box")
    expect(boxes).to_have_count(4)
    places = [place for box in boxes.all() if (place := box.bounding_box())]
    assert len(places) == 4
    assert len({round(one["x"]) for one in places}) == 1
    assert all(one["width"] > 40 and one["height"] > 30 for one in places)
    expect(page.locator(".hours-form")).to_be_hidden()
