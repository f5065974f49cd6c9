"""Tables are loaded down, and the address of a calendar is copied, where one looks for them."""

from __future__ import annotations

import io
from urllib.parse import parse_qs, urlsplit

import httpx
import openpyxl
from icalendar import Calendar
from playwright.sync_api import Page, expect

from tests.browser.conftest import PHONE, OpenPage
from tests.browser.journeys import wait_until_drawn

TABLES = {
    "schedule": ["tasks", "links"],
    "away": ["send-outs", "vendors"],
    "money": ["costs", "payments", "hours"],
}
FINGER = 44


def load_down(page: Page, label: str) -> tuple[str, bytes]:
    """Touch a link; return the name and the content of the file."""
    with page.expect_download() as waiting:
        page.get_by_role("link", name=label, exact=True).click()
    return waiting.value.suggested_filename, waiting.value.path().read_bytes()


def test_tables_are_loaded_down_from_the_sheets_that_show_them(open_page: OpenPage) -> None:
    for sheet, names in TABLES.items():
        page = open_page(f"/{sheet}", PHONE)
        wait_until_drawn(page)
        links = page.locator(".table-links a")
        found = [urlsplit(one.get_attribute("href") or "").path for one in links.all()]
        expected = [f"{name}.{kind}" for name in names for kind in ("xlsx", "csv")]
        assert [path.rpartition("/")[2] for path in found] == expected
        page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
        box = links.first.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= FINGER
        name, content = load_down(page, f"{names[0]}, xlsx")
        assert name == f"{names[0]}.xlsx"
        assert openpyxl.load_workbook(io.BytesIO(content)).sheetnames == [names[0]]
        name, content = load_down(page, f"{names[0]}, csv")
        assert (name, content[:3]) == (f"{names[0]}.csv", b"\xef\xbb\xbf")


def test_settings_has_all_tables_and_the_addresses_of_the_calendars(open_page: OpenPage) -> None:
    page = open_page("/settings#elsewhere", PHONE)
    wait_until_drawn(page)
    expect(page.locator(".table-links li")).to_have_count(8)
    for role in ("lead", "owner", "planner"):
        address = page.locator(f'input[name="calendar-{role}"]').input_value()
        assert parse_qs(urlsplit(address).query) == {"role": [role]}
        calendar = Calendar.from_ical(httpx.get(address).raise_for_status().content)
        assert len(calendar.walk("VEVENT")) > 10
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.get_by_role("button", name="Copy the address for the owner").click()
    expect(page.locator(".notice")).to_contain_text("The address is copied.")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == page.locator('input[name="calendar-owner"]').input_value()
