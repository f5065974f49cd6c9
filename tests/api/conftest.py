"""The service on an empty database, asked without a network."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from ribstitch.api import create_app
from ribstitch.clock import StoppedClock
from ribstitch.settings import Settings
from ribstitch.store import make_engine, upgrade
from tests.api.asking import Api, small_plan

RUNS = 500
NOW = datetime(2026, 2, 2, 9, 30, tzinfo=UTC)


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an SQLite file that is up to date: copied, which is faster than made anew."""
    file = tmp_path_factory.mktemp("migrated") / "ribstitch.db"
    _upgrade(f"sqlite:///{file}")
    return file


@pytest.fixture
def lone_client(sqlite_url: str, migrated_file: Path) -> Iterator[TestClient]:
    """Return a client of the service on SQLite, for what has nothing to do with the database."""
    shutil.copy(migrated_file, sqlite_url.removeprefix("sqlite:///"))
    yield from _client_on(sqlite_url)


@pytest.fixture
def client(database_url: str, migrated_file: Path) -> Iterator[TestClient]:
    """Return a client of the service on SQLite and on PostgreSQL."""
    if database_url.startswith("sqlite"):
        shutil.copy(migrated_file, database_url.removeprefix("sqlite:///"))
    else:
        _upgrade(database_url)
    yield from _client_on(database_url)


@pytest.fixture
def api(client: TestClient) -> Api:
    """Return a client with a small plan taken in as its only project."""
    return Api(client, small_plan())


@pytest.fixture
def lone_api(lone_client: TestClient) -> Api:
    """Return the same on SQLite alone."""
    return Api(lone_client, small_plan())


def _upgrade(url: str) -> None:
    engine = make_engine(url)
    upgrade(engine)
    engine.dispose()


def _client_on(url: str) -> Iterator[TestClient]:
    app = create_app(Settings(database_url=url, runs=RUNS), StoppedClock(NOW))
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client
