"""The store: the way to a database's projects, in transactions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from sqlalchemy import Engine, exc

from ribstitch.store.change_record import Person
from ribstitch.store.engine import WRITES
from ribstitch.store.errors import UnavailableError
from ribstitch.store.reading import Reading
from ribstitch.store.unit_of_work import UnitOfWork


class Store:
    """Projects in one database, which `upgrade` has brought up to date."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        postgresql = engine.dialect.name == "postgresql"
        self._reader = (
            engine.execution_options(isolation_level="REPEATABLE READ") if postgresql else engine
        )
        self._writer = engine.execution_options(**{WRITES: True})

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """
        Look at the store as it is at one moment, whatever others write meanwhile.

        Raises
        ------
        UnavailableError
            If the database does not answer.
        """
        with _answering(), self._reader.begin() as connection:
            yield Reading(connection)

    @contextmanager
    def begin(self, who: Person, at: datetime) -> Iterator[UnitOfWork]:
        """
        Begin to write: kept when the block ends, gone if it raises.

        Raises
        ------
        UnavailableError
            If the database does not answer, or others write for too long.
        """
        with _answering(), self._writer.begin() as connection:
            yield UnitOfWork(connection, who, at)

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()


@contextmanager
def _answering() -> Iterator[None]:
    """Say in the store's own words that the database does not answer."""
    try:
        yield
    except (exc.OperationalError, exc.TimeoutError) as failed:
        raise UnavailableError(str(failed)) from failed
