"""A fresh, empty store on each database."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import Engine

from ribstitch.store import Store, make_engine, upgrade


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """A database with the tables of this release and nothing in them."""
    engine = make_engine(database_url)
    upgrade(engine)
    yield engine
    engine.dispose()


@pytest.fixture
def store(engine: Engine) -> Store:
    """The store in that database."""
    return Store(engine)
