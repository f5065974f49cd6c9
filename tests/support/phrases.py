"""Sentences of the service as the pages recognise them, in Chromium without a service."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Browser, Page

from ribstitch.assets import web_folder

_READ = """async ([texts, sentences]) => {
  const { Phrases } = await import("/js/lib/phrases.js");
  const begun = performance.now();
  const phrases = new Phrases(texts);
  const built = performance.now();
  const told = sentences.map((one) => phrases.find(one));
  return { told, built: built - begun, took: performance.now() - built };
}"""


class Reader:
    """Reads sentences by the texts of a language."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self.took = 0.0
        """What the last sentences took. [ms]"""

    def read(self, texts: Mapping[str, Any], sentences: Sequence[str]) -> list[str]:
        """Return sentences as they are told with some texts, each by its English one."""
        answer: dict[str, Any] = self._page.evaluate(_READ, [dict(texts), list(sentences)])
        self.took = answer["took"]
        told: list[str] = answer["told"]
        return told


@contextmanager
def reader_in(browser: Browser) -> Iterator[Reader]:
    """Open a page that has nothing but the modules."""
    page = browser.new_page(base_url="http://127.0.0.1:1", service_workers="block")
    modules = web_folder() / "js"
    page.route("**/js/**", lambda route: route.fulfill(path=modules / _path(route.request.url)))
    page.route("**/empty", lambda route: route.fulfill(body="", content_type="text/html"))
    page.goto("/empty")
    yield Reader(page)
    page.close()


def _path(address: str) -> str:
    return address.partition("/js/")[2]
