"""The service on an empty database, asked without a network."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ribstitch.api import create_app
from ribstitch.assets import seed_folder
from ribstitch.clock import StoppedClock
from ribstitch.services.load_demo import DEMO
from ribstitch.settings import Settings
from tests.api.asking import Api, small_plan
from tests.support.postgres import copied_database
from tests.support.signed_in import Furnished, House, running_house

RUNS = 500
NOW = datetime(2026, 2, 2, 9, 30, tzinfo=UTC)


@pytest.fixture
def lone_client(migrated_sqlite_url: str, tmp_path: Path) -> Iterator[TestClient]:
    """Return a client of the service on SQLite, for what has nothing to do with the database."""
    yield from _client_on(migrated_sqlite_url, tmp_path)


@pytest.fixture(scope="module")
def shared_client(
    migrated_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[TestClient]:
    """Return one client on SQLite for a module, for long tables of what stores nothing."""
    folder = tmp_path_factory.mktemp("shared")
    copied = shutil.copy(migrated_file, folder)
    yield from _client_on(f"sqlite:///{copied}", folder)


@pytest.fixture(scope="session")
def settled_demo(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Api]:
    """Return one client of the demo project, simulated, for all tests that only read it."""
    folder = tmp_path_factory.mktemp("settled")
    copied = shutil.copy(migrated_file, folder)
    plan = json.loads((seed_folder() / DEMO).read_text(encoding="utf-8"))
    for client in _client_on(f"sqlite:///{copied}", folder):
        api = Api(client, plan)
        api.settle()
        as_taken_in = api.plan_version
        yield api
        assert api.plan_version == as_taken_in, "a test changed the project that others read"


@pytest.fixture(scope="session")
def furnished(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Furnished:
    """Return a database in which somebody has every role, to be copied."""
    folder = tmp_path_factory.mktemp("furnished")
    file = Path(shutil.copy(migrated_file, folder))
    with running_house(f"sqlite:///{file}", folder) as house:
        house.move_in()
        return Furnished(file, house.known)


@pytest.fixture
def house(furnished: Furnished, tmp_path: Path) -> Iterator[House]:
    """The service where people sign in, with somebody in every role."""
    copied = shutil.copy(furnished.file, tmp_path)
    with running_house(f"sqlite:///{copied}", tmp_path) as house:
        house.known = furnished.known
        yield house


@pytest.fixture
def client(migrated_url: str, tmp_path: Path) -> Iterator[TestClient]:
    """Return a client of the service on SQLite and on PostgreSQL."""
    yield from _client_on(migrated_url, tmp_path)


@pytest.fixture(scope="module")
def taken_in() -> dict[str, Any]:
    """Return the plan of the only project: a small one. A module can have one of its own."""
    return small_plan()


@pytest.fixture
def api(client: TestClient, taken_in: dict[str, Any]) -> Api:
    """Return a client with a plan taken in as its only project."""
    return Api(client, taken_in)


@pytest.fixture
def lone_api(lone_client: TestClient, taken_in: dict[str, Any]) -> Api:
    """Return the same on SQLite alone."""
    return Api(lone_client, taken_in)


@pytest.fixture(scope="module")
def shared_api(shared_client: TestClient, taken_in: dict[str, Any]) -> Api:
    """Return one such project for a module, on SQLite: for what is refused and stores nothing."""
    return Api(shared_client, taken_in)


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def either_api(
    request: pytest.FixtureRequest,
    taken_in: dict[str, Any],
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Api]:
    """Return one such project for a module on each database, for the same."""
    folder = tmp_path_factory.mktemp("either")
    if request.param == "sqlite":
        copied = shutil.copy(request.getfixturevalue("migrated_file"), folder)
        yield from (Api(client, taken_in) for client in _client_on(f"sqlite:///{copied}", folder))
        return
    with copied_database(request.getfixturevalue("migrated_database")) as url:
        yield from (Api(client, taken_in) for client in _client_on(url, folder))


def _client_on(url: str, folder: Path) -> Iterator[TestClient]:
    files = folder / "files"
    settings = Settings(database_url=url, files=files, largest_file_mb=1, runs=RUNS)
    app = create_app(settings, StoppedClock(NOW))
    with TestClient(app, "http://127.0.0.1:8765", raise_server_exceptions=False) as client:
        yield client
