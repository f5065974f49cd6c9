"""A running service for the tests, as its users start it: the command, in its own process."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.support.postgres import free_port

_SECONDS_TO_START = 60
_SECONDS_TO_STOP = 15


@contextmanager
def running_demo(folder: Path) -> Iterator[str]:
    """Run this installation's `ribstitch demo`; give the address it answers on."""
    data = str(folder / "data")
    command = [sys.executable, "-m", "ribstitch.cli", "demo", "--folder", data]
    with running_command(command, folder) as address:
        yield address


@contextmanager
def running_empty(folder: Path) -> Iterator[str]:
    """Run this installation's `ribstitch serve` on a new database; give its address."""
    with running_command([sys.executable, "-m", "ribstitch.cli", "serve"], folder) as address:
        yield address


@contextmanager
def running_command(command: Sequence[str | Path], folder: Path) -> Iterator[str]:
    """
    Run a command that serves, from within a folder; give the address it answers on.

    Raises
    ------
    RuntimeError
        If the service ends, or does not answer in time, or does not stop when asked to;
        with what it printed.
    """
    folder.mkdir(parents=True, exist_ok=True)
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    log = folder / "service.log"
    with log.open("w") as sink:
        process = subprocess.Popen(
            [*command, "--port", str(port)],
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=sink,
            stderr=subprocess.STDOUT,
        )
    try:
        _wait_until_healthy(process, address, log)
        yield address
    finally:
        process.terminate()
        try:
            process.wait(_SECONDS_TO_STOP)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            raise RuntimeError(f"The service did not stop: {log.read_text()}") from None


def _wait_until_healthy(process: subprocess.Popen[bytes], address: str, log: Path) -> None:
    """Return once the service says it is healthy."""
    deadline = time.monotonic() + _SECONDS_TO_START
    while time.monotonic() < deadline:
        if process.poll() is not None:
            raise RuntimeError(f"The service ended: {log.read_text()}")
        try:
            if httpx.get(f"{address}/api/v1/health", timeout=5).is_success:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise RuntimeError(f"The service did not answer: {log.read_text()}")
