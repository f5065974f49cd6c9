"""What several folders of tests need: databases, a running service, a browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests.support.postgres import fresh_schema, running_server
from tests.support.service import running_demo

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """Address of the session's PostgreSQL database; tests work in schemas of it."""
    with running_server() as url:
        yield url


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    """Address of an SQLite file that does not exist yet."""
    return f"sqlite:///{tmp_path / 'ribstitch.db'}"


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> Iterator[str]:
    """Address of an empty database: the test runs on SQLite and on PostgreSQL."""
    if request.param == "sqlite":
        yield request.getfixturevalue("sqlite_url")
        return
    with fresh_schema(request.getfixturevalue("postgres_url")) as url:
        yield url


@pytest.fixture(scope="module")
def live_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a running demo, fresh for each module of tests."""
    with running_demo(tmp_path_factory.mktemp("demo")) as address:
        yield address
