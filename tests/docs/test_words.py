"""The words that the sheets explain are those of the glossary, and each that is marked is one."""

from __future__ import annotations

import json
import re

import pytest

from ribstitch.api.static import PAGES
from ribstitch.assets import web_folder
from tools.write_words import GLOSSARY, WORDS, text, words

WEB = web_folder()
_MARKED = re.compile(r'data-word="([^"]+)"|(?<![\w.])term\("([^"]+)"')


def marked() -> dict[str, str]:
    """Return each word that a page or a module marks, with one place where it does."""
    files = [*WEB.glob("*.html"), *(WEB / "js").rglob("*.js")]
    found = ((file, _MARKED.findall(file.read_text(encoding="utf-8"))) for file in files)
    return {one or other: file.name for file, pairs in found for one, other in pairs}


def test_the_words_are_those_of_the_glossary() -> None:
    """If this fails, run ``python -m tools.write_words``."""
    assert WORDS.read_text(encoding="utf-8") == text()


def test_no_entry_of_the_glossary_is_left_out() -> None:
    page = GLOSSARY.read_text(encoding="utf-8")
    entries = re.findall(r"^- \*\*(.+?)\*\*", page, flags=re.MULTILINE)
    assert [one["word"] for one in json.loads(text()).values()] == entries


def test_a_meaning_is_read_without_the_marks_of_its_page() -> None:
    left = [meaning for one in words().values() if set("*`[]\n") & set(meaning := one["meaning"])]
    assert left == []


@pytest.mark.parametrize(("word", "place"), sorted(marked().items()))
def test_a_word_that_is_marked_is_explained(word: str, place: str) -> None:
    assert word in words(), f"{place} marks a word that the glossary does not have"


@pytest.mark.parametrize("page", PAGES)
def test_help_tells_of_every_page(page: str) -> None:
    if page != "help":
        assert f'id="{page}"' in (WEB / "help.html").read_text(encoding="utf-8")
