"""Run the tests, after installing what they need and the package index does not have.

PostgreSQL comes as a wheel with the ``test`` extra. A browser does not: Chromium, Chrome
or Edge is looked for, and installed where none is found. Arguments go to pytest.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

from playwright.sync_api import sync_playwright

from tests.support.browser import find_browser

Command = tuple[str, ...]

_APT: tuple[Command, ...] = (
    ("apt-get", "update", "-qq"),
    ("apt-get", "install", "-y", "-qq", "--no-install-recommends", "chromium-headless-shell"),
)
_PLAYWRIGHT: tuple[Command, ...] = ((sys.executable, "-m", "playwright", "install", "chromium"),)


_SIDE_BY_SIDE = ("-n", "2", "--dist", "loadfile", "--no-loadscope-reorder")
"""
Two test files at a time, each by one process: two cores are taken for granted. As they stand
in the folders: those of the browser are long and come early, so that neither core waits at
the end.
"""


def main() -> int:
    """Install a browser if there is none, then run the tests."""
    if not has_browser():
        install_browser()
    if not has_browser():
        print(
            "The tests need a browser and none could be installed: install Chromium, Chrome "
            "or Edge so that its program is on PATH, then run this command again.",
            file=sys.stderr,
        )
        return 1
    return subprocess.call([sys.executable, "-m", "pytest", *_SIDE_BY_SIDE, *sys.argv[1:]])


def has_browser() -> bool:
    """Return whether the tests will find a browser."""
    with sync_playwright() as playwright:
        return find_browser(playwright) is not None


def install_browser() -> None:
    """Install Chromium: as a system package for root, else into the user's own cache."""
    ways = [_PLAYWRIGHT]
    if os.geteuid() == 0 and shutil.which("apt-get"):
        ways.insert(0, _APT)
    for commands in ways:
        print("No browser found:", " && ".join(" ".join(command) for command in commands))
        if all(subprocess.call(command) == 0 for command in commands):
            return


if __name__ == "__main__":
    sys.exit(main())
