"""The page of the plan file names every key and every choice, and its example works."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from ribstitch.planfile import parse_plan
from ribstitch.planfile.document import PlanDocument
from ribstitch.planning import schedule
from tests.docs.pages import DOCS, code_blocks, code_words

PAGE = (DOCS / "reference" / "plan-file.md").read_text(encoding="utf-8")
EXAMPLE = code_blocks(PAGE, "json")[0]
SCHEMA = PlanDocument.model_json_schema(by_alias=True)


def _names(part: Any) -> Iterator[str]:
    """Yield all keys and choices of a JSON schema."""
    if isinstance(part, dict):
        yield from part.get("properties", {})
        yield from part.get("enum", ())
        for inner in part.values():
            yield from _names(inner)
    elif isinstance(part, list):
        for inner in part:
            yield from _names(inner)


@pytest.mark.parametrize("name", sorted(set(_names(SCHEMA))))
def test_key_or_choice_is_on_the_page(name: str) -> None:
    assert name in code_words(PAGE) or f"## `{name}`" in PAGE


def test_required_keys_are_marked() -> None:
    """Each key that the reader insists on carries a star somewhere on the page."""
    starred = set(re.findall(r"`(\w+)` \*", PAGE))
    required = {key for part in SCHEMA["$defs"].values() for key in part.get("required", ())}
    assert required <= starred


def test_example_is_a_plan_that_can_be_scheduled() -> None:
    """
    Worked out by hand. Ribs: 12.5 days from the as-of date, Mon 12 Jan 2026, to noon of Wed
    28 Jan, and two elapsed days on to noon of Fri 30 Jan. Magnetos: prepared on 12 Jan, three
    days on the road to 15 Jan, 20 working days from Fri 16 Jan to Fri 13 Feb (Mon 2 Feb is
    St Brigid's Day), back on Mon 16 Feb. They come last, so that covering takes its eight days
    from Tue 17 Feb to Thu 26 Feb.
    """
    plan = parse_plan(EXAMPLE.encode(), "example")
    assert schedule(plan).finish_on == date(2026, 2, 26)
