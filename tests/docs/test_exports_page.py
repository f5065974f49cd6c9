"""The page of the exported tables lists every column, in order."""

from __future__ import annotations

import re

import pytest

from ribstitch.services.exports import EXPORTS
from tests.docs.pages import DOCS

PAGE = (DOCS / "reference" / "exports.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(EXPORTS))
def test_page_lists_the_columns_of_a_table_in_order(name: str) -> None:
    section = PAGE.split(f"## `{name}`\n")[1].split("\n## ")[0]
    assert tuple(re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE)) == EXPORTS[name].columns


def test_page_has_no_table_that_is_not_exported() -> None:
    assert set(re.findall(r"^## `([\w-]+)`$", PAGE, re.MULTILINE)) == set(EXPORTS)
