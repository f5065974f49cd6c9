"""Pages and seed data are found in a checkout and in an installed package."""

from __future__ import annotations

from pathlib import Path

import pytest

from ribstitch import assets
from ribstitch.assets import seed_folder, web_folder


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Pretend that the package lies in an empty folder, far from any checkout."""
    package = tmp_path / "site-packages" / "ribstitch"
    package.mkdir(parents=True)
    monkeypatch.setattr(assets, "_PACKAGE", package)
    monkeypatch.setattr(assets, "_CHECKOUT", tmp_path / "nowhere")
    return package


def test_checkout_has_pages_and_seed_data() -> None:
    assert (web_folder() / "today.html").is_file()
    assert any(seed_folder().rglob("*.csv"))


def test_packaged_folders_are_used_where_there_is_no_checkout(installed: Path) -> None:
    for name in ("_web", "_seed_data"):
        (installed / name).mkdir()
    assert web_folder() == installed / "_web"
    assert seed_folder() == installed / "_seed_data"


@pytest.mark.usefixtures("installed")
def test_missing_folder_is_said_in_one_sentence() -> None:
    with pytest.raises(FileNotFoundError, match="The folder web is missing"):
        web_folder()
