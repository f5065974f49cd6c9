"""Help: the round on the first sheet, words that say what they mean, the way to Help."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import DESKTOP, PHONE, OpenPage
from tests.browser.journeys import SHEETS, open_as, wait_until_drawn
from tests.browser.test_sheets import faults

ROUND = "#show-me-round"
SAME_COLOURS = {"color-contrast": {"enabled": False}}
"""Axe measures contrast on every sheet already; nothing here has colours of its own."""
TWO_FRAMES = "() => new Promise((on) => requestAnimationFrame(() => requestAnimationFrame(on)))"
WHEN_IDLE = "() => new Promise((done) => requestIdleCallback(() => setTimeout(done)))"
FIRST_SHEETS = {"lead": "today", "owner": "forecast", "planner": "what-if"}


@pytest.fixture
def new_here(browser: Browser, live_server: str) -> Iterator[Page]:
    """A window on a device where nobody has been."""
    context = browser.new_context(
        base_url=live_server,
        viewport={"width": PHONE[0], "height": PHONE[1]},
        reduced_motion="reduce",
        service_workers="block",
    )
    context.set_default_timeout(10_000)
    page = context.new_page()
    page.request.put("/api/v1/session", data={"role": "lead"})
    yield page
    context.close()


def test_whoever_is_new_is_shown_round_once_and_escape_ends_it(new_here: Page) -> None:
    new_here.goto("/today")
    tour = new_here.get_by_role("dialog")
    expect(tour.get_by_role("heading")).to_be_focused()
    expect(tour).to_contain_text("1 of 5")
    assert faults(new_here, rules=SAME_COLOURS) == []
    new_here.keyboard.press("Escape")
    expect(tour).to_have_count(0)
    assert new_here.evaluate("document.activeElement.id") == "main"
    new_here.reload()
    wait_until_drawn(new_here)
    new_here.evaluate(WHEN_IDLE)
    expect(tour).to_have_count(0)
    new_here.request.put("/api/v1/session", data={"role": "planner"})
    new_here.goto("/what-if")
    wait_until_drawn(new_here)
    expect(tour).to_contain_text("1 of 5")
    tour.get_by_role("button", name="Skip").click()
    expect(tour).to_have_count(0)


@pytest.mark.parametrize("role", FIRST_SHEETS)
def test_each_stop_of_the_round_is_on_the_sheet_and_in_sight(
    open_page: OpenPage, role: str
) -> None:
    page = open_as(open_page, role, f"/{FIRST_SHEETS[role]}{ROUND}", PHONE)
    tour = page.get_by_role("dialog")
    last = 5
    for number in range(1, last + 1):
        expect(tour).to_contain_text(f"{number} of {last}")
        expect(page.locator(".shown-now")).to_be_in_viewport()
        box = tour.bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= PHONE[0]
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= PHONE[1]
        page.keyboard.press("Tab")
        expect(tour.get_by_role("button").first).to_be_focused()
        page.keyboard.press("Enter")
    expect(tour).to_have_count(0)
    expect(page.locator(".shown-now")).to_have_count(0)
    assert "#" not in page.url


def test_nobody_is_shown_round_where_help_says_so(new_here: Page) -> None:
    new_here.goto("/help")
    wait_until_drawn(new_here)
    shown = new_here.get_by_label("Whoever is new on this device is shown round")
    expect(shown).to_be_checked()
    shown.uncheck()
    new_here.goto("/today")
    wait_until_drawn(new_here)
    new_here.evaluate(WHEN_IDLE)
    expect(new_here.get_by_role("dialog")).to_have_count(0)
    new_here.goto(f"/today{ROUND}")
    expect(new_here.get_by_role("dialog")).to_be_visible()


def test_a_word_says_what_it_means_and_its_note_can_be_put_away(open_page: OpenPage) -> None:
    """WCAG 2.2, 1.4.13: dismissible, hoverable, persistent."""
    page = open_page("/help", DESKTOP)
    wait_until_drawn(page)
    note = page.get_by_role("tooltip")
    word = page.get_by_role("button", name="grace", exact=True)
    word.focus()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    expect(note).to_contain_text("before the project finish moves")
    assert word.get_attribute("aria-describedby") == note.get_attribute("id")
    page.keyboard.press("Escape")
    expect(note).to_have_count(0)
    expect(word).to_be_focused()
    page.evaluate("document.activeElement.blur()")
    word.hover()
    expect(note).to_be_visible()
    note.hover()
    page.wait_for_timeout(400)
    expect(note).to_be_visible()
    page.mouse.move(2, 2)
    expect(note).to_have_count(0)


def test_a_word_is_explained_to_a_finger_that_stays_on_it(open_page: OpenPage) -> None:
    page = open_page("/help", PHONE)
    wait_until_drawn(page)
    note = page.get_by_role("tooltip")
    word = page.get_by_role("button", name="late curve")
    word.scroll_into_view_if_needed()
    page.evaluate(TWO_FRAMES)  # What scrolls is no long press.
    touch = {"pointerType": "touch", "bubbles": True}
    word.dispatch_event("pointerdown", touch)
    expect(note).to_contain_text("against days late")
    word.dispatch_event("pointerup", touch)
    expect(note).to_be_visible()
    page.get_by_role("heading", level=1).dispatch_event("pointerdown", touch)
    expect(note).to_have_count(0)
    word.tap()
    expect(note).to_be_visible()


def test_help_is_at_the_same_place_and_opens_where_it_tells_of_the_sheet(
    open_page: OpenPage,
) -> None:
    """WCAG 2.2, 3.2.6."""
    page = open_page("/records", PHONE)
    wait_until_drawn(page)
    places = set()
    for sheet in SHEETS[:3]:
        page.goto(f"/{sheet}")
        way = page.get_by_role("link", name="Help")
        expect(way).to_have_attribute("href", f"/help#{sheet}")
        page.evaluate("document.fonts.ready.then(() => true)")
        box = way.bounding_box()
        assert box is not None
        places.add((round(box["x"]), round(box["y"])))
    assert len(places) == 1, places
    way.click()
    expect(page).to_have_url(re.compile(r"/help#schedule$"))
    expect(page.locator("#schedule")).to_be_in_viewport()
    wait_until_drawn(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert faults(page, rules=SAME_COLOURS) == []


def test_escape_puts_a_note_away_before_the_sheet_that_its_word_stands_in(
    open_page: OpenPage,
) -> None:
    page = open_page("/today", DESKTOP)
    wait_until_drawn(page)
    page.locator("#in-work .card-name button").first.click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("button", name="To spare").hover()
    note = sheet.get_by_role("tooltip")
    expect(note).to_contain_text("without moving the project finish")
    page.keyboard.press("Escape")
    expect(note).to_have_count(0)
    expect(sheet).to_be_visible()
    page.keyboard.press("Escape")
    expect(sheet).to_have_count(0)
