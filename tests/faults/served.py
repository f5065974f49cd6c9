"""A service that can be killed at any moment, and started again on the same database."""

from __future__ import annotations

from multiprocessing.context import ForkServerProcess
from pathlib import Path

from tests.support.postgres import free_port
from tests.support.service import once_healthy, warm_process


class Served:
    """`ribstitch serve` on one database and one port, in a process of its own."""

    def __init__(self, database_url: str, folder: Path) -> None:
        self._port = free_port()
        self.address = f"http://127.0.0.1:{self._port}"
        self._arguments = ["serve", "--database", database_url, "--port", str(self._port)]
        self._log = folder / "service.log"
        self._process: ForkServerProcess | None = None

    def start(self) -> None:
        """
        Start the process, and wait until it answers.

        Raises
        ------
        RuntimeError
            If it ends or does not answer; with what it printed.
        """
        process = warm_process(self._arguments, self._log)
        process.start()
        once_healthy(lambda: not process.is_alive(), self._port, self._log)
        self._process = process

    def memory(self) -> int:
        """Return how much memory the process has now. [bytes]"""
        assert self._process is not None
        status = Path(f"/proc/{self._process.pid}/status").read_text()
        (line,) = [one for one in status.splitlines() if one.startswith("VmRSS:")]
        return int(line.split()[1]) * 1024

    def kill(self) -> None:
        """Pull the plug: no handler runs, nothing is finished."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
            self._process = None
