"""The pages of commands and settings are what the code says today."""

from __future__ import annotations

import pytest

from tests.docs.pages import ROOT
from tools.write_reference import REFERENCE, command_names, pages


@pytest.mark.parametrize("name", ["commands.md", "settings.md"])
def test_page_is_up_to_date(name: str) -> None:
    """If this fails, run ``python -m tools.write_reference``."""
    assert (REFERENCE / name).read_text(encoding="utf-8") == pages()[name]


def test_every_setting_is_explained() -> None:
    assert "| None |" not in pages()["settings.md"]


@pytest.mark.parametrize("name", [name for name in command_names() if name != "version"])
def test_readme_tells_of_the_command(name: str) -> None:
    assert f"| `ribstitch {name}" in (ROOT / "README.md").read_text(encoding="utf-8")
