"""No link leads nowhere, no page is left out of the index, decisions have one shape."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ribstitch import __version__
from tests.docs.pages import DOCS, ROOT, documents, links, sections

DECISIONS = sorted((DOCS / "decisions").glob("*.md"))


def _label(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("page", documents(), ids=_label)
def test_links_within_the_repository_lead_somewhere(page: Path) -> None:
    targets = [link for link in links(page.read_text(encoding="utf-8")) if "://" not in link]
    missing = [link for link in targets if not (page.parent / link.split("#")[0]).exists()]
    assert missing == []


@pytest.mark.parametrize("page", documents(), ids=_label)
def test_links_to_a_section_lead_to_a_heading(page: Path) -> None:
    targets = [link.split("#") for link in links(page.read_text(encoding="utf-8")) if "#" in link]
    missing = [
        (name, section)
        for name, section in targets
        if "://" not in name
        and section not in sections((page.parent / name if name else page).read_text("utf-8"))
    ]
    assert missing == []


def test_index_lists_every_page() -> None:
    listed = {
        (DOCS / link).resolve() for link in links((DOCS / "README.md").read_text(encoding="utf-8"))
    }
    assert {page for page in DOCS.rglob("*.md") if page.name != "README.md"} <= listed


def test_decisions_are_numbered_without_a_gap() -> None:
    numbers = [int(path.name[:4]) for path in DECISIONS]
    assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("decision", DECISIONS, ids=_label)
def test_decision_says_what_was_chosen_and_what_was_refused(decision: Path) -> None:
    text = decision.read_text(encoding="utf-8")
    assert text.startswith(f"# {int(decision.name[:4])}. ")
    headings = re.findall(r"^## (.+)$", text, flags=re.MULTILINE)
    assert headings == ["Context", "Choice", "Refused", "Consequences"]


def test_changelog_tells_of_this_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    releases = re.findall(r"^## \[(\d+\.\d+\.\d+)\] - \d{4}-\d{2}-\d{2}$", text, re.MULTILINE)
    assert releases[0] == __version__
