"""Databases that faults are tried on."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.support.postgres import fresh_database


@pytest.fixture
def database_on_server(postgres_url: str) -> Iterator[str]:
    """Address of an empty PostgreSQL database of its own."""
    with fresh_database(postgres_url) as url:
        yield url
