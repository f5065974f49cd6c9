"""Every test that the page on security names is there, and every row shows something."""

from __future__ import annotations

import ast
import re

import pytest

from tests.docs.pages import ROOT

PAGE = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| (\d[^|]*) \| ([^|]*) \| ([^|]*) \|$", PAGE, flags=re.MULTILINE)
NAMED = sorted(set(re.findall(r"`(\w[\w/]*\.py)::(test_\w+)`", PAGE)))


def names_in(file: str) -> set[str]:
    """Return the names of the tests in a module."""
    tree = ast.parse((ROOT / "tests" / file).read_text(encoding="utf-8"))
    return {one.name for one in ast.walk(tree) if isinstance(one, ast.FunctionDef)}


@pytest.mark.parametrize("file", sorted({file for file, _ in NAMED}))
def test_each_test_that_is_named_is_there(file: str) -> None:
    assert {name for of, name in NAMED if of == file} <= names_in(file)


def test_each_row_is_shown_by_a_test_or_says_what_is_not_met() -> None:
    assert len(ROWS) > 40
    for item, holds, shown in ROWS:
        assert "::test_" in shown or holds.startswith("not met"), item
