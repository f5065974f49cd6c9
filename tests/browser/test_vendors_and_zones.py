"""A new shop adds the vendor and the zone that its evaluation lacks, on a tablet."""

from __future__ import annotations

import re

from playwright.sync_api import Route, expect

from tests.browser.conftest import TABLET, OpenPage
from tests.browser.journeys import wait_until_drawn
from tests.browser.test_sheets import faults
from tests.browser.test_states import bring_in, open_project

FINDING = {
    "id": "F1", "seen": "Tail fittings bare", "title": "Fittings", "zone": "tail",
    "treatment": "overhaul", "send_out_kind": "plating", "own_hours": ["1", "2", "3"],
    "own_trade": "metal",
}  # fmt: skip
PLATING = {
    "id": "plating", "name": "Plating", "over_median": 1.1, "over_p90": 1.6, "quoted_days": 15,
}  # fmt: skip


def test_what_the_draft_lacks_is_added_where_it_leads_to_and_the_draft_takes_it(
    open_page: OpenPage, live_server: str
) -> None:
    project = bring_in(
        live_server,
        project={"airframe": "landplane"},
        zones=[{"id": "tail", "name": "Tail"}],
        kinds=[PLATING],
        crew=[{"trade": "metal"}],
        findings=[FINDING],
    )
    page = open_page(size=TABLET)
    open_project(page, "away", project)
    untaken = page.locator("#vendors p").filter(has_text="No vendor takes")
    expect(untaken).to_have_text("No vendor takes Plating, wanted for F1. Add a vendor")
    expect(untaken.get_by_role("link")).to_have_attribute("href", re.compile("takes=plating"))
    open_project(page, "evaluation", project)
    plan = page.locator("#plan")
    plan.get_by_role("button", name="Look what it makes").click()
    problem = plan.get_by_role("listitem").filter(has_text="no vendor takes that")
    problem.get_by_role("link", name="Add a vendor").click()
    wait_until_drawn(page)

    form = page.locator("#vendors details.thing").last
    expect(form.get_by_label("Name")).to_be_focused()
    expect(form.get_by_label("Plating")).to_be_checked()
    form.get_by_label("Name").fill("Invented Platers")
    form.get_by_role("button", name="Add the vendor").click()
    notice = page.locator(".notice")
    expect(notice).to_contain_text("Added: Invented Platers.")
    expect(page.locator("#vendors summary").first).to_contain_text("takes Plating")
    expect(form.get_by_label("Plating")).not_to_be_checked()

    zone = page.locator("#zones details.thing").last
    zone.locator("summary").click()
    zone.get_by_label("Name").fill("Nose")
    zone.get_by_role("button", name="Add the zone").click()
    expect(notice).to_contain_text("Added: Nose.")
    expect(page.locator("#zones summary").nth(1)).to_have_text("Nose not on the drawing")
    notice.get_by_role("button", name="Undo").click()
    expect(notice).to_contain_text("Put back")
    expect(page.locator("#zones-count")).to_have_text("1")
    wait_until_drawn(page)
    zone.get_by_label("Name").fill("Nose")
    zone.get_by_label("Place on the drawing").select_option("Nose and engine bay")
    zone.get_by_role("button", name="Add the zone").click()
    expect(notice).to_contain_text("Added: Nose.")
    expect(page.locator("#zones summary").nth(1)).to_have_text("Nose")
    assert faults(page) == []

    open_project(page, "evaluation", project)
    expect(page.locator("#airframe [data-zone='nose']").first).to_be_attached()
    plan.get_by_role("button", name="Look what it makes").click()
    plan.get_by_text("New", exact=True).click()
    made = plan.get_by_role("list", name="New")
    expect(made).to_contain_text("Invented Platers is asked: it takes Plating.")
    made.get_by_role("button", name="finding F1").first.click()
    expect(page.get_by_role("form", name="Finding F1").get_by_label("Zone")).to_contain_text("Nose")


def test_a_long_board_has_the_least_grace_in_sight_and_a_link_unfolds_the_rest(
    open_page: OpenPage,
) -> None:
    """Thirty items of each sort; two dozen cards stand in sight."""

    def lengthened(route: Route) -> None:
        board = route.fetch().json()
        item = next(one for one in board["send_outs"] if one["expected_back"])
        board["send_outs"] = [
            {
                **item,
                "id": f"{sort}{number}",
                "name": f"Item {number}",
                "grace_days": number,
                **changes,
            }
            for sort, changes in (("OPEN", {}), ("BACK", {"stage": "accepted"}))
            for number in range(30)
        ]
        route.fulfill(json=board)

    page = open_page()
    page.route("**/projects/1/away", lengthened)
    page.goto("/away")
    wait_until_drawn(page)
    cards = page.locator("#board .item")
    expect(cards).to_have_count(24)
    expect(cards.last.get_by_role("heading")).to_have_text("Item 23")
    rest, back = page.locator("#board > details").all()
    expect(rest.locator("summary")).to_have_text("6 more, with more grace")
    rest.locator("summary").click()
    expect(rest.locator(".item h3")).to_have_text([f"Item {number}" for number in range(24, 30)])
    expect(back.locator("summary")).to_have_text("Back and closed (30)")

    page.goto("about:blank")
    page.goto("/away#BACK7")
    wait_until_drawn(page)
    expect(page.locator("[id='item-BACK7']")).to_be_in_viewport()
