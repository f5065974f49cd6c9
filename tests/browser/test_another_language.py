"""Every text of every page comes from the catalogue: in a made-up language no English is left."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from ribstitch.assets import seed_folder
from ribstitch.seeding.csv_rows import rows
from ribstitch.services.load_demo import DEMO
from tests.browser.conftest import DESKTOP, Windows
from tests.browser.journeys import SHEETS, wait_until_drawn
from tests.support.made_up import LANGUAGE, english_left, speak, typed_in

UNFOLD = "for (const fold of document.querySelectorAll('main details')) fold.open = true"
NAMES = ["Ribstitch", "Ireland", "EUR", "GBP", "CZK", "USD", "CAD", "CSV", "XLSX"]
"""What reads the same in every language, or comes from the browser's own tables."""


BEGUN_WITH = [
    "airframe_zones", "method_cards", "method_steps", "standing_jobs", "starting_crew",
    "starting_places",
]  # fmt: skip
OTHERS = ["evaluation-report", "method-cards", "new-project", "import?table=tasks", "help"]


@pytest.fixture(scope="module")
def typed() -> list[str]:
    """What people typed: the demo's plan, and what a new project begins with."""
    plan = json.loads((seed_folder() / DEMO).read_text(encoding="utf-8"))
    files = ((seed_folder() / f"{name}.csv").read_text(encoding="utf-8") for name in BEGUN_WITH)
    begun = [text for file in files for row in rows(file) for text in row.values()]
    return [*NAMES, *typed_in(plan), *begun]


@pytest.fixture(scope="module")
def speaking(windows: Windows) -> Iterator[Page]:
    """A window whose pages are read in the made-up language."""
    page = windows.take(DESKTOP)
    speak(page)
    yield page
    page.context.close()


@pytest.mark.parametrize("sheet", [*SHEETS, *OTHERS])
def test_a_sheet_is_read_in_another_language(speaking: Page, typed: list[str], sheet: str) -> None:
    speaking.goto(f"/{sheet}")
    wait_until_drawn(speaking)
    speaking.evaluate(UNFOLD)
    speaking.wait_for_load_state("networkidle")
    assert english_left(speaking, typed) == []
    assert speaking.locator("html").get_attribute("lang") == LANGUAGE
