"""Settings: people, zones, vendors, calendars, places are entered, changed and taken out."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, name_of_size, take_role, wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import bring_in, open_project

SHOP = {"id": "shop", "name": "Shop", "holidays": "IE"}
TASKS = [
    {"id": "A", "name": "Rib the wing", "days": 5, "trade": "wood", "places": ["jig"]},
    {"id": "B", "name": "Dope the fin", "days": 2, "trade": "paint"},
]
PARTS: dict[str, Any] = {
    "project": {"calendar": "shop"},
    "calendars": [SHOP, {"id": "spare", "name": "Nobody's days"}],
    "tasks": TASKS,
    "crew": [{"trade": "wood", "label": "Joiner 1", "calendar": "shop", "rate": "31.00"}],
    "places": [{"id": "jig", "name": "Wing jig"}],
}


class Shop:
    """A small project on the Settings sheet, and what the service says of it."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.project = bring_in(address, **PARTS)
        self.root = f"{address}/api/v1/projects/{self.project}"
        open_project(page, "settings", self.project)

    def read(self, path: str) -> Any:
        """Return what the service answers."""
        return httpx.get(f"{self.root}{path}").raise_for_status().json()

    def entry(self, section: str, name: str) -> Locator:
        """Return an entry of a section, unfolded."""
        found = self.page.locator(f"#{section} details.thing").filter(
            has=self.page.locator("summary", has_text=name)
        )
        entry = found.first
        if entry.get_attribute("open") is None:
            entry.locator("summary").first.click()
        return entry

    def told(self, text: str) -> None:
        """See what the notice says, and that the sheet is complete again."""
        expect(self.page.locator(".notice")).to_contain_text(text)
        wait_until_drawn(self.page)

    def undo(self) -> None:
        """Take back what was just done."""
        self.page.locator(".notice").get_by_role("button", name="Undo").click()
        self.told("Put back")


@pytest.fixture
def shop(open_page: OpenPage, live_server: str) -> Shop:
    """Return the Settings sheet of a small project."""
    return Shop(open_page(), live_server)


@pytest.mark.parametrize("size", SIZES[::2], ids=name_of_size)
def test_unfolded_forms_fit_and_axe_finds_nothing(
    open_page: OpenPage, size: tuple[int, int]
) -> None:
    page = open_page("/settings", size)
    wait_until_drawn(page)
    for section in ("zones", "calendars", "vendors", "crew", "places", "expedites"):
        for entry in (page.locator(f"#{section} details.thing").nth(0),
                      page.locator(f"#{section} details.thing").last):  # fmt: skip
            entry.locator("summary").first.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert faults(page) == []


def test_new_people_keep_the_projects_calendar_and_are_taken_back(shop: Shop) -> None:
    form = shop.entry("crew", "Add people")
    form.get_by_label("Trade").fill("Paint")
    form.get_by_label("Label").fill("Painter 1")
    form.get_by_label("People").fill("2")
    form.get_by_role("button", name="Add them").click()
    shop.told("Added: Painter 1.")
    row = shop.read("/crew")["crew"][-1]
    assert (row["trade"], row["label"], row["people"]) == ("paint", "Painter 1", 2)
    assert (row["calendar"], row["rate"]) == ("shop", None)
    expect(shop.page.locator("#crew-count")).to_have_text("2")
    shop.undo()
    expect(shop.page.locator("#crew-count")).to_have_text("1")
    assert len(shop.read("/crew")["crew"]) == 1


def test_a_trade_of_the_shops_own_is_kept_as_it_was_typed(shop: Shop) -> None:
    form = shop.entry("crew", "Add people")
    form.get_by_label("Trade").fill("upholstery")
    form.get_by_role("button", name="Add them").click()
    shop.told("Added: upholstery.")
    assert shop.read("/crew")["crew"][-1]["trade"] == "upholstery"


def test_a_second_trade_of_the_same_hands_is_a_row_of_the_same_label_and_calendar(
    shop: Shop,
) -> None:
    entry = shop.entry("crew", "Joiner 1")
    entry.get_by_label("Another trade of the same hands").fill("Helpers")
    entry.get_by_role("button", name="Add the trade").click()
    shop.told("Added: Joiner 1, Helpers.")
    first, second = shop.read("/crew")["crew"]
    assert (first["trade"], second["trade"]) == ("wood", "help")
    alike = ("label", "calendar", "people", "rate")
    assert [first[key] for key in alike] == [second[key] for key in alike]
    expect(shop.page.locator("#crew summary").first).to_contain_text("the same hands: Helpers")
    expect(shop.entry("crew", "Joiner 1")).to_contain_text("change them in every row")


def test_people_without_a_trade_are_asked_for_it(shop: Shop) -> None:
    form = shop.entry("crew", "Add people")
    form.get_by_label("Label").fill("Somebody")
    form.get_by_role("button", name="Add them").click()
    expect(form.get_by_role("alert")).to_contain_text("Trade: what do they do?")
    expect(form.get_by_label("Label")).to_have_value("Somebody")
    expect(form.get_by_label("Trade")).to_have_attribute("aria-invalid", "true")
    assert len(shop.read("/crew")["crew"]) == 1


def test_people_who_leave_are_taken_out_and_brought_back(shop: Shop) -> None:
    before = shop.read("/plan-file")
    shop.entry("crew", "Joiner 1").get_by_role("button", name="Take out of the plan").click()
    shop.told("Taken out: Joiner 1, Wood.")
    expect(shop.page.locator("#crew .empty-state")).to_contain_text("hands for everything")
    assert shop.read("/crew")["crew"] == []
    shop.undo()
    assert shop.read("/plan-file") == before


def test_volunteers_get_a_calendar_of_their_own(shop: Shop) -> None:
    form = shop.entry("calendars", "Add a calendar")
    form.get_by_label("Name").fill("Volunteers (2 days)")
    for index, hours in enumerate((0, 0, 5, 0, 0, 6, 0)):
        form.locator(f"[name='week-{index}']").fill(str(hours))
    form.get_by_role("button", name="Add an opening").click()
    form.get_by_label("Date").fill("2026-12-27")
    form.get_by_role("button", name="Add the calendar").click()
    shop.told("Added: Volunteers (2 days).")
    made = shop.read("/calendars")["calendars"][-1]
    assert made["id"] == "volunteers-2-days"
    assert made["week"] == [0, 0, 5, 0, 0, 6, 0]
    assert made["open"] == [{"date": "2026-12-27", "hours": 8}]
    assert made["holidays"] == "IE"
    expect(
        shop.entry("crew", "Joiner 1").get_by_label("Calendar").locator("option")
    ).to_contain_text(["none yet", "Shop", "Nobody's days", "Volunteers (2 days)"])


def test_a_calendar_that_never_works_is_refused_and_what_was_typed_stays(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    shop = Shop(open_page(watched=False), live_server)
    form = shop.entry("calendars", "Add a calendar")
    form.get_by_label("Name").fill("Never")
    for index in range(7):
        form.locator(f"[name='week-{index}']").fill("0")
    form.get_by_role("button", name="Add the calendar").click()
    expect(form.get_by_role("alert")).to_contain_text("has no working day")
    expect(form.get_by_label("Name")).to_have_value("Never")
    assert len(shop.read("/calendars")["calendars"]) == 2


def test_agreed_overtime_is_an_opening_of_the_calendar(shop: Shop) -> None:
    entry = shop.entry("calendars", "Shop")
    entry.get_by_role("button", name="Add an opening").click()
    entry.get_by_label("Date").fill("2026-10-10")
    entry.get_by_label("Hours", exact=True).fill("6")
    entry.get_by_role("button", name="Save").click()
    shop.told("Saved: Shop.")
    assert shop.read("/calendars/shop")["open"] == [{"date": "2026-10-10", "hours": 6}]
    expect(shop.page.locator("#changes")).to_contain_text("open: added 10 Oct 2026 6")
    shop.undo()
    assert shop.read("/calendars/shop")["open"] == []


def test_a_place_is_added_renamed_given_more_room_and_taken_out(shop: Shop) -> None:
    form = shop.entry("places", "Add a place")
    form.get_by_label("Name").fill("Spray booth")
    form.get_by_role("button", name="Add the place").click()
    shop.told("Added: Spray booth.")
    expect(shop.page.locator("#places")).to_contain_text("Spray booth room for one task")
    entry = shop.entry("places", "Spray booth")
    entry.get_by_label("Name").fill("Booth with the new fan")
    entry.get_by_label("Room for tasks at once").fill("2")
    entry.get_by_role("button", name="Save").click()
    shop.told("Saved: Spray booth.")
    booth = shop.read("/places")["places"][-1]
    assert (booth["id"], booth["name"], booth["capacity"]) == (
        "spray-booth", "Booth with the new fan", 2,
    )  # fmt: skip
    expect(shop.page.locator("#places")).to_contain_text("room for 2 tasks at once")
    shop.undo()
    assert shop.read("/places/spray-booth")["capacity"] == 1
    entry = shop.entry("places", "Spray booth")
    entry.get_by_role("button", name="Take out of the plan").click()
    shop.told("Taken out: Spray booth.")
    assert [one["id"] for one in shop.read("/places")["places"]] == ["jig"]


def test_two_places_of_one_name_get_ids_of_their_own(shop: Shop) -> None:
    for count in (2, 3):
        form = shop.entry("places", "Add a place")
        form.get_by_label("Name").fill("Jig")
        form.get_by_role("button", name="Add the place").click()
        expect(shop.page.locator("#places-count")).to_have_text(str(count))
        wait_until_drawn(shop.page)
    assert [one["id"] for one in shop.read("/places")["places"]] == ["jig", "jig-2", "jig-3"]


def test_a_place_that_a_task_takes_stays_and_the_task_is_named(
    open_page: OpenPage, live_server: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    shop = Shop(open_page(watched=False), live_server)
    entry = shop.entry("places", "Wing jig")
    entry.get_by_role("button", name="Take out of the plan").click()
    expect(entry.get_by_role("alert")).to_contain_text('"Rib the wing" still names the place')
    assert shop.read("/places/jig")["version"] == 1


@pytest.mark.parametrize("button", ["Save", "Take out of the plan"])
def test_what_somebody_else_changed_is_told_and_what_was_typed_stays(
    open_page: OpenPage, live_server: str, button: str
) -> None:
    """The refusal shows in the console, so nobody watches."""
    shop = Shop(open_page(watched=False), live_server)
    entry = shop.entry("crew", "Joiner 1")
    entry.get_by_label("People").fill("3")
    theirs = {"rate": "35.00"}
    httpx.patch(f"{shop.root}/crew/wood", json=theirs, headers={"If-Match": '"1"'})
    entry.get_by_role("button", name=button).click()
    alert = entry.get_by_role("alert")
    expect(alert).to_contain_text("It was changed in the meantime")
    expect(alert).to_contain_text("rate: 31.00 to 35.00")
    expect(entry.get_by_label("People")).to_have_value("3")
    assert shop.read("/crew/wood")["people"] == 1
    entry.get_by_role("button", name="Save").click()
    shop.told("Saved: Joiner 1, Wood.")
    row = shop.read("/crew/wood")
    assert (row["people"], row["rate"]) == (3, "35.00")


def test_empty_sections_say_what_belongs_there(open_page: OpenPage, live_server: str) -> None:
    page = open_page()
    open_project(page, "settings", bring_in(live_server))
    for section, words in (
        ("zones", "regions of the airframe"),
        ("vendors", "A whole list of them"),
        ("crew", "hands for everything"),
        ("places", "A bay, a jig or a booth"),
        ("expedites", "what could be bought"),
    ):
        expect(page.locator(f"#{section} .empty-state")).to_contain_text(words)
        expect(page.locator(f"#{section} details.thing")).to_have_count(1)


def test_the_owner_looks_and_adds_nothing(open_page: OpenPage) -> None:
    page = open_page("/settings")
    take_role(page, "owner")
    page.locator("#places details.thing").first.locator("summary").click()
    expect(page.locator("#places").get_by_label("Name").first).to_be_disabled()
    for words in ("Add people", "Add a place", "Add a calendar", "Add a vendor", "Add a zone"):
        expect(page.get_by_text(words, exact=True)).to_have_count(0)
    expect(page.get_by_role("button", name="Take out of the plan")).to_have_count(0)
    expect(page.get_by_role("button", name="Add the trade")).to_have_count(0)
    take_role(page, "lead")
