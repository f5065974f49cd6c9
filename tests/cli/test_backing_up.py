"""The commands that make, check and restore backups."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran

Command = Callable[..., Ran]


@pytest.fixture
def demo(demo_data: Path, tmp_path: Path) -> str:
    """Address of a database with a folder of files beside it."""
    shutil.copytree(demo_data, tmp_path / "demo")
    return f"sqlite:///{tmp_path / 'demo' / 'ribstitch.db'}"


def test_a_backup_is_made_checked_and_restored_by_three_commands(
    ribstitch: Command, demo: str, tmp_path: Path
) -> None:
    file = tmp_path / "kept.zip"
    made = ribstitch("backup", file, "--database", demo)
    assert (made.status, made.err) == (0, "")
    told = re.fullmatch(
        rf"{file}: (1 projects, \d+ changes, \d+ photos and documents, as of .* UTC)\.\n", made.out
    )
    assert told
    assert ribstitch("check-backup", file).out == f"{file}: is whole; {told[1]}.\n"
    new = f"sqlite:///{tmp_path / 'new.db'}"
    assert ribstitch("restore", file, "--database", new).out == f"{file}: restored; {told[1]}.\n"
    before, after = (ribstitch("export", 1, "--database", one).out for one in (demo, new))
    assert before == after
    assert "Garganey" in after
    again = ribstitch("restore", file, "--database", new)
    assert again.status == 2
    assert again.err.count("\n") == 1
    assert again.err.endswith("Nothing was restored.\n")


def test_without_a_name_it_is_named_by_the_time(
    ribstitch: Command, demo: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert ribstitch("backup", "--database", demo).status == 0
    (file,) = tmp_path.glob("*.zip")
    assert re.fullmatch(r"ribstitch-\d{4}-\d\d-\d\dT\d{6}Z\.zip", file.name)
    assert file.stat().st_mode & 0o077 == 0, "others on the machine must not read it"


def test_photos_in_another_folder_are_missed_aloud(
    ribstitch: Command, demo: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RIBSTITCH_FILES", str(tmp_path / "elsewhere"))
    made = ribstitch("backup", tmp_path / "x.zip", "--database", demo)
    assert made.status == 1
    assert (tmp_path / "x.zip").exists()
    assert "is RIBSTITCH_FILES the right folder?" in made.err


@pytest.mark.parametrize("command", ["check-backup", "restore"])
def test_what_is_no_backup_is_refused_in_one_sentence(
    ribstitch: Command, tmp_path: Path, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "x.zip").write_text("nothing of the kind")
    for name, sentence in (("x.zip", "x.zip: is no backup"), ("y.zip", "y.zip: No such file")):
        ran = ribstitch(command, name)
        assert ran.status == 2
        assert ran.err.startswith(sentence)
        assert ran.err.count("\n") == 1
    assert [one.name for one in tmp_path.iterdir()] == ["x.zip"]
