"""README's two commands: one line each, those that CI and the fresh installation use."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from tests.docs.pages import ROOT, readme_commands
from tests.support.service import running_command

_LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", "__pycache__", ".*_cache", ".hypothesis", "build", "dist", "*.egg-info"
)


def test_each_command_is_one_line() -> None:
    for command in readme_commands():
        assert "\n" not in command
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install ")


def test_ci_runs_the_test_command_as_written() -> None:
    _, test = readme_commands()
    assert f"\n{test} ||" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.mark.fresh_clone
@pytest.mark.timeout(400)
def test_run_command_serves_the_demo_from_a_fresh_clone(tmp_path: Path) -> None:
    """What is tracked, copied to an empty folder, is all that README's first command needs."""
    clone = tmp_path / "ribstitch"
    _copy_tracked_files(clone)
    run, _ = readme_commands()
    install, _, start = run.rpartition(" && ")
    with_this_python = {"PATH": f"{_python_folder(tmp_path)}:{os.environ['PATH']}"}
    installed = subprocess.run(
        ["sh", "-c", install],
        cwd=clone,
        env={**os.environ, **with_this_python},
        capture_output=True,
        text=True,
        check=False,
    )
    assert installed.returncode == 0, f"README's first command fails: {installed.stderr}"
    # Away from the clone, so that only what was installed can be found.
    program, *arguments = shlex.split(start)
    (clone / "web").rename(clone / "moved")
    command = [str(clone / program), *arguments, "--folder", str(tmp_path / "data")]
    with running_command(command, tmp_path / "away") as address:
        page = httpx.get(f"{address}/", follow_redirects=True)
        assert page.status_code == 200
        assert page.headers["content-type"].startswith("text/html")
        assert "<title>" in page.text


def _copy_tracked_files(target: Path) -> None:
    """Copy what git tracks; all but leftovers where git cannot say (an unpacked archive)."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    ) if shutil.which("git") else None  # fmt: skip
    if listed is None or listed.returncode:
        shutil.copytree(ROOT, target, ignore=_LEFT_OUT)
        return
    for name in filter(None, listed.stdout.split("\0")):
        if (ROOT / name).is_file():
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, target / name)


def _python_folder(folder: Path) -> Path:
    """Return a folder in which `python3` is the Python that runs the tests."""
    programs = folder / "bin"
    programs.mkdir()
    base = getattr(sys, "_base_executable", sys.executable)
    (programs / "python3").symlink_to(base)
    return programs
