"""A browser for the journeys: pages of the running demo, watched."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.support.browser import Watch, running_browser

DESKTOP = (1280, 800)
TABLET = (820, 1180)
PHONE = (390, 844)

OpenPage = Callable[..., Page]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark everything in this folder, so that it can be chosen or left out."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, started once."""
    with running_browser() as chromium:
        yield chromium


@pytest.fixture
def open_page(browser: Browser, live_server: str) -> Iterator[OpenPage]:
    """
    Return a function that opens an address of the demo in a window of a given size.

    ``open_page("/today", PHONE)``. Each page has its own storage, times out after ten
    seconds, and is watched: at the end the test fails if the console showed an error or
    another host was asked.
    """
    watch = Watch(urlsplit(live_server).netloc)
    contexts: list[BrowserContext] = []

    def open_at(path: str = "/", size: tuple[int, int] = DESKTOP) -> Page:
        width, height = size
        context = browser.new_context(
            base_url=live_server,
            viewport={"width": width, "height": height},
            has_touch=size != DESKTOP,
            locale="en-IE",
            timezone_id="Europe/Dublin",
            reduced_motion="reduce",
        )
        contexts.append(context)
        context.set_default_timeout(10_000)
        page = context.new_page()
        watch.of(page)
        page.goto(path)
        return page

    yield open_at
    for context in contexts:
        context.close()
    watch.check()


@pytest.fixture
def page(open_page: OpenPage) -> Page:
    """Return the first page of the demo in a desktop window."""
    return open_page()
