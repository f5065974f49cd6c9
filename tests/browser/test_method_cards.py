"""Method cards: hours are edited, what the shop needed is taken and taken back."""

from __future__ import annotations

import re
from typing import Any

import httpx
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.support.worked_cards import worked_plan

DESK, TABLET, PHONE = SIZES


class Cards:
    """The worked plan on the page of its cards, and what the service says of them."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        made = httpx.post(f"{address}/api/v1/projects", json=worked_plan()).raise_for_status()
        self.project = made.json()["id"]
        self.root = f"{address}/api/v1/projects/{self.project}"
        page.goto(f"/method-cards?project={self.project}")
        wait_until_drawn(page)

    def stored(self, key: str) -> dict[str, Any]:
        """Return a card as it is stored."""
        found: dict[str, Any] = httpx.get(f"{self.root}/cards/{key}").raise_for_status().json()
        return found

    def unfolded(self, key: str) -> Locator:
        """Return a card, unfolded."""
        entry = self.page.locator(f"details.thing[data-key='{key}']")
        if entry.get_attribute("open") is None:
            entry.locator("summary").first.click()
        expect(entry.get_by_role("button", name="Save")).to_be_visible()
        return entry

    def told(self, text: str) -> Locator:
        """See what the notice says."""
        notice = self.page.locator("#notice")
        expect(notice).to_contain_text(text)
        return notice


def test_what_the_shop_needed_is_taken_undone_and_typed_over(
    open_page: OpenPage, live_server: str
) -> None:
    """What is typed into another card meanwhile stays."""
    cards = Cards(open_page(size=TABLET), live_server)
    other = cards.unfolded("M06")
    other.get_by_label("Name").fill("Mend a skin, flush")
    entry = cards.unfolded("M05")
    expect(entry).to_contain_text("From memory: replace with your own.")
    expect(entry.get_by_role("table")).to_contain_text("2.5 / 4 / 6.4")
    assert faults(cards.page) == []
    assert cards.page.evaluate("document.documentElement.scrollWidth") <= TABLET[0]
    most = entry.get_by_role("textbox", name="At most").first
    entry.get_by_role("button", name="Take what the shop needed").click()
    notice = cards.told("Taken what the shop needed: M05 Open up.")
    assert cards.stored("M05")["steps"][0]["hours"] == ["2.5", "4", "6.4"]
    assert cards.stored("M05")["from_memory"] is False
    expect(most).to_have_value("6.4")
    expect(entry.get_by_label("These hours are the shop’s own")).to_be_checked()
    expect(entry.get_by_role("button", name="Take what the shop needed")).to_have_count(0)
    expect(other.get_by_label("Name")).to_have_value("Mend a skin, flush")
    notice.get_by_role("button", name="Undo").click()
    cards.told("Put back: M05")
    assert cards.stored("M05")["steps"][0]["hours"] == ["2", "4", "9"]
    most.fill("7,5")
    expect(entry.get_by_label("These hours are the shop’s own")).to_be_checked()
    entry.get_by_role("button", name="Save").click()
    cards.told("Saved: M05 Open up.")
    kept = cards.stored("M05")
    assert (kept["steps"][0]["hours"], kept["from_memory"]) == (["2", "4", "7.5"], False)


def test_card_is_copied_gets_a_step_and_is_retired(open_page: OpenPage, live_server: str) -> None:
    """A refusal stands at the field of its step, and shows in the console: nobody watches."""
    cards = Cards(open_page(size=PHONE, watched=False), live_server)
    cards.unfolded("M05").get_by_role("button", name="Copy the card").click()
    cards.told("Copied: M05 as M05-2.")
    cards.unfolded("M05").get_by_role("button", name="Copy the card").click()
    cards.told("Copied: M05 as M05-3.").get_by_role("button", name="Undo").click()
    cards.told("Put back: M05-3")
    expect(cards.page.locator("details.thing[data-key='M05-3']")).to_have_count(0)
    copy = cards.unfolded("M05-2")
    assert cards.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    copy.get_by_role("button", name="Add a step").click()
    step = copy.get_by_role("group", name="Step 2")
    step.get_by_label("What is done").fill("Look with a mirror")
    step.get_by_label("Trade").fill("Inspector")
    for label, hours in (("At least", "3"), ("Likely", "2"), ("At most", "4")):
        step.get_by_label(label).fill(hours)
    copy.get_by_role("button", name="Save").click()
    expect(step.locator(".wrong")).to_contain_text("low, likely and high must rise: 3, 2, 4 hours")
    expect(step.get_by_label("What is done")).to_have_value("Look with a mirror")
    step.get_by_label("At least").fill("1")
    step.get_by_label("After the steps").fill("7")
    copy.get_by_role("button", name="Save").click()
    expect(step.locator(".wrong")).to_have_text("After the steps: 7 is no earlier step")
    step.get_by_label("After the steps").fill("1")
    copy.get_by_role("button", name="Save").click()
    cards.told("Saved: M05-2")
    added = cards.stored("M05-2")["steps"][1]
    assert (added["name"], added["trade"], added["after"]) == ("Look with a mirror", "insp", [1])
    copy.get_by_role("button", name="Retire the card").click()
    cards.told("Retired: M05-2")
    assert cards.stored("M05-2")["retired"] is True
    expect(cards.page.locator("#retired details.thing")).to_have_count(1)


def test_steps_are_moved_and_taken_out_and_a_risk_says_what_it_adds(
    open_page: OpenPage, live_server: str
) -> None:
    """A step keeps its number; what waited for one that goes waits for what that one waited for."""
    cards = Cards(open_page(size=PHONE), live_server)
    entry = cards.unfolded("M05")
    for name in ("Look", "Close"):
        entry.get_by_role("button", name="Add a step").click()
        step = entry.get_by_role("group", name=re.compile("^Step")).last
        step.get_by_label("What is done").fill(name)
        for label, hours in (("At least", "1"), ("Likely", "2"), ("At most", "4")):
            step.get_by_label(label).fill(hours)
    entry.get_by_role("button", name="Step 3: earlier").click()
    after = entry.get_by_label("After the steps")
    assert [after.nth(place).input_value() for place in range(3)] == ["", "1", "3"]
    entry.get_by_role("button", name="Step 3: take out").click()
    gone = entry.get_by_role("group", name="Step 3")
    expect(gone.get_by_text("It goes when the card is saved.")).to_be_visible()
    gone.get_by_role("button", name="Put it back").click()
    expect(entry.get_by_role("button", name="Step 3: take out")).to_be_focused()
    entry.get_by_role("button", name="Step 1: take out").click()
    entry.get_by_label("Event").fill("rust behind it")
    entry.get_by_label("Chance, %").fill("20")
    for label, weeks in (("At least", "1"), ("Likely", "2"), ("At most", "4,5")):
        entry.get_by_role("group", name="Weeks that it adds").get_by_label(label).fill(weeks)
    entry.get_by_label("On the step").fill("2")
    assert cards.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    entry.get_by_role("button", name="Save").click()
    notice = cards.told("Saved: M05 Open up.")
    kept = cards.stored("M05")
    assert [(one["number"], one["name"], one.get("after", [])) for one in kept["steps"]] == [
        (3, "Close", []), (2, "Look", [3]),
    ]  # fmt: skip
    risk = kept["risk"]
    assert (risk["probability"], risk["weeks"], risk["step"]) == (0.2, ["1", "2", "4.5"], 2)
    notice.get_by_role("button", name="Undo").click()
    cards.told("Put back: M05")
    assert [one["number"] for one in cards.stored("M05")["steps"]] == [1]


def test_what_somebody_else_wrote_on_a_card_is_told_before_anything_is_taken(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    cards = Cards(open_page(size=PHONE, watched=False), live_server)
    entry = cards.unfolded("M05")
    edit, headers = {"evidence": "photo of the bay"}, {"If-Match": '"1"'}
    httpx.patch(f"{cards.root}/cards/M05", json=edit, headers=headers).raise_for_status()
    entry.get_by_role("button", name="Take what the shop needed").click()
    cards.told("Nothing was done. It was changed in the meantime")
    expect(entry.get_by_label("What its checks want to see")).to_have_value("photo of the bay")
    assert cards.stored("M05")["steps"][0]["hours"] == ["2", "4", "9"]


def test_cards_follow_what_others_do(open_page: OpenPage, live_server: str) -> None:
    """A card that somebody else renames is read again; what is unfolded stays so."""
    cards = Cards(open_page(size=TABLET), live_server)
    entry = cards.unfolded("M05")
    version = cards.stored("M05")["version"]
    httpx.patch(
        f"{cards.root}/cards/M05",
        json={"name": "Mend a rib"},
        headers={"If-Match": f'"{version}"'},
        cookies={"ribstitch_role": "planner"},
    ).raise_for_status()
    expect(entry.locator("summary").first).to_contain_text("Mend a rib")
    expect(entry).to_have_attribute("open", "")


def test_task_leads_to_the_card_that_it_came_from(open_page: OpenPage, live_server: str) -> None:
    """The card is unfolded and in sight."""
    made = httpx.post(f"{live_server}/api/v1/projects", json=worked_plan()).raise_for_status()
    page = open_page(f"/schedule?project={made.json()['id']}", TABLET)
    wait_until_drawn(page)
    page.locator("main summary", has_text="table").first.click()
    page.get_by_role("table").get_by_role("button", name="D1.1", exact=True).first.click()
    page.get_by_role("dialog").get_by_role("link", name="Open up").click()
    wait_until_drawn(page)
    entry = page.locator("details.thing[data-key='M05']")
    expect(entry).to_have_attribute("open", "")
    expect(entry.locator("summary").first).to_be_in_viewport()
