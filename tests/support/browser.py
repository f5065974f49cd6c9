"""A real Chromium for the tests: found, started, and watched.

The browser knows no host but this machine. A page that is watched may only ask the service
it belongs to: requests to any other host are remembered, as is every error that the
browser's console shows.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import (
    Browser,
    ConsoleMessage,
    Error,
    Page,
    Playwright,
    Request,
    sync_playwright,
)

_NAMES = (
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "microsoft-edge",
    "msedge",
)
_MAC = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
)
_FLAGS = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
    "--no-first-run",
    "--process-per-site",
)
"""
Quiet, knowing no host but this machine. One process keeps a window's pages, even over the empty
page between two tests: a new one would have to learn Plotly's script again for every page.
"""
NO_TOUR = "if (location.origin !== 'null') localStorage.setItem('ribstitch-shown-round', '*')"
"""For windows in which nobody is new: what Help's box for that leaves on a device."""
_LOCAL_SCHEMES = {"about", "blob", "data"}


def find_browser(playwright: Playwright) -> str | None:
    """Return the program of an installed Chromium, Chrome or Edge, if there is one."""
    on_path = (shutil.which(name) for name in _NAMES)
    elsewhere = (*_MAC, playwright.chromium.executable_path)
    found = [name for name in on_path if name]
    found += [name for name in elsewhere if name and Path(name).is_file()]
    return found[0] if found else None


@contextmanager
def running_browser() -> Iterator[Browser]:
    """
    Start a browser without a window.

    Raises
    ------
    RuntimeError
        If none is installed; the sentence says what to do.
    """
    with sync_playwright() as playwright:
        program = find_browser(playwright)
        if program is None:
            raise RuntimeError(
                "No Chromium, Chrome or Edge was found: install one, or run the tests with "
                "the command in README.md, which does."
            )
        as_root = ("--no-sandbox",) if os.geteuid() == 0 else ()
        browser = playwright.chromium.launch(
            executable_path=program, args=[*_FLAGS, *as_root], headless=True
        )
        try:
            yield browser
        finally:
            browser.close()


@dataclass
class Watch:
    """What went wrong on a page since it was opened."""

    host: str
    """Host and port that the page may talk to."""
    console_errors: list[str] = field(default_factory=list)
    foreign_requests: list[str] = field(default_factory=list)
    _watched: list[Page] = field(default_factory=list)

    def of(self, page: Page) -> None:
        """Start to watch a page."""
        page.on("request", self._note_host)
        page.on("console", self._note)
        page.on("pageerror", self._note_error)
        self._watched.append(page)

    def leave(self) -> None:
        """Watch no page any longer."""
        for page in self._watched:
            page.remove_listener("request", self._note_host)
            page.remove_listener("console", self._note)
            page.remove_listener("pageerror", self._note_error)
        self._watched.clear()

    def check(self) -> None:
        """Fail if the console showed an error or another host was asked."""
        assert self.console_errors == []
        assert self.foreign_requests == []

    def _note_host(self, request: Request) -> None:
        address = urlsplit(request.url)
        if address.netloc != self.host and address.scheme not in _LOCAL_SCHEMES:
            self.foreign_requests.append(request.url)

    def _note(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            where = message.location
            self.console_errors.append(f"{message.text} ({where.get('url', '')})")

    def _note_error(self, error: Error) -> None:
        self.console_errors.append(str(error))
