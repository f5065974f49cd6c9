"""A disk that is full: refused in a sentence, nothing lost, and on it goes when there is room."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from sqlalchemy import Engine, event

from tests.api.asking import Api, assert_problem, small_plan
from tests.api.conftest import lone_client
from tests.faults.unbroken import faults_of
from tests.faults.writing import Written

__all__ = ["lone_client"]


class _Disk:
    """How many pages an SQLite file may have: beyond, SQLite says that the disk is full."""

    room: int | None = None
    """Pages that are left; None: as many as one likes."""

    def limit(self, connection: Any, *_: object) -> None:
        """Tell a connection, as it is taken out of the pool."""
        (now,) = connection.execute("PRAGMA page_count").fetchone()
        allowed = 2**30 if self.room is None else now + self.room
        connection.execute(f"PRAGMA max_page_count = {allowed}")


@pytest.fixture
def disk() -> Iterator[_Disk]:
    """Return the disk of all databases of a test."""
    disk = _Disk()
    event.listen(Engine, "checkout", disk.limit)
    yield disk
    event.remove(Engine, "checkout", disk.limit)


def test_a_full_disk_is_told_and_loses_nothing(
    disk: _Disk, lone_client: Any, migrated_sqlite_url: str
) -> None:
    api = Api(lone_client, small_plan())
    written = Written()
    _rename(api, "before", 1, written)
    disk.room = 0
    answer = api.patch("/tasks/T2", {"name": "x" * 400 + " full", "notes": "y" * 9_000}, 2)
    assert_problem(answer, 503, "database")
    assert api.read("/tasks/T2")["task"]["name"] == "before"
    disk.room = None
    _rename(api, "after", 2, written)
    assert faults_of(migrated_sqlite_url, api.project, [written]) == []


def _rename(api: Api, word: str, version: int, written: Written) -> None:
    answer = api.patch("/tasks/T2", {"name": word}, version)
    assert answer.status_code == 200, answer.text
    written.acknowledged[word] = answer.json()["change"]
