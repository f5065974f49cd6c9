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


class Windows:
    """
    Windows of one service, used again by the tests of a module: files stay in their cache.

    What a person has chosen does not stay: it is forgotten when a window is given back.
    """

    def __init__(self, browser: Browser, address: str) -> None:
        self._browser = browser
        self._address = address
        self._idle: dict[tuple[int, int], list[BrowserContext]] = {}

    def take(self, size: tuple[int, int]) -> BrowserContext:
        """Return a window that nobody has, with a storage of its own."""
        idle = self._idle.setdefault(size, [])
        return idle.pop() if idle else self._new(size)

    def give_back(self, context: BrowserContext, size: tuple[int, int]) -> None:
        """Close its pages and forget what they kept, but for the files."""
        for one in context.pages:
            one.close()
        page = context.new_page()
        kept = {"origin": self._address, "storageTypes": "cookies,local_storage,indexeddb"}
        context.new_cdp_session(page).send("Storage.clearDataForOrigin", kept)
        context.clear_permissions()
        page.close()
        self._idle[size].append(context)

    def close(self) -> None:
        """Close all windows."""
        for context in (one for some in self._idle.values() for one in some):
            context.close()

    def _new(self, size: tuple[int, int]) -> BrowserContext:
        width, height = size
        context = self._browser.new_context(
            base_url=self._address,
            viewport={"width": width, "height": height},
            has_touch=size != DESKTOP,
            locale="en-IE",
            timezone_id="Europe/Dublin",
            reduced_motion="reduce",
        )
        context.set_default_timeout(10_000)
        return context


@pytest.fixture(scope="module")
def windows(browser: Browser, live_server: str) -> Iterator[Windows]:
    """Windows of the module's demo."""
    found = Windows(browser, live_server)
    yield found
    found.close()


@pytest.fixture
def open_page(windows: Windows, live_server: str) -> Iterator[OpenPage]:
    """
    Return a function that opens an address of the demo in a window of a given size.

    ``open_page("/today", PHONE)``. Each page has its own storage, times out after ten
    seconds, and is watched: at the end the test fails if the console showed an error or
    another host was asked.
    """
    watch = Watch(urlsplit(live_server).netloc)
    taken: list[tuple[BrowserContext, tuple[int, int]]] = []

    def open_at(path: str = "/", size: tuple[int, int] = DESKTOP) -> Page:
        context = windows.take(size)
        taken.append((context, size))
        page = context.new_page()
        watch.of(page)
        page.goto(path)
        return page

    yield open_at
    for context, size in taken:
        windows.give_back(context, size)
    watch.check()


@pytest.fixture
def page(open_page: OpenPage) -> Page:
    """Return the first page of the demo in a desktop window."""
    return open_page()
