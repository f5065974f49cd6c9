"""Several processes serve one database, and nobody notices."""

from __future__ import annotations

import json
import os
import signal
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from subprocess import Popen, run
from typing import Any

import httpx
import psutil
import pytest

from ribstitch.planfile import plan_document
from tests.api.test_serving import COMMAND
from tests.services.test_levellings import busy_plan
from tests.support.postgres import copied_database, free_port
from tests.support.service import once_healthy


class Served:
    """A service of two processes, asked over a new connection each time."""

    def __init__(self, process: Popen[bytes], address: str, log: Path) -> None:
        self.process = process
        self.address = address
        self._log = log

    def ask(self, method: str, path: str, **given: Any) -> httpx.Response:
        return httpx.request(method, f"{self.address}/api/v1{path}", timeout=60, **given)

    def lines(self, route: str) -> list[dict[str, Any]]:
        """Return the log's lines about a route."""
        lines = [one for one in self._log.read_text().splitlines() if one.startswith("{")]
        return [one for one in map(json.loads, lines) if one.get("route", "").endswith(route)]

    @property
    def workers(self) -> list[psutil.Process]:
        children = psutil.Process(self.process.pid).children()
        living = [one for one in children if one.status() != psutil.STATUS_ZOMBIE]
        return [one for one in living if "spawn_main" in " ".join(one.cmdline())]


@pytest.fixture(scope="module")
def served(migrated_database: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("served")
    with copied_database(migrated_database) as url, _running(url, folder) as served:
        yield served


@contextmanager
def _running(url: str, folder: Path) -> Iterator[Served]:
    log, port = folder / "log", free_port()
    arguments = ["serve", "--database", url, "--workers", "2", "--port", str(port)]
    variables = {"RIBSTITCH_LOG_LEVEL": "info", "RIBSTITCH_LOG_FORMAT": "json",
                 "RIBSTITCH_RUNS": "500"}  # fmt: skip
    with log.open("w") as sink:
        process = Popen(
            [*COMMAND, *arguments],
            cwd=folder,
            stdout=sink,
            stderr=sink,
            env={**os.environ, **variables},
        )
    try:
        address = once_healthy(lambda: process.poll() is not None, port, log)
        assert _until(lambda: "is ready at" in log.read_text())
        yield Served(process, address, log)
    finally:
        process.terminate()
        begun = time.monotonic()
        process.wait(20)
        assert time.monotonic() - begun < 10
        assert "Traceback" not in log.read_text()


@pytest.fixture(scope="module")
def projects(served: Served) -> list[int]:
    """Two projects: each of the processes is home of one."""
    numbers = []
    for _ in range(2):
        answer = served.ask("POST", "/projects", json=plan_document(busy_plan()))
        assert answer.status_code == 201, answer.text
        numbers.append(answer.json()["id"])
    assert {one % 2 for one in numbers} == {0, 1}
    return numbers


def test_what_was_asked_of_one_process_is_known_whichever_is_asked_next(
    served: Served, projects: list[int]
) -> None:
    """Either process takes a connection; a project is answered for by one alone."""
    assert _until(lambda: len(_answering(served, "/projects", "/projects")) == 2)
    homes: list[int] = []
    for number in projects:
        path = f"/projects/{number}/levelling"
        begun = served.ask("POST", path, json={"seconds": 0.5})
        assert begun.status_code == 200, begun.text
        homes += _answering(served, path, "/levelling")
        assert _answering(served, f"/projects/{number}/today", "/today") == {homes[-1]}
        assert _until(lambda: served.ask("GET", path).json()["state"] == "ready")  # noqa: B023
    assert len(homes) == len(set(homes)) == 2


def _answering(served: Served, path: str, route: str) -> set[int]:
    """Ask many times at once; return which processes have answered."""
    before = len(served.lines(route))
    with ThreadPoolExecutor(8) as many:
        answers = list(many.map(lambda _: served.ask("GET", path).json(), range(24)))
    assert {one.get("state", "ready") for one in answers} <= {"running", "ready"}
    assert _until(lambda: len(served.lines(route)) >= before + 24)
    return {line["process"] for line in served.lines(route)[before:]}


def test_a_refusal_is_handed_on_as_it_is(served: Served, projects: list[int]) -> None:
    for number in projects:
        path = f"/projects/{number}/levelling"
        for _ in range(4):
            too_long = served.ask("POST", path, json={"seconds": 1e6})
            assert too_long.status_code == 422
            assert too_long.headers["content-type"] == "application/problem+json"
            large = served.ask(
                "POST", path, content=b"1" * 400_000, headers={"Content-Type": "application/json"}
            )
            assert large.status_code == 413
            foreign = {"Origin": "http://evil.example"}
            assert served.ask("POST", path, json={}, headers=foreign).status_code == 403


def test_metrics_add_up_what_all_processes_have_counted(
    served: Served, projects: list[int]
) -> None:
    """Photos are answered for by whichever process is asked."""
    asked = _answering(served, f"/projects/{projects[0]}/evidence", "/evidence")
    assert len(asked) == 2
    counted = served.ask("GET", "/metrics").text
    line = next(
        one for one in counted.splitlines() if one.startswith("ribstitch_requests_total")
        and "/evidence" in one
    )  # fmt: skip
    assert float(line.rpartition(" ")[2]) == 24
    assert "ribstitch_projects 2.0" in counted


def test_a_process_that_is_killed_is_begun_anew(served: Served, projects: list[int]) -> None:
    before = {one.pid for one in served.workers}
    assert len(before) == 2
    os.kill(min(before), signal.SIGKILL)
    assert _until(lambda: len({one.pid for one in served.workers} - before) == 1)
    for number in projects:
        path = f"/projects/{number}/simulation"
        assert _until(lambda: _is_well(served, path))  # noqa: B023
        assert served.ask("GET", path).json()["state"] in {"running", "ready"}


def test_one_process_serves_sqlite(tmp_path: Path) -> None:
    database = f"sqlite:///{tmp_path / 'x.db'}"
    done = run(
        [*COMMAND, "serve", "--database", database, "--workers", "2", "--port", "0"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "--workers 2: one process serves SQLite; several need PostgreSQL\n"


def _is_well(served: Served, path: str) -> bool:
    try:
        return all(served.ask("GET", path).status_code == 200 for _ in range(4))
    except httpx.TransportError:
        return False


def _until(holds: Any, seconds: float = 30.0) -> bool:
    """Wait until something holds."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if holds():
            return True
        time.sleep(0.2)
    return False
