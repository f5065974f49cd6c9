"""The strict content policy: stated by the service, and kept by every page and script."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest

from ribstitch.assets import web_folder
from tests.browser.journeys import SHEETS

PAGES = sorted(web_folder().glob("*.html"))
SCRIPTS = sorted(set(web_folder().rglob("*.js")) - set((web_folder() / "vendor").rglob("*")))
"""The product's own; the library that draws charts is held to the policy by the browser."""
FORBIDDEN_IN_SCRIPTS = re.compile(
    r"""setAttribute\(\s*["']style|\bstyle:\s*["'`][\w-]+:|\.innerHTML|\.outerHTML|insertAdjacentHTML"""
    r"""|document\.write|\beval\(|new Function\(|https?://(?!www\.w3\.org/)"""
)


class Inline(HTMLParser):
    """Collects what the content policy would refuse."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._in_script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "style":
            self.found.append("<style>")
        self._in_script = tag == "script"
        if tag == "script" and not given.get("src"):
            self.found.append("<script> without src")
        for name, value in given.items():
            if name == "style" or name.startswith("on"):
                self.found.append(f"{tag} {name}")
            if name in {"src", "href", "action"} and not re.match(r"[/#](?!/)", value or ""):
                self.found.append(f"{tag} {name}={value}")

    def handle_data(self, data: str) -> None:
        if self._in_script and data.strip():
            self.found.append("text in <script>")
        self._in_script = False


def inline_parts(html: str) -> list[str]:
    """Return what a page has inline or from elsewhere."""
    parser = Inline()
    parser.feed(html)
    return parser.found


def test_there_is_a_page_for_every_sheet() -> None:
    assert {page.stem for page in PAGES} >= set(SHEETS)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_page_has_nothing_inline_and_nothing_from_elsewhere(page: Path) -> None:
    assert inline_parts(page.read_text()) == []


@pytest.mark.parametrize(
    "html",
    [
        "<script>let a</script>",
        "<style>p{}</style>",
        "<p style='color:red'>",
        "<button onclick='go()'>",
        "<script src='https://elsewhere.invalid/a.js'></script>",
        "<link href='//elsewhere.invalid/a.css'>",
    ],
)
def test_the_check_finds_what_the_policy_would_refuse(html: str) -> None:
    assert inline_parts(html)


@pytest.mark.parametrize(
    "script", SCRIPTS, ids=lambda script: str(script.relative_to(web_folder()))
)
def test_script_sets_no_markup_no_style_text_and_names_no_host(script: Path) -> None:
    assert FORBIDDEN_IN_SCRIPTS.findall(script.read_text()) == []


@pytest.mark.parametrize(
    "script", SCRIPTS, ids=lambda script: str(script.relative_to(web_folder()))
)
def test_every_module_that_a_script_imports_is_there(script: Path) -> None:
    for name in re.findall(
        r"""^(?:import|export)\b[^"';]*?["'](\.[^"']+)["'];""", script.read_text(), re.MULTILINE
    ):
        assert (script.parent / name).is_file(), name


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_service_states_the_policy_on_every_sheet(live_server: str, sheet: str) -> None:
    policy = (
        httpx.get(f"{live_server}/{sheet}").raise_for_status().headers["content-security-policy"]
    )
    assert "default-src 'self'" in policy
    assert "unsafe-inline" not in policy
    assert "unsafe-eval" not in policy
