"""A shop's own table comes in: chosen, matched, asked about, tried, taken in, taken back."""

from __future__ import annotations

import re

from playwright.sync_api import FilePayload, Page, expect

from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, answer, take_role, wait_until_drawn
from tests.browser.test_sheets import faults

_, TABLET, PHONE = SIZES
TABLE = (
    "\ufeffWalk-round, hull;;;;\r\nSnag no;Area;What I saw;Qty;Date seen\r\n"
    "W1;{zone};Blister, 20 mm;1,5;03/04/2026\r\nW2;attic;Dent;1;04/04/2026\r\n"
)


def findings(address: str) -> list[str]:
    return [one["id"] for one in answer(address, "/findings")["findings"]]


def choose(page: Page, text: str, name: str = "walk-round.csv") -> None:
    """Choose a file and look at it."""
    file: FilePayload = {"name": name, "mimeType": "text/csv", "buffer": text.encode()}
    page.get_by_label("File", exact=True).set_input_files([file])
    page.get_by_role("button", name="Look at the columns").click()


def test_a_table_of_findings_comes_in_and_is_taken_back(
    open_page: OpenPage, live_server: str
) -> None:
    before = findings(live_server)
    zone = answer(live_server, "/zones")["zones"][0]["id"]
    page = open_page("/evaluation", TABLET)
    wait_until_drawn(page)
    page.get_by_role("link", name="Take in a table").click()
    wait_until_drawn(page)
    choose(page, TABLE.format(zone=zone))
    expect(page.get_by_role("heading", name="2 · The columns")).to_be_focused()
    expect(page.get_by_label("The head is")).to_have_value("2")
    expect(page.get_by_label("What I saw is")).to_have_value("")
    needed = page.get_by_label("What I saw is").locator("[label='Needed for a new one'] option")
    expect(needed.filter(has_text=re.compile("^seen$"))).to_have_count(1)
    page.get_by_label("What I saw is").select_option("seen")
    page.get_by_role("button", name="Try it").click()
    page.get_by_label("In 03/04/2026").select_option("day_first")
    page.get_by_role("button", name="Try it").press("Enter")
    expect(page.get_by_role("heading", name="3 · What would come of it")).to_be_focused()
    expect(page.locator(".trial-counts")).to_have_text("1 new, 1 cannot come in.")
    row = page.get_by_role("row").filter(has_text="attic")
    expect(row).to_contain_text('there is no zone "attic" in the plan')
    assert faults(page) == []
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Take the list along").click()
    assert b'""attic""' in waiting.value.path().read_bytes()
    assert findings(live_server) == before
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    width = "document.documentElement.scrollWidth"
    assert page.evaluate(width) <= PHONE[0]
    page.get_by_role("button", name="Take in the good rows: 1").click()
    expect(page.locator(".notice")).to_contain_text("Taken in: 1 new.")
    assert findings(live_server) == [*before, "W1"]
    page.locator(".notice").get_by_role("button", name="Undo").click()
    expect(page.locator(".notice")).to_contain_text(re.compile("Put back: the table"))
    assert findings(live_server) == before


def test_what_is_no_table_is_refused_and_the_owner_is_told_who_takes_tables_in(
    open_page: OpenPage,
) -> None:
    page = open_page("/import", PHONE, watched=False)
    wait_until_drawn(page)
    choose(page, "\x00\x01", "picture.csv")
    expect(page.locator(".error-summary")).to_contain_text("neither a workbook")
    expect(page.locator("#columns")).to_be_hidden()
    take_role(page, "owner")
    expect(page.locator("#looking")).to_be_visible()
    expect(page.locator("#file")).to_be_hidden()
