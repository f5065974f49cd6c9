"""A running service for the tests, as its users start it: the command, in its own process."""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from multiprocessing.context import ForkServerProcess
from pathlib import Path

import httpx

from tests.support.postgres import free_port

_SECONDS_TO_START = 60
_SECONDS_TO_STOP = 15

_WARM = multiprocessing.get_context("forkserver")
_WARM.set_forkserver_preload(["ribstitch.api", "ribstitch.cli.serving", "uvicorn", "scipy.special"])
"""Starts processes out of one that has imported what the service needs: that takes longest."""


@contextmanager
def running_demo(folder: Path) -> Iterator[str]:
    """Run this installation's `ribstitch demo`; give the address it answers on."""
    data = str(folder / "data")
    command = [sys.executable, "-m", "ribstitch.cli", "demo", "--folder", data]
    with running_command(command, folder) as address:
        yield address


@contextmanager
def running_warm_demo(folder: Path) -> Iterator[str]:
    """
    Run `ribstitch demo` on a folder's data, in a process that has its imports behind it.

    Raises
    ------
    RuntimeError
        As `running_command` does.
    """
    with _running_warm(["demo", "--folder", str(folder / "data")], folder) as address:
        yield address


@contextmanager
def running_warm_service(folder: Path) -> Iterator[str]:
    """Run `ribstitch serve` on a new database in a folder, in such a process."""
    with _running_warm(["serve"], folder) as address:
        yield address


@contextmanager
def _running_warm(arguments: Sequence[str], folder: Path) -> Iterator[str]:
    """Run a command that serves; give the address it answers on."""
    port = free_port()
    log = folder / "service.log"
    process = warm_process([*arguments, "--port", str(port)], log)
    process.start()
    try:
        yield once_healthy(lambda: not process.is_alive(), port, log)
    finally:
        process.terminate()
        process.join(_SECONDS_TO_STOP)
        stopped = not process.is_alive()
        if not stopped:
            process.kill()
            process.join()
        process.close()
        if not stopped:
            raise RuntimeError(f"The service did not stop: {log.read_text()}")


@contextmanager
def running_command(
    command: Sequence[str | Path], folder: Path, variables: Mapping[str, str] | None = None
) -> Iterator[str]:
    """
    Run a command that serves, from within a folder; give the address it answers on.

    `variables` are added to the environment.

    Raises
    ------
    RuntimeError
        If the service ends, or does not answer in time, or does not stop when asked to;
        with what it printed.
    """
    folder.mkdir(parents=True, exist_ok=True)
    port = free_port()
    log = folder / "service.log"
    with log.open("w") as sink:
        process = subprocess.Popen(
            [*command, "--port", str(port)],
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=sink,
            stderr=subprocess.STDOUT,
            env={**os.environ, **(variables or {})},
        )
    try:
        yield once_healthy(lambda: process.poll() is not None, port, log)
    finally:
        process.terminate()
        try:
            process.wait(_SECONDS_TO_STOP)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            raise RuntimeError(f"The service did not stop: {log.read_text()}") from None


def warm_process(arguments: Sequence[str], log: Path) -> ForkServerProcess:
    """Return a process that runs the command from the folder of its log, once it is started."""
    return _WARM.Process(target=_run_command, args=(arguments, log), daemon=True)


def _run_command(arguments: Sequence[str], log: Path) -> None:
    """Run the command in this process, from within the folder of its log."""
    from ribstitch.cli import main

    os.chdir(log.parent)
    with log.open("w") as sink:
        os.dup2(sink.fileno(), 1)
        os.dup2(sink.fileno(), 2)
    sys.argv = ["ribstitch", *arguments]
    main()


def once_healthy(ended: Callable[[], bool], port: int, log: Path) -> str:
    """Return the address of a service once it says that it is healthy."""
    address = f"http://127.0.0.1:{port}"
    deadline = time.monotonic() + _SECONDS_TO_START
    while time.monotonic() < deadline:
        if ended():
            raise RuntimeError(f"The service ended: {log.read_text()}")
        try:
            if httpx.get(f"{address}/api/v1/health", timeout=5).is_success:
                return address
        except httpx.TransportError:
            time.sleep(0.1)
    raise RuntimeError(f"The service did not answer: {log.read_text()}")
