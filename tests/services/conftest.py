"""A project in a fresh store on each database."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from ribstitch.store import Store, make_engine
from tests.services.shop import Shop
from tests.store.plans import short_plan


@pytest.fixture
def store(migrated_url: str) -> Iterator[Store]:
    """An empty store."""
    engine = make_engine(migrated_url)
    yield Store(engine)
    engine.dispose()


@pytest.fixture
def shop(store: Store) -> Shop:
    """The short plan, stored; nothing of it is done yet."""
    return Shop(store, short_plan())
