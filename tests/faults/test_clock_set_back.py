"""The machine's clock jumps back: the log goes by its numbers, not by the time of day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from ribstitch.api import create_app
from ribstitch.clock import StoppedClock
from ribstitch.settings import Settings
from tests.api.asking import Api, small_plan
from tests.api.conftest import NOW
from tests.faults.unbroken import faults_of
from tests.faults.writing import Written


@pytest.fixture
def clock() -> StoppedClock:
    """Return a clock that can be set back."""
    return StoppedClock(NOW)


@pytest.fixture
def api(clock: StoppedClock, migrated_url: str, tmp_path: Path) -> Iterator[Api]:
    """Return the service with that clock, and a small plan."""
    settings = Settings(database_url=migrated_url, files=tmp_path / "files", runs=100)
    with TestClient(create_app(settings, clock), base_url="http://127.0.0.1") as client:
        yield Api(client, small_plan())


def test_a_clock_that_is_set_back_neither_mixes_up_the_log_nor_undo(
    api: Api, clock: StoppedClock, migrated_url: str
) -> None:
    written = Written()
    for number, days in enumerate((0, -3, 1, -400)):
        clock.move(timedelta(days=days))
        answer = api.patch("/tasks/T2", {"name": f"word {number}"}, number + 1)
        assert answer.status_code == 200, answer.text
        written.acknowledged[f"word {number}"] = answer.json()["change"]
    told = [line["after"]["name"] for line in api.read("/changes?kind=task")["changes"]]
    assert told == ["word 3", "word 2", "word 1", "word 0"]
    undone = api.post("/undo", {"kind": "task", "key": "T2"})
    assert undone.status_code == 200, undone.text
    assert api.read("/tasks/T2")["task"]["name"] == "word 2"
    assert faults_of(migrated_url, api.project, []) == []
