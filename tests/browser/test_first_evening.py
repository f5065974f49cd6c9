"""The first evening and a month later: a project, ten findings, a plan, and one finding more."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, expect

from ribstitch.assets import seed_folder
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, wait_until_drawn

_, TABLET, _ = SIZES
PHOTO = seed_folder() / "garganey" / "photos" / "bow-plating.png"
STANDING_LINE = (
    "Usual cautions only. The maker's documents, local codes and licensed people decide."
)
Found = tuple[str, str, int, str, str, str]
FINDINGS: list[Found] = [
    ("nose", "Cylinder 3 weeps oil, one baffle cracked", 4, "Overhaul", "M21", "1"),
    ("rear", "Dent behind the cabin, two stringers bent", 3, "Repair", "M06", "3"),
    ("lwing", "Fabric cracks under a thumb", 4, "Re-cover", "M12", "1"),
    ("rwing", "Glue lines dark along the rear spar", 4, "Repair", "M09", "1"),
    ("tail", "Rudder cable frayed at the lower pulley", 5, "Replace", "M20", "2"),
    ("gear", "Left brake drags, hub scored", 3, "Overhaul", "M17", "2"),
    ("cockpit", "Face of the altimeter gone brown", 3, "Overhaul", "M24", "1"),
    ("cockpit", "Seats of later foam", 5, "Reproduce", "M26", "2"),
    ("systems", "Wires brittle behind the panel", 4, "Re-wire", "M16", "6"),
    ("centre", "Left window crazed", 4, "Replace", "M25", "1"),
]
"""Zone, what is seen, grade, treatment, card, quantity."""
MORE: Found = ("rear", "Crack under the seat rail", 3, "Repair", "M06", "1")
WITH_PHOTO = ("F1", "F5")


@pytest.fixture(scope="module")
def live_server(empty_service: str) -> str:
    """Address of a service on a new database, instead of the demo."""
    return empty_service


class Shop:
    """What a lead does on a tablet, and what the service says of it."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.root = f"{address}/api/v1/projects/1"

    def read(self, path: str) -> Any:
        """Return what the service answers about the project."""
        return httpx.get(f"{self.root}{path}").raise_for_status().json()

    def tasks(self) -> dict[str, dict[str, Any]]:
        """Return all tasks as in the plan file, by id."""
        return {task["id"]: task for task in self.read("/plan-file")["tasks"]}

    def told(self, text: str) -> None:
        """See what the notice says."""
        expect(self.page.locator("#notice")).to_contain_text(text)

    def begin(self) -> None:
        """Go through the four steps with as little as they take."""
        self.page.get_by_role("link", name="Begin a project").tap()
        wait_until_drawn(self.page)
        self.page.get_by_label("EU Part-ML").check()
        self.page.get_by_label("Name of the project").fill("Two-seater 17")
        for step in ("calendar", "crew and places", "money"):
            self.page.get_by_role("button", name=f"Next: {step}").tap()
        self.page.get_by_role("button", name="Begin the project").tap()

    def write_down(self, key: str, found: Found) -> None:
        """Write a finding down with its treatment, in the zone where it is."""
        zone, seen, grade, treatment, card, quantity = found
        self.page.locator("#walk select").select_option(zone)
        form = self.page.get_by_role("form", name="New finding")
        form.get_by_label("What do you see?").fill(seen)
        form.locator(f"[name='grade'][value='{grade}']").check()
        if not form.get_by_text(treatment, exact=True).is_visible():
            form.locator("summary").tap()
        form.get_by_text(treatment, exact=True).tap()
        form.get_by_label("Method card").select_option(card)
        form.locator("[name='quantity']").fill(quantity)
        form.get_by_role("button", name="Next").tap()
        self.told(f"Written down: {key}")

    def photograph(self, key: str) -> None:
        """Add a photo, by way of the notice."""
        self.page.locator("#notice").get_by_role("button", name="Photos").tap()
        row = self.page.locator(f".finding[data-key='{key}']")
        row.locator("input[multiple]").set_input_files(PHOTO)
        expect(row.locator(".finding-head")).to_contain_text("1 photo")

    def start_what_comes_first(self) -> None:
        """Start the first of what can be started."""
        self.page.goto("/today")
        wait_until_drawn(self.page)
        self.page.locator("#ready").get_by_role("button", name="Start").first.tap()
        self.told("In work: Make safe")

    def move_the_date_on(self, days: int) -> None:
        """Say in Settings that the status is true of a later date."""
        self.page.goto("/settings")
        wait_until_drawn(self.page)
        where = self.page.locator("#vendors-list").get_by_role("link", name="with a table")
        expect(where).to_have_attribute("href", re.compile("^/import.*table=vendors"))
        field = self.page.get_by_label("As of", exact=True)
        later = date.fromisoformat(field.input_value()) + timedelta(days)
        field.fill(later.isoformat())
        self.page.locator("form:has([name='as_of'])").get_by_role("button", name="Save").tap()
        self.told("Saved: the project")

    def put_into_the_plan(self) -> None:
        """Look what the findings make, and take it."""
        self.page.get_by_role("button", name="Look what it makes").tap()
        self.page.get_by_role("button", name="Put into the plan").tap()
        self.told("The plan is made from the findings.")


def test_findings_of_an_evening_become_a_plan_and_one_more_leaves_it_as_it_stands(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page("/", TABLET)
    shop = Shop(page, live_server)
    shop.begin()
    expect(page.locator(".begun-likely")).to_contain_text("80 % by", timeout=60_000)
    page.get_by_role("link", name="Begin the evaluation").tap()
    wait_until_drawn(page)
    expect(page.locator(".title-block .project")).to_contain_text("Two-seater 17")
    expect(page.locator(".title-block .project")).to_be_visible()
    for number, found in enumerate(FINDINGS, start=1):
        shop.write_down(f"F{number}", found)
        if f"F{number}" in WITH_PHOTO:
            shop.photograph(f"F{number}")
    page.reload()
    wait_until_drawn(page)
    words = page.get_by_role("form", name="New finding").get_by_label("What do you see?")
    expect(words).to_have_value("")
    photos = {line["finding"] for line in shop.read("/evidence")["evidence"]}
    assert (len(shop.read("/findings")["findings"]), photos) == (10, set(WITH_PHOTO))
    bare = shop.tasks()
    shop.put_into_the_plan()
    drafted = [task for key, task in shop.tasks().items() if key not in bare]
    assert {task["origin"]["finding"] for task in drafted} == {f"F{n}" for n in range(1, 11)}

    shop.start_what_comes_first()
    shop.move_the_date_on(days=30)
    before = shop.tasks()
    page.goto("/evaluation")
    wait_until_drawn(page)
    shop.write_down("F11", MORE)
    shop.put_into_the_plan()
    after = shop.tasks()
    assert {key: after[key] for key in before} == before
    assert before["M01.1"]["status"]["state"] == "in_work"
    assert {after[key]["origin"]["finding"] for key in after.keys() - before.keys()} == {"F11"}
    daily_sheet_prints_the_work_with_its_cautions(page)


def daily_sheet_prints_the_work_with_its_cautions(page: Page) -> None:
    """On paper stand the task in work, what it endangers, and the line that others decide."""
    page.goto("/today")
    wait_until_drawn(page)
    cautions = page.locator("#cautions")
    expect(cautions).to_be_hidden()
    page.emulate_media(media="print")
    expect(page.locator("#in-work")).to_contain_text("Make safe: chock; earth; drain fuel and oil")
    expect(cautions.locator("dt")).to_have_text(
        ["fuel vapour", "battery", "jacking", "live ignition"]
    )
    expect(cautions.locator(".standing-line")).to_have_text(STANDING_LINE)
    expect(cautions.locator(".standing-line")).to_be_visible()
    expect(page.locator("#print")).to_be_hidden()
