"""New project: from an empty database to a first forecast, and on to ten findings in the plan."""

from __future__ import annotations

import time

import httpx
import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, take_role, wait_until_drawn
from tests.browser.test_sheets import faults

_, TABLET, PHONE = SIZES
SECONDS = 60
"""Most that the machine takes from the empty page to the likely finish."""
KINDS = {"Landplane": "landplane", "Biplane": "biplane", "Amphibious flying boat": "amphibian"}


@pytest.fixture(scope="module")
def live_server(empty_service: str) -> str:
    """Address of a service on a new database, instead of the demo."""
    return empty_service


def turn_to(page: Page, step: str) -> None:
    """Go to a step of the wizard."""
    page.get_by_role("navigation", name="Steps").get_by_role("button", name=step).click()
    expect(page.get_by_role("heading", name=step, exact=True)).to_be_focused()


def tell_of_money(page: Page) -> None:
    """Tell a budget, what of it one chapter gets, and what an hour of a trade costs."""
    page.get_by_label("Budget, all together").fill("180 000")
    page.get_by_role("button", name="Add a chapter").click()
    page.get_by_label("Chapter", exact=True).select_option("53")
    page.get_by_label("Amount", exact=True).fill("40 000")
    page.get_by_label("Metal", exact=True).fill("48")


def test_lead_gets_from_nothing_to_a_first_forecast_and_ten_findings(
    open_page: OpenPage, live_server: str
) -> None:
    begun_at = time.monotonic()
    page = open_page("/", TABLET)
    page.get_by_role("link", name="Begin a project").click()
    wait_until_drawn(page)
    assert faults(page) == []
    page.get_by_label("EU Part-ML").check()
    page.get_by_role("radio", name="Biplane").check()
    page.get_by_label("Name of the project").fill("Two-seater 42")
    page.get_by_label("Zone Undercarriage").uncheck()
    page.get_by_role("button", name="Next: calendar").click()
    expect(page.get_by_label("Public holidays of")).to_have_value("IE")
    page.get_by_role("button", name="Next: crew and places").click()
    page.locator("summary", has_text="Mechanic 1").click()
    page.locator("details[open]").get_by_label("Cost of an hour").fill("46")
    expect(page.locator("summary", has_text="Mechanic 1")).to_contain_text("46 an hour")
    assert faults(page) == []
    page.get_by_role("button", name="Next: money").click()
    tell_of_money(page)
    assert faults(page) == []
    page.get_by_role("button", name="Begin the project").click()
    expect(page.get_by_role("heading", name="Two-seater 42 has begun")).to_be_focused()
    expect(page.locator(".begun-likely")).to_contain_text("80 % by", timeout=SECONDS * 1000)
    assert time.monotonic() - begun_at < SECONDS
    assert faults(page) == []

    [line] = httpx.get(f"{live_server}/api/v1/projects").json()["projects"]
    root = f"{live_server}/api/v1/projects/{line['id']}"
    plan = httpx.get(f"{root}/plan-file").json()
    assert (line["name"], line["airframe"]) == ("Two-seater 42", "biplane")
    assert "gear" not in {zone["id"] for zone in plan["zones"]}
    assert [one["rate"] for one in plan["crew"] if one["label"] == "Mechanic 1"] == ["46", "46"]
    assert [one["amount"] for one in plan["budget"]] == ["40000", "140000"]
    assert [one["rate"] for one in plan["crew"] if one["trade"] == "metal"] == ["48"]
    before = httpx.get(f"{root}/title-block").json()["finish"]

    page.get_by_role("link", name="Begin the evaluation").click()
    wait_until_drawn(page)
    page.locator("#walk select").select_option("rear")
    words = page.get_by_label("What do you see?")
    for number in range(1, 11):
        words.fill(f"Dent {number} behind the cockpit")
        for key in ("Enter", "3", "Enter"):
            page.keyboard.press(key)
        expect(page.locator("#notice")).to_contain_text(f"Written down: F{number}")
    for finding in httpx.get(f"{root}/findings").json()["findings"]:
        httpx.patch(
            f"{root}/findings/{finding['key']}",
            json={"treatment": "repair", "card": "M06", "chapter": "53", "quantity": "3"},
            headers={"If-Match": f'"{finding["version"]}"'},
        ).raise_for_status()
    page.reload()
    wait_until_drawn(page)
    page.get_by_role("button", name="Look what it makes").click()
    page.get_by_role("button", name="Put into the plan").click()
    expect(page.locator("#notice")).to_contain_text("later")
    after = httpx.get(f"{root}/plan-file").json()["tasks"]
    assert len(after) == len(plan["tasks"]) + 10 * 3  # card M06 has three steps
    assert httpx.get(f"{root}/title-block").json()["finish"] > before


def test_nothing_typed_is_lost_between_steps_and_when_the_page_is_loaded_again(
    open_page: OpenPage,
) -> None:
    page = open_page("/new-project", PHONE)
    wait_until_drawn(page)
    page.get_by_label("National permit").check()
    page.get_by_label("Name of the project").fill("Half told")
    page.locator("[data-zone-id='tail']").get_by_label("Bays").fill("4")
    page.get_by_role("button", name="Add a zone").click()
    page.keyboard.type("Belly pod")
    turn_to(page, "Crew and places")
    page.locator("summary", has_text="Volunteers").click()
    page.locator("details[open]").get_by_role("button", name="Take out").click()
    page.get_by_role("button", name="Add a place").click()
    page.keyboard.type("Tail stand")
    turn_to(page, "Calendar")
    page.get_by_label("Sat").first.fill("4")
    page.reload()
    wait_until_drawn(page)
    expect(page.get_by_role("heading", name="Calendar")).to_be_visible()
    expect(page.get_by_label("Sat").first).to_have_value("4")
    turn_to(page, "Crew and places")
    expect(page.locator("summary", has_text="Volunteers")).to_have_count(0)
    expect(page.locator("[data-field='places'] [data-part='name']").last).to_have_value(
        "Tail stand"
    )
    turn_to(page, "Aircraft")
    expect(page.get_by_label("Name of the project")).to_have_value("Half told")
    expect(page.get_by_label("National permit")).to_be_checked()
    expect(page.locator("[data-zone-id='tail']").get_by_label("Bays")).to_have_value("4")
    expect(page.locator("[data-zone-id]").last.get_by_label("Zone", exact=True)).to_have_value(
        "Belly pod"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


def test_a_refusal_stands_beside_its_field_on_its_step(
    open_page: OpenPage, live_server: str
) -> None:
    before = httpx.get(f"{live_server}/api/v1/projects").json()
    page = open_page("/new-project", TABLET, watched=False)
    wait_until_drawn(page)
    page.get_by_role("button", name="Next: calendar").click()
    expect(page.locator("[data-field='name'] .wrong")).to_contain_text("needs a name")
    expect(page.get_by_label("EU Part-ML")).to_be_checked()
    page.get_by_label("US 14 CFR").check()
    page.get_by_label("Name of the project").fill("Refused")
    turn_to(page, "Crew and places")
    page.locator("summary", has_text="Inspector").click()
    page.locator("details[open]").get_by_label("Label").fill("Mechanic 1")
    turn_to(page, "Money")
    page.get_by_role("button", name="Begin the project").click()
    wrong = page.locator("[data-field='crew[4].label'] .wrong")
    expect(wrong).to_contain_text("is there already")
    expect(wrong).to_be_visible()
    assert httpx.get(f"{live_server}/api/v1/projects").json() == before


def test_list_of_projects_ends_with_a_new_one_for_who_may_begin_it(
    open_page: OpenPage, live_server: str
) -> None:
    plan = {"format": "ribstitch-plan/1", "project": {"name": "Other", "start": "2026-10-05"}}
    for _number in range(2):
        httpx.post(f"{live_server}/api/v1/projects", json=plan).raise_for_status()
    page = open_page("/today", TABLET)
    wait_until_drawn(page)
    with page.expect_navigation(url="**/new-project"):
        page.locator("#project").select_option("New project…")
    wait_until_drawn(page)
    expect(page.get_by_label("Method cards")).to_contain_text("Copied from Other")
    take_role(page, "owner")
    expect(page.get_by_text("You are looking as the owner.")).to_be_visible()
    expect(page.get_by_role("button", name="Next")).to_have_count(0)


def test_every_zone_of_each_kind_has_a_shape_on_its_drawing(
    open_page: OpenPage, live_server: str
) -> None:
    offer = httpx.get(f"{live_server}/api/v1/new-project").json()
    page = open_page("/new-project", TABLET)
    wait_until_drawn(page)
    for kind in offer["kinds"]:
        shown = next(text for text, airframe in KINDS.items() if airframe == kind["airframe"])
        page.get_by_role("radio", name=shown).check()
        expect(page.locator(".airframe .view").first.locator("svg")).to_have_attribute(
            "aria-label", f"{shown}, seen from the left"
        )
        buttons = page.locator(".airframe .zone[role='button']")
        drawn = {str(one.get_attribute("data-zone")) for one in buttons.all()}
        assert drawn == {zone["id"] for zone in kind["zones"]}
