"""A language that runs from right to left: the sheets turn, and nothing is cut."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, Windows
from tests.browser.journeys import wait_until_drawn
from tests.browser.test_readers import check_nothing_is_cut
from tests.support.made_up import LANGUAGE, speak


@pytest.fixture(scope="module")
def turned(windows: Windows) -> Iterator[Page]:
    """A window whose pages are read in a made-up language from right to left."""
    page = windows.take(DESKTOP)
    speak(page, "rtl")
    yield page
    page.context.close()


@pytest.mark.parametrize("sheet", ["today", "forecast", "what-if"])
def test_a_sheet_is_read_from_right_to_left(turned: Page, sheet: str) -> None:
    turned.goto(f"/{sheet}")
    wait_until_drawn(turned)
    expect(turned.locator("html")).to_have_attribute("lang", LANGUAGE)
    expect(turned.locator("html")).to_have_attribute("dir", "rtl")
    check_nothing_is_cut(turned)
    begins = turned.evaluate("""() => [...document.querySelectorAll("#set-index a")]
      .map((way) => way.getBoundingClientRect().left)""")
    assert begins == sorted(begins, reverse=True), "the first of the set stands at the right"
