"""The texts of the pages as they are served: between tags, and in the spoken attributes."""

from __future__ import annotations

from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

from tools.catalogue.text import Text

SPOKEN = ("aria-label", "placeholder", "title", "alt")
SILENT = ("script", "style")


def page_texts(page: Path) -> Iterator[Text]:
    """Return the texts of a page, each as ``translatePage`` (web/js/lib/text.js) asks for it."""
    reader = _Reader()
    reader.feed(page.read_text(encoding="utf-8"))
    for key in reader.found:
        yield Text(key, page.name)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside.append(tag)
        for name, value in attrs:
            if name in SPOKEN and value:
                self._add(value)

    def handle_endtag(self, tag: str) -> None:
        while self.inside and self.inside.pop() != tag:
            pass  # Elements without an end, such as <meta>.

    def handle_data(self, data: str) -> None:
        if self.inside and self.inside[-1] in SILENT:
            return
        for text in data.split(" · ") if self.inside[-1:] == ["title"] else [data]:
            self._add(text)

    def _add(self, text: str) -> None:
        key = " ".join(text.split())
        if any(letter.isalpha() for letter in key):
            self.found.append(key)
