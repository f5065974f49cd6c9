"""A service in its own process for the benchmarks."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import httpx

_SECONDS_TO_START = 60


@dataclass(frozen=True)
class RunningService:
    """Where it answers, and which process it is."""

    address: str
    process: int


@contextmanager
def running_service(database_url: str, workers: int = 1) -> Iterator[RunningService]:
    """Run ``ribstitch serve`` on a database, in one or more processes."""
    several = ["--workers", str(workers)] if workers > 1 else []
    yield from _running(["serve", "--database", database_url, *several])


@contextmanager
def running_demo_in(folder: str) -> Iterator[RunningService]:
    """Run ``ribstitch demo`` in a folder."""
    yield from _running(["demo", "--folder", folder])


def _running(arguments: list[str]) -> Iterator[RunningService]:
    """Run a command that serves, until it is no longer needed."""
    with socket.socket() as any_free:
        any_free.bind(("127.0.0.1", 0))
        port = any_free.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    process = subprocess.Popen(
        [sys.executable, "-m", "ribstitch.cli", *arguments, "--port", str(port)],
        stdout=subprocess.DEVNULL,
    )
    try:
        _wait(process, address)
        yield RunningService(address, process.pid)
    finally:
        process.terminate()
        process.wait(15)


def _wait(process: subprocess.Popen[bytes], address: str) -> None:
    """Return once the service answers."""
    deadline = time.monotonic() + _SECONDS_TO_START
    while time.monotonic() < deadline:
        if process.poll() is not None:
            raise SystemExit("The service ended before it answered.")
        try:
            if httpx.get(f"{address}/api/v1/health", timeout=5).is_success:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise SystemExit("The service did not answer in time.")
