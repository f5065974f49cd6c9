"""The pictures of the documents are those that the script takes, and small."""

from __future__ import annotations

import re

import pytest

from tests.docs.pages import ROOT, documents
from tools.take_screenshots import IMAGES, shots

NAMES = [shot.name for shot in shots()]
MOST_KB = 1000
_SHOWN = re.compile(r"!\[[^\]]+\]\(([^)]+)\)|<img src=\"([^\"]+)\" alt=\"[^\"]+\"")


def shown() -> set[str]:
    """Return the pictures that the documents show, by their path in the repository."""
    found = set()
    for page in documents():
        for one, other in _SHOWN.findall(page.read_text(encoding="utf-8")):
            found.add(str((page.parent / (one or other)).resolve().relative_to(ROOT)))
    return found


def test_each_picture_that_is_shown_is_one_that_the_script_takes() -> None:
    assert shown() == {f"docs/images/{name}.webp" for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_the_picture_is_there(name: str) -> None:
    assert (IMAGES / f"{name}.webp").is_file()


def test_nothing_else_lies_with_them_and_all_of_it_is_small() -> None:
    files = [one for one in IMAGES.rglob("*") if one.is_file()]
    assert {str(one.relative_to(IMAGES)) for one in files} == {f"{name}.webp" for name in NAMES}
    assert sum(one.stat().st_size for one in files) < MOST_KB * 1000
