"""The glossary has every word that the planning core shows to its callers."""

from __future__ import annotations

import inspect

import pytest

import ribstitch.planning
from ribstitch.planning import model
from tests.docs.pages import DOCS, code_words

GLOSSARY = (DOCS / "reference" / "glossary.md").read_text(encoding="utf-8")
WORDS = code_words(GLOSSARY)
MODEL_CLASSES = [
    name
    for name, thing in inspect.getmembers(model, inspect.isclass)
    if thing.__module__.startswith(model.__name__)
]


@pytest.mark.parametrize("name", sorted({*ribstitch.planning.__all__, *MODEL_CLASSES}))
def test_public_name_is_in_the_glossary(name: str) -> None:
    assert name in WORDS


@pytest.mark.parametrize("word", sorted(word for word in WORDS if word[0].isupper()))
def test_every_class_the_glossary_names_exists(word: str) -> None:
    assert hasattr(ribstitch.planning, word) or hasattr(model, word)
