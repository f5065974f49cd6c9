"""What the journeys share: window sizes, roles, the plan as the command sees it."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import Page

from tests.browser.conftest import DESKTOP, OpenPage

SIZES = [(1440, 900), (834, 1112), (390, 844)]
"""A desk, a tablet in the hangar, a phone; what is the same at all is tried at two. [CSS pixels]"""
SHEETS = [
    "today", "evaluation", "schedule", "away", "crew", "what-if", "forecast", "money", "records",
    "settings",
]  # fmt: skip

_PATIENCE = 60
"""How long a search may take on a busy machine. [s]"""


def name_of_size(size: tuple[int, int]) -> str:
    """Name a window in a test's id."""
    return f"{size[0]}px"


def wait_until_drawn(page: Page) -> None:
    """Return once the sheet says that it is complete."""
    page.locator("main[aria-busy='false']").wait_for()


def take_role(page: Page, role: str) -> None:
    """Look at the sheet as another person; the page loads again."""
    wait_until_drawn(page)
    picker = page.get_by_label("I am")
    if picker.input_value() != role:
        with page.expect_navigation():
            picker.select_option(role)
    wait_until_drawn(page)


def open_as(
    open_page: OpenPage,
    role: str,
    path: str,
    size: tuple[int, int] = DESKTOP,
    *,
    watched: bool = True,
) -> Page:
    """Open a sheet as somebody who has said beforehand who they are: the page loads once."""
    page = open_page(size=size, watched=watched)
    said = page.request.put("/api/v1/session", data={"role": role})
    assert said.ok, said.text()
    page.goto(path)
    wait_until_drawn(page)
    return page


def answer(address: str, path: str) -> Any:
    """Return what the service answers about the first project."""
    return httpx.get(f"{address}/api/v1/projects/1{path}").raise_for_status().json()


def found(address: str, path: str) -> Any:
    """Return what the service has found once it is ready."""
    for _ in range(_PATIENCE * 10):
        told = answer(address, path)
        if told["state"] == "ready":
            return told["result"]
        assert told["state"] == "running", told
        time.sleep(0.1)
    raise AssertionError(f"{path} is still running after {_PATIENCE} s")


def exported_plan(address: str, folder: Path) -> Path:
    """Save the project's plan file as a user would, and return where."""
    file = folder / "exported.plan.json"
    content = httpx.get(f"{address}/api/v1/projects/1/plan-file").raise_for_status().content
    file.write_bytes(content)
    return file


def told_by_command(*arguments: str | Path) -> Any:
    """Return what a `ribstitch` command prints with --json."""
    done = subprocess.run(
        [sys.executable, "-m", "ribstitch.cli", *map(str, arguments), "--json"],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    return json.loads(done.stdout)
