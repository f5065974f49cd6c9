"""Ribstitch never says that an aircraft is airworthy: no page, document, text or answer does."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.docs.pages import ROOT

PLACES = ("web", "docs", "seed_data", "server", "tools")
KINDS = {".html", ".js", ".css", ".md", ".csv", ".json", ".py"}
WORD = re.compile(r"airworth", re.IGNORECASE)
DENIED = re.compile(r"never\s+says\s+that\s+(an|the)\s+aircraft\s+is\s+$", re.IGNORECASE)
"""What stands before the word where it is no claim."""
RECORDS = re.compile(r"continuing-$", re.IGNORECASE)
"""The name of the records that ML.A.305 asks for."""


def claims(text: str) -> list[str]:
    """Return the places of a text that use the word and do not deny it."""
    plain = re.sub(r"[\s\"#*/<>]+", " ", text)
    found = []
    for match in WORD.finditer(plain):
        before = plain[max(0, match.start() - 60) : match.start()]
        if not DENIED.search(before) and not RECORDS.search(before):
            found.append(plain[max(0, match.start() - 60) : match.end() + 20])
    return found


def texts() -> Iterator[tuple[str, str]]:
    """Yield every text that people may come to read, with its name."""
    tops = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")]
    below = (file for place in PLACES for file in (ROOT / place).rglob("*"))
    for file in (*tops, *below):
        if file.suffix in KINDS:
            yield str(file.relative_to(ROOT)), file.read_text(encoding="utf-8")


def test_no_text_claims_it() -> None:
    assert {name: claims(text) for name, text in texts() if claims(text)} == {}


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("The aircraft is airworthy.", 1),
        ("Airworthiness: yes", 1),
        ("Ribstitch never\n  says that an aircraft is airworthy.", 0),
        ("The continuing-airworthiness records", 0),
    ],
)
def test_a_claim_would_be_found(text: str, count: int) -> None:
    assert len(claims(text)) == count
