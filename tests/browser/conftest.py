"""A browser for the journeys: pages of the running demo, watched."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page

from tests.support.browser import NO_TOUR, Watch, running_browser

DESKTOP = (1280, 800)
TABLET = (820, 1180)
PHONE = (390, 844)

OpenPage = Callable[..., Page]
Size = tuple[int, int]
Light = Literal["light", "dark"]


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
    Windows of one service, used again by the tests of a module: what they have read stays warm.

    What a person has chosen does not stay: it is forgotten when a window is given back.
    """

    def __init__(self, browser: Browser, address: str) -> None:
        self._browser = browser
        self._address = address
        self._idle: dict[Size, list[Page]] = {}

    def take(self, size: Size) -> Page:
        """Return an empty page in a window that nobody has, with a storage of its own."""
        idle = self._idle.setdefault(size, [])
        return idle.pop() if idle else self._new(size)

    def give_back(self, page: Page, size: Size) -> None:
        """Empty its page, unless the test closed it, and forget what it kept, but for the files."""
        if page.is_closed():
            return
        page.unroute_all(behavior="ignoreErrors")
        page.goto("about:blank")
        page.emulate_media(
            media="null", color_scheme="light", forced_colors="none", reduced_motion="reduce"
        )
        page.set_viewport_size({"width": size[0], "height": size[1]})
        kept = {"origin": self._address, "storageTypes": "cookies,local_storage,indexeddb"}
        session = page.context.new_cdp_session(page)
        session.send("Storage.clearDataForOrigin", kept)
        session.detach()
        self._idle[size].append(page)

    def close(self) -> None:
        """Close all windows."""
        for page in (one for some in self._idle.values() for one in some):
            page.context.close()

    def _new(self, size: Size) -> Page:
        width, height = size
        context = self._browser.new_context(
            base_url=self._address,
            viewport={"width": width, "height": height},
            has_touch=size != DESKTOP,
            locale="en-IE",
            timezone_id="Europe/Dublin",
            reduced_motion="reduce",
            service_workers="block",
        )
        context.set_default_timeout(10_000)
        context.add_init_script(NO_TOUR)
        return context.new_page()


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

    ``open_page("/today", PHONE)``; without an address the page is empty. Each page has its
    own storage, times out after ten seconds, and is watched: at the end the test fails if the
    console showed an error or another host was asked. A refusal shows in the console, so
    where one is meant nobody watches.
    """
    watch = Watch(urlsplit(live_server).netloc)
    taken: list[tuple[Page, Size]] = []

    def open_at(
        path: str = "about:blank",
        size: Size = DESKTOP,
        *,
        light: Light = "light",
        watched: bool = True,
    ) -> Page:
        page = windows.take(size)
        taken.append((page, size))
        if watched:
            watch.of(page)
        page.emulate_media(color_scheme=light)
        page.goto(path)
        return page

    yield open_at
    watch.leave()
    for page, size in taken:
        windows.give_back(page, size)
    watch.check()
