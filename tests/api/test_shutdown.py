"""A service that is asked to end does so soon, whatever it is at, and keeps what it said yes to."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from threading import Event, Thread

import httpx
import pytest

from ribstitch.store import Store, make_engine
from tests.support.postgres import free_port
from tests.support.service import once_healthy

PROJECT = "/api/v1/projects/1"


class Writer(Thread):
    """Changes one thing again and again until nobody answers; notes what was acknowledged."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.acknowledged = 0
        self.begun = Event()

    def run(self) -> None:
        url = self.address + PROJECT
        with httpx.Client(timeout=60) as client:
            version = client.get(url).json()["version"]
            while True:
                body = {"serial": f"number {self.acknowledged + 1}"}
                try:
                    answer = client.patch(url, json=body, headers={"If-Match": f'"{version}"'})
                except httpx.TransportError:
                    return
                assert answer.status_code == 200, answer.text
                version = answer.json()["version"]
                self.acknowledged += 1
                self.begun.set()


class Follower(Thread):
    """Follows the changes of a project until the service lets it go."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.has_ended_well = False

    def run(self) -> None:
        url = f"{self.address}{PROJECT}/events"
        with httpx.stream("GET", url, timeout=30) as stream:
            for _ in stream.iter_bytes():
                pass
        self.has_ended_well = True


@pytest.mark.timeout(120)
def test_everything_that_was_acknowledged_is_kept_when_the_service_is_ended(
    demo_data: Path, tmp_path: Path
) -> None:
    """While somebody writes, somebody follows, and a long simulation runs."""
    folder = tmp_path / "data"
    shutil.copytree(demo_data, folder)
    database, log, port = f"sqlite:///{folder / 'ribstitch.db'}", tmp_path / "log", free_port()
    command = [sys.executable, "-m", "ribstitch.cli", "serve", "--database", database]
    with log.open("w") as sink:
        process = subprocess.Popen(
            [*command, "--port", str(port)],
            stdout=sink,
            stderr=sink,
            env={**os.environ, "RIBSTITCH_RUNS": "20000", "RIBSTITCH_LOG_FORMAT": "json"},
        )
    try:
        address = once_healthy(lambda: process.poll() is not None, port, log)
        writer, follower = Writer(address), Follower(address)
        follower.start()
        writer.start()
        assert writer.begun.wait(30)
        running = httpx.get(f"{address}{PROJECT}/simulation", timeout=20).json()
        process.send_signal(signal.SIGTERM)
        asked = time.monotonic()
        process.wait(20)
        took = time.monotonic() - asked
    finally:
        process.kill()
        process.wait()
    writer.join(20)
    follower.join(20)
    assert took < 10
    assert running["state"] == "running"
    assert follower.has_ended_well
    engine = make_engine(database)
    with Store(engine).reading() as look:
        kept = look.plan(1).plan.project.serial
    engine.dispose()
    assert int(kept.removeprefix("number ")) in {writer.acknowledged, writer.acknowledged + 1}
    assert "Traceback" not in log.read_text()
