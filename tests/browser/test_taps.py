"""The floor, counted in taps: three at most for each record, and Undo takes it back."""

from __future__ import annotations

from collections.abc import Callable

import httpx
import pytest
from playwright.sync_api import FilePayload, Locator, Page, expect

from tests.api.pictures import picture
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SIZES, name_of_size
from tests.browser.test_states import DAY, bring_in, open_project

MOST = 3
BEGUN = {"state": "in_work", "started": DAY}
PLAN = {
    "project": {"name": "Counted"},
    "calendars": [{"id": "shop"}],
    "tasks": [
        {"id": "RIB", "name": "Rib the left wing", "days": 4, "trade": "wood"},
        {"id": "WELD", "name": "Weld the mount", "days": 5, "trade": "metal", "status": BEGUN},
    ],
    "crew": [{"trade": "metal", "label": "Welder", "calendar": "shop"}],
}
PHOTO = FilePayload(name="mount.png", mimeType="image/png", buffer=picture("PNG"))
COUNT = "document.addEventListener('pointerdown', () => { window.taps += 1; }, true)"


def start(page: Page) -> None:
    """Begin a task."""
    on_card(page, "RIB", "Start").tap()


def done(page: Page) -> None:
    """Finish a task."""
    on_card(page, "WELD", "Done").tap()


def hold(page: Page) -> None:
    """Hold a task, with the reason."""
    on_card(page, "WELD", "Hold").tap()
    page.get_by_role("button", name="Waiting for a part").tap()
    page.get_by_role("button", name="Hold the task").tap()


def days_left(page: Page) -> None:
    """Say that a task takes a day longer."""
    on_card(page, "WELD", "Days left").tap()
    page.get_by_role("button", name="One day more").tap()
    page.get_by_role("button", name="Save the days left").tap()


def hours(page: Page) -> None:
    """Enter hours of today."""
    on_card(page, "WELD", "Hours").tap()
    page.get_by_role("form", name="Hours: Weld").get_by_role("button", name="Save 4").tap()


def photo(page: Page) -> None:
    """Take a photo; what the device's own camera asks for is not counted."""
    with page.expect_file_chooser() as chosen:
        on_card(page, "WELD", "Photo").tap()
    chosen.value.set_files([PHOTO])


RECORDS: list[Callable[[Page], None]] = [start, hold, days_left, hours, photo, done]


def on_card(page: Page, task: str, button: str) -> Locator:
    """Return a button of a task's card."""
    return page.locator(f"article.card[data-task='{task}']").get_by_role("button", name=button)


@pytest.mark.parametrize("size", SIZES[1:], ids=name_of_size)
def test_each_record_of_the_floor_takes_three_taps_at_most_and_undo_takes_it_back(
    open_page: OpenPage, live_server: str, size: tuple[int, int]
) -> None:
    project = bring_in(live_server, **PLAN)
    root = f"{live_server}/api/v1/projects/{project}"
    page = open_page(size=size)
    open_project(page, "today", project)
    page.evaluate(COUNT)
    notice = page.locator("#notice")
    for record in RECORDS:
        before = httpx.get(f"{root}/plan-file").json()
        page.evaluate("window.taps = 0")
        record(page)
        undo = notice.get_by_role("button", name="Undo")
        expect(undo).to_be_visible()
        assert 1 <= page.evaluate("window.taps") <= MOST, record.__doc__
        assert httpx.get(f"{root}/plan-file").json() != before, record.__doc__
        undo.tap()
        expect(notice).to_contain_text("Put back")
        assert httpx.get(f"{root}/plan-file").json() == before, record.__doc__
        notice.get_by_role("button", name="Close").tap()
