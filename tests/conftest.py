"""What several folders of tests need: databases, a running service, a browser."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from ribstitch.clock import Clock
from ribstitch.services.load_demo import load_demo
from ribstitch.store import FileStore, Person, Store, folder_beside, make_engine, upgrade
from tests.support.postgres import (
    copied_database,
    empty,
    fresh_database,
    fresh_schema,
    running_server,
    shape,
)
from tests.support.service import running_warm_demo, running_warm_service

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


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an SQLite file that is up to date: copied, which is faster than made anew."""
    file = tmp_path_factory.mktemp("migrated") / "ribstitch.db"
    _upgrade(f"sqlite:///{file}")
    return file


@pytest.fixture(scope="session")
def migrated_database(postgres_url: str) -> Iterator[str]:
    """Address of a PostgreSQL database that is up to date, to be copied as well."""
    with fresh_database(postgres_url) as url:
        _upgrade(url)
        yield url


@pytest.fixture(scope="session")
def lent_database(migrated_database: str) -> Iterator[str]:
    """Address of a copy that tests have one after the other."""
    with copied_database(migrated_database) as url:
        yield url


@pytest.fixture
def migrated_sqlite_url(sqlite_url: str, migrated_file: Path) -> str:
    """Address of an SQLite file with the tables of this release and nothing in them."""
    shutil.copy(migrated_file, sqlite_url.removeprefix("sqlite:///"))
    return sqlite_url


@pytest.fixture(params=["sqlite", "postgresql"])
def migrated_url(request: pytest.FixtureRequest) -> Iterator[str]:
    """Address of a database with empty tables: the test runs on SQLite and on PostgreSQL."""
    if request.param == "sqlite":
        yield request.getfixturevalue("migrated_sqlite_url")
        return
    url = request.getfixturevalue("lent_database")
    before = shape(url)
    yield url
    empty(url)
    assert shape(url) == before, "a test changed the tables that others are lent"


@pytest.fixture(scope="session")
def demo_data(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder as `ribstitch demo` fills it, to be copied."""
    folder = tmp_path_factory.mktemp("demo") / "data"
    folder.mkdir()
    database = f"sqlite:///{shutil.copy(migrated_file, folder)}"
    store = Store(make_engine(database))
    files = FileStore(folder_beside(database))
    load_demo(store, files, Person("Shop lead", "lead"), Clock().now_utc())
    store.close()
    return folder


@pytest.fixture(scope="module")
def live_server(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a running demo, fresh for each module of tests."""
    folder = tmp_path_factory.mktemp("served")
    shutil.copytree(demo_data, folder / "data")
    with running_warm_demo(folder) as address:
        yield address


@pytest.fixture(scope="module")
def service_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where the service of a module keeps its data and its log."""
    return tmp_path_factory.mktemp("service")


@pytest.fixture(scope="module")
def empty_service(service_folder: Path) -> Iterator[str]:
    """Address of a running service on a new database, fresh for each module of tests."""
    with running_warm_service(service_folder) as address:
        yield address


def _upgrade(url: str) -> None:
    engine = make_engine(url)
    upgrade(engine)
    engine.dispose()
