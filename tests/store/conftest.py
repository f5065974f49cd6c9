"""A fresh, empty store on each database."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import Engine

from ribstitch.store import Store, make_engine


@pytest.fixture
def engine(migrated_url: str) -> Iterator[Engine]:
    """A database with the tables of this release and nothing in them."""
    engine = make_engine(migrated_url)
    yield engine
    engine.dispose()


@pytest.fixture
def store(engine: Engine) -> Store:
    """The store in that database."""
    return Store(engine)
