"""A few kills in the suite; `tests.faults.killing` does as many as one likes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.killing import Outcome, killed
from tests.faults.unbroken import faults_of
from tests.faults.writing import Written


@pytest.fixture(scope="module")
def file_url(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Address of the SQLite file that is written to."""
    return f"sqlite:///{tmp_path_factory.mktemp('killed') / 'ribstitch.db'}"


@pytest.fixture(scope="module")
def on_file(file_url: str, tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    """What is left after three kills on SQLite."""
    return killed(file_url, tmp_path_factory.mktemp("served"), kills=3, seed=1)


def test_a_pulled_plug_loses_nothing_that_was_acknowledged(on_file: Outcome) -> None:
    assert on_file.acknowledged
    assert on_file.faults == []


def test_a_pulled_plug_loses_nothing_on_postgresql(database_on_server: str, tmp_path: Path) -> None:
    seen = killed(database_on_server, tmp_path, kills=2, seed=2)
    assert seen.acknowledged
    assert seen.faults == []


def test_what_is_lost_is_seen(file_url: str, on_file: Outcome) -> None:
    """The check of the tests above can fail."""
    assert on_file.faults == []
    lost = Written(acknowledged={"never written": 10**6})
    assert faults_of(file_url, 1, [lost]) == [
        "never written was acknowledged and is in the log 0 times"
    ]
