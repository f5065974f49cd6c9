"""Photos of a task: chosen on a telephone, told about, taken back; and those that are not here."""

from __future__ import annotations

from typing import Any

import httpx
from playwright.sync_api import FilePayload, Locator, Page, expect

from tests.api import pictures
from tests.browser.conftest import PHONE, OpenPage
from tests.browser.journeys import take_role
from tests.browser.test_sheets import faults
from tests.browser.test_states import DAY, bring_in, open_project

TASK = {
    "id": "A",
    "name": "Open the fin",
    "days": 5,
    "status": {"state": "in_work", "started": DAY},
}
FRONT = FilePayload(name="front.jpg", mimeType="image/jpeg", buffer=pictures.camera_photo())
BACK = FilePayload(name="back.png", mimeType="image/png", buffer=pictures.picture("PNG"))
PAGE = FilePayload(name="page.jpg", mimeType="image/jpeg", buffer=b"<!doctype html>")


def opened(page: Page, address: str, **parts: Any) -> tuple[Locator, str]:
    """Open the sheet of the only task; return it and the endpoint of the project's evidence."""
    project = bring_in(address, tasks=[TASK], **parts)
    open_project(page, "today", project)
    return sheet_of(page), f"{address}/api/v1/projects/{project}/evidence"


def sheet_of(page: Page) -> Locator:
    """Open the sheet of the task."""
    page.locator(".card-name button").first.click()
    section = page.get_by_role("region", name="Photos and documents")
    expect(section).to_be_visible()
    return section


def lines(endpoint: str) -> list[dict[str, Any]]:
    """Return the project's photos as the service lists them."""
    found: list[dict[str, Any]] = httpx.get(endpoint).raise_for_status().json()["evidence"]
    return found


def test_two_photos_are_added_captioned_looked_at_taken_away_and_brought_back(
    open_page: OpenPage, live_server: str
) -> None:
    page = open_page(size=PHONE)
    section, endpoint = opened(page, live_server)
    expect(section).to_contain_text("None yet.")
    with page.expect_file_chooser() as chooser:
        section.get_by_role("button", name="Add photos or PDFs").click()
    assert chooser.value.is_multiple()
    chooser.value.set_files([FRONT, BACK])
    expect(section.get_by_role("img")).to_have_count(2)
    expect(section).to_contain_text("2 added.")
    assert [one["task"] for one in lines(endpoint)] == ["A", "A"]
    assert section.evaluate("node => node.scrollWidth <= node.clientWidth")

    section.get_by_role("img", name="front.jpg").click()
    large = page.get_by_role("dialog", name="Photo 1 of 2")
    large.get_by_role("button", name="After →").press("ArrowRight")
    large = page.get_by_role("dialog", name="Photo 2 of 2")
    expect(large.get_by_role("img", name="back.png")).to_be_visible()
    assert faults(page) == []
    large.get_by_label("What it shows").fill("Spar root, from behind")
    large.get_by_role("button", name="← Before").click()
    page.keyboard.press("ArrowLeft")
    expect(large.get_by_label("What it shows")).to_have_value("Spar root, from behind")
    large.get_by_label("Taken on").fill("2026-10-02")
    large.get_by_role("button", name="Save what it shows").click()
    expect(section.get_by_role("img", name="Spar root, from behind")).to_be_visible()
    second = lines(endpoint)[1]
    assert (second["caption"], second["taken_on"]) == ("Spar root, from behind", "2026-10-02")

    section.get_by_role("img", name="Spar root").click()
    page.get_by_role("button", name="Take it away").click()
    expect(section.get_by_role("img")).to_have_count(1)
    section.get_by_role("button", name="Undo").click()
    expect(section).to_contain_text("Taken back.")
    expect(section.get_by_role("img", name="Spar root")).to_be_visible()
    assert len(lines(endpoint)) == 2

    page.get_by_role("dialog").get_by_role("button", name="Close").click()
    take_role(page, "owner")
    section = sheet_of(page)
    expect(section.get_by_role("img")).to_have_count(2)
    assert section.get_by_role("button", name="Add photos or PDFs").count() == 0


def test_what_is_refused_is_told_by_name_and_a_file_that_is_gone_leaves_an_empty_frame(
    open_page: OpenPage, live_server: str
) -> None:
    """Refusals show in the console, so nobody watches."""
    page = open_page(watched=False)
    gone = {"id": "E1", "sha256": "ab" * 32, "media_type": "image/jpeg", "size": 9, "task": "A",
            "added_on": DAY, "caption": "Fin before"}  # fmt: skip
    section, endpoint = opened(page, live_server, evidence=[gone])
    expect(section).to_contain_text("File is not here: Fin before")
    section.locator("input[multiple]").set_input_files([PAGE, BACK])
    refused = section.get_by_role("listitem")
    expect(refused).to_have_text(
        "page.jpg: it is no JPEG, PNG or WebP picture and no PDF document, whatever its name says"
    )
    expect(section).to_contain_text("Added.")
    section.get_by_role("button", name="Undo").click()
    expect(section).to_contain_text("Taken back.")
    assert [one["key"] for one in lines(endpoint)] == ["E1"]
