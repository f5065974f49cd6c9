"""The look names every piece: headings, sheets, keys of the drawings, stamps, tokens, pictures."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from ribstitch.assets import web_folder
from tests.docs.pages import DOCS

WEB = web_folder()
LOOK = (DOCS / "look.md").read_text(encoding="utf-8")
_SOURCES = LOOK.split("### Words on the sheets\n")[1].split("### ")[0]
"""The list that says of each word where it comes from."""


class Headings(HTMLParser):
    """What the headings of a page say, without the counts in them."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._open = ""
        self._inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a heading, or something inside it."""
        if tag in {"h1", "h2", "h3"}:
            self._open = tag
            self.found.append("")
        elif self._open:
            self._inside.append("count" if "count" in (dict(attrs).get("class") or "") else tag)

    def handle_endtag(self, tag: str) -> None:
        """End what was begun last."""
        if tag == self._open:
            self._open = ""
        elif self._inside:
            self._inside.pop()

    def handle_data(self, data: str) -> None:
        """Take the words of a heading."""
        if self._open and "count" not in self._inside:
            self.found[-1] += data


def headings() -> set[str]:
    """Return the headings that stand in the pages themselves."""
    found: set[str] = set()
    for page in WEB.glob("*.html"):
        reader = Headings()
        reader.feed(page.read_text(encoding="utf-8"))
        found |= {" ".join(one.split()) for one in reader.found}
    return found - {""}


def labels(module: str, pattern: str) -> set[str]:
    """Return the words of a list in a module of the pages."""
    found = set(re.findall(pattern, (WEB / "js" / module).read_text(encoding="utf-8")))
    assert found, f"{module} has no such list"
    return found


def is_told(label: str) -> bool:
    """Return whether the list of sources has a label as it stands on the sheet."""
    return re.search(rf"(?<!\w){re.escape(label)}(?!\w)", _SOURCES) is not None


@pytest.mark.parametrize("heading", sorted(headings()))
def test_a_heading_says_where_it_comes_from(heading: str) -> None:
    assert is_told(heading)


LISTS = {
    "lib/sheet.js": r'\{ id: "[^"]+", title: t`([^`]+)`',
    "components/chart-key.js": r"title: t`([^`]+)`",
    "components/change-slots.js": r"\n    title: t`([^`]+)`",
}
"""Names of sheets and roles, keys of the drawings, kinds of cases."""


@pytest.mark.parametrize(
    "label", sorted({one for module, how in LISTS.items() for one in labels(module, how)})
)
def test_a_label_says_where_it_comes_from(label: str) -> None:
    assert is_told(label.replace("\\u00a0", " "))


TOKENS = sorted(
    set(re.findall(r"(?m)^\s+(--[\w-]+):", (WEB / "css" / "tokens.css").read_text("utf-8")))
)


@pytest.mark.parametrize("token", TOKENS)
def test_a_token_is_named(token: str) -> None:
    assert f"`{token}`" in LOOK
