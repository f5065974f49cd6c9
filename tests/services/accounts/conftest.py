"""A hangar whose people sign in, with two projects."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from ribstitch.services.import_plan import import_plan
from ribstitch.store import Store, make_engine
from tests.store.plans import AT, LEAD, short_plan
from tests.support.accounts import Hangar


@pytest.fixture
def hangar(migrated_sqlite_url: str) -> Iterator[Hangar]:
    """Two projects and nobody who has an account, on SQLite."""
    yield from _hangar_on(migrated_sqlite_url)


@pytest.fixture
def any_hangar(migrated_url: str) -> Iterator[Hangar]:
    """The same on SQLite and on PostgreSQL, for what locks and what each does by itself."""
    yield from _hangar_on(migrated_url)


def _hangar_on(url: str) -> Iterator[Hangar]:
    engine = make_engine(url)
    store = Store(engine)
    assert [import_plan(store, short_plan(), LEAD, AT) for _ in range(2)] == [1, 2]
    yield Hangar(store)
    engine.dispose()
