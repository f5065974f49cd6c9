"""The page for whoever keeps the service running: its commands do what it says."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from ribstitch.api.schemas.operations import Need
from ribstitch.services.nightly_backups import DAYS, MONTHS
from ribstitch.services.readiness import LEAST_FREE_BYTES
from tests.docs.pages import DOCS, code_blocks
from tests.support.service import running_warm_service

PAGE = (DOCS / "operations.md").read_text(encoding="utf-8")
LINES = [line for block in code_blocks(PAGE, "sh") for line in block.splitlines()]


@pytest.fixture
def folder(demo_data: Path, tmp_path: Path) -> Path:
    """A folder as the page means it: with the database and the photos in it."""
    folder = tmp_path / "here"
    shutil.copytree(demo_data, folder)
    return folder


def test_commands_of_the_page_work_one_after_the_other(folder: Path) -> None:
    commands = [shlex.split(line) for line in LINES if not line.startswith("curl ")]
    assert {one[1] for one in commands} == {"backup", "check-backup", "restore", "export"}
    for program, *arguments in commands:
        assert program == "ribstitch"
        done = subprocess.run(
            [sys.executable, "-m", "ribstitch.cli", *arguments],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        assert (done.returncode, done.stderr) == (0, "")
    assert "Garganey" in (folder / "plan.json").read_text(encoding="utf-8")


def test_addresses_of_the_page_answer(folder: Path) -> None:
    addresses = [line.removeprefix("curl ") for line in LINES if line.startswith("curl ")]
    assert len(addresses) == 3
    with running_warm_service(folder) as address:
        for one in addresses:
            answer = httpx.get(one.replace("http://127.0.0.1:8765", address), timeout=60)
            assert answer.status_code == 200, one


def test_numbers_and_needs_of_the_page_are_those_of_the_code() -> None:
    assert f"the last {DAYS}, and the last of each of the last {MONTHS} months" in PAGE
    assert f"{LEAST_FREE_BYTES // 1_000_000} MB free" in PAGE
    (row,) = re.findall(r"^\| `/api/v1/ready` \| (.+) \|$", PAGE, re.MULTILINE)
    named = set(re.findall(r"`(\w+)`", row)) - {"vital"}
    assert named == set(Need.model_json_schema()["properties"]["name"]["enum"])
