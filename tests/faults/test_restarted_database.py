"""PostgreSQL crashes and comes back while people write."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.served import Served
from tests.faults.unbroken import faults_of
from tests.faults.writing import Writer, plan_to_write_in, take_in
from tests.support.postgres import Server

_CRASHES = 2


@pytest.fixture
def lasting_server() -> Iterator[Server]:
    """Return a server whose commits outlast its crash, running."""
    with tempfile.TemporaryDirectory(prefix="ribstitch-crash-") as folder:
        server = Server(Path(folder), lasting=True)
        server.start()
        try:
            yield server
        finally:
            server.stop()


def test_a_database_that_crashes_under_load_keeps_what_was_acknowledged(
    lasting_server: Server, tmp_path: Path
) -> None:
    served = Served(lasting_server.url, tmp_path)
    served.start()
    try:
        project = take_in(served.address, plan_to_write_in())
        writers = [Writer("A", project, ["T0", "T1"]), Writer("B", project, ["T1", "T2"])]
        for writer in writers:
            writer.start()
        for crash in range(_CRASHES):
            _once_written(writers, 3 * (crash + 1))
            lasting_server.stop()
            time.sleep(0.2)
            lasting_server.start()
        after = sum(len(one.written.acknowledged) for one in writers)
        _once_written(writers, after + 3)
        for writer in writers:
            writer.stop()
    finally:
        served.kill()
    assert faults_of(lasting_server.url, 1, [one.written for one in writers]) == []


def _once_written(writers: list[Writer], words: int) -> None:
    """Wait until so many words were acknowledged: the service goes on by itself."""
    deadline = time.monotonic() + 60
    while sum(len(one.written.acknowledged) for one in writers) < words:
        assert time.monotonic() < deadline, "nothing is written any more"
        time.sleep(0.05)
