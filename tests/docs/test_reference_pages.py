"""The pages of commands and settings are what the code says today."""

from __future__ import annotations

import pytest

from tools.write_reference import REFERENCE, pages


@pytest.mark.parametrize("name", ["commands.md", "settings.md"])
def test_page_is_up_to_date(name: str) -> None:
    """If this fails, run ``python -m tools.write_reference``."""
    assert (REFERENCE / name).read_text(encoding="utf-8") == pages()[name]


def test_every_setting_is_explained() -> None:
    assert "| None |" not in pages()["settings.md"]
