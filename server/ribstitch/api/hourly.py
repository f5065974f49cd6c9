"""What the service does by itself, every hour."""

from __future__ import annotations

import logging
from collections.abc import Callable
from threading import Event, Thread

_LOG = logging.getLogger("ribstitch.api")
_SECONDS = 3600.0
_SECONDS_TO_STOP = 2.0


class Hourly:
    """
    Does something at the start and then every hour, in a thread of its own.

    What goes wrong is logged; the next hour it is tried again.

    Parameters
    ----------
    task
        What is done.
    seconds
        How long to wait until it is done again. [s]
    """

    def __init__(self, task: Callable[[], None], seconds: float = _SECONDS) -> None:
        self._task = task
        self._seconds = seconds
        self._stopped = Event()
        self._thread = Thread(target=self._run, name="Hourly", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """Do it no more, and wait a little for what is being done."""
        self._stopped.set()
        self._thread.join(_SECONDS_TO_STOP)

    def _run(self) -> None:
        while not self._stopped.is_set():
            try:
                self._task()
            except Exception:  # noqa: BLE001 - it is logged, and tried again
                _LOG.exception("what is done every hour failed; the next try is in an hour")
            self._stopped.wait(self._seconds)
