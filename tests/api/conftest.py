"""The service on an empty database, asked without a network."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from starlette.testclient import TestClient

from ribstitch.api import create_app
from ribstitch.clock import StoppedClock
from ribstitch.settings import Settings
from tests.api.asking import Api, small_plan

RUNS = 500
NOW = datetime(2026, 2, 2, 9, 30, tzinfo=UTC)


@pytest.fixture
def lone_client(migrated_sqlite_url: str) -> Iterator[TestClient]:
    """Return a client of the service on SQLite, for what has nothing to do with the database."""
    yield from _client_on(migrated_sqlite_url)


@pytest.fixture
def client(migrated_url: str) -> Iterator[TestClient]:
    """Return a client of the service on SQLite and on PostgreSQL."""
    yield from _client_on(migrated_url)


@pytest.fixture
def api(client: TestClient) -> Api:
    """Return a client with a small plan taken in as its only project."""
    return Api(client, small_plan())


@pytest.fixture
def lone_api(lone_client: TestClient) -> Api:
    """Return the same on SQLite alone."""
    return Api(lone_client, small_plan())


def _client_on(url: str) -> Iterator[TestClient]:
    app = create_app(Settings(database_url=url, runs=RUNS), StoppedClock(NOW))
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client
