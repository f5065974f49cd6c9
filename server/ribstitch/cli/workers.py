"""Several processes that serve one address: begun, watched, ended."""

from __future__ import annotations

import logging
import os
import signal
import socket
from collections.abc import Callable
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Event, Thread
from typing import TYPE_CHECKING

from ribstitch.cli.refusal import RefusedError
from ribstitch.settings import Settings

if TYPE_CHECKING:
    from multiprocessing.synchronize import Event as SharedEvent

    from ribstitch.api import Homes

_LOG = logging.getLogger("ribstitch.cli")
_CONTEXT = get_context("spawn")
_LOOK_EVERY = 0.2
_SECONDS_TO_STOP = 8.0


def serve_by_many(settings: Settings, listening: socket.socket, ready: Callable[[], None]) -> None:
    """
    Serve by as many processes as the settings say, until asked to stop.

    One that ends is begun anew.

    Raises
    ------
    RefusedError
        If one of them ends before it was ready.
    """
    stop = Event()
    for one in (signal.SIGTERM, signal.SIGINT):
        signal.signal(one, lambda *_: stop.set())
    with TemporaryDirectory(prefix="ribstitch-") as folder:
        counted = Path(folder, "metrics")
        counted.mkdir()
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = str(counted)
        numbers = range(settings.workers)
        workers = [_Worker(settings, listening, Path(folder), number) for number in numbers]
        try:
            _wait_until_ready(workers, stop)
            if not stop.is_set():
                ready()
            while not stop.wait(_LOOK_EVERY):
                for number in numbers:
                    if not workers[number].process.is_alive():
                        _LOG.error("process %d has ended, and is begun anew", number)
                        workers[number] = _Worker(settings, listening, Path(folder), number)
        finally:
            _end(workers)


class _Worker:
    """One of the processes."""

    def __init__(
        self, settings: Settings, listening: socket.socket, folder: Path, number: int
    ) -> None:
        from ribstitch.api import Homes

        self.ready = _CONTEXT.Event()
        homes = Homes(folder, settings.workers, number)
        self.process = _CONTEXT.Process(
            target=_serve_one, args=(settings, listening, homes, self.ready)
        )
        self.process.start()


def _wait_until_ready(workers: list[_Worker], stop: Event) -> None:
    """Wait until all of them answer."""
    while not all(one.ready.is_set() for one in workers):
        if stop.wait(_LOOK_EVERY):
            return
        if not all(one.process.is_alive() for one in workers):
            raise RefusedError("a process of the service ended while it started; the log says why")


def _end(workers: list[_Worker]) -> None:
    """Ask all to end, and end those that do not."""
    for one in workers:
        one.process.terminate()
    for one in workers:
        one.process.join(_SECONDS_TO_STOP)
        if one.process.is_alive():
            one.process.kill()
            one.process.join()


def _serve_one(
    settings: Settings, listening: socket.socket, homes: Homes, ready: SharedEvent
) -> None:
    """Serve in this process, on the address and on the socket that the others know."""
    from ribstitch.cli.serving import run_server

    Thread(target=_end_with_parent, daemon=True).start()
    place = homes.place(homes.own)
    place.unlink(missing_ok=True)
    own = socket.socket(socket.AF_UNIX)
    own.bind(str(place))
    run_server(settings, [listening, own], ready.set, homes)


def _end_with_parent() -> None:
    """End this process when the one that began it has ended."""
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os.kill(os.getpid(), signal.SIGTERM)
