"""The store: the way to a database's projects, in transactions."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine, exc, func, select

from ribstitch.store.accounts import Accounts
from ribstitch.store.backups import Written, write_backup
from ribstitch.store.change_record import Person
from ribstitch.store.engine import WRITES
from ribstitch.store.errors import UnavailableError
from ribstitch.store.files import FileStore
from ribstitch.store.listening import Listener
from ribstitch.store.migrate import revision_of
from ribstitch.store.reading import Reading
from ribstitch.store.requests_done import (
    Answer,
    NamedRequest,
    forget,
    found_answer,
    keep,
    kept_key,
    write_key,
)
from ribstitch.store.tables import ChangeRow, ProjectRow, table_of
from ribstitch.store.unit_of_work import UnitOfWork

_COUNTED = (ProjectRow, ChangeRow)


class Store:
    """Projects in one database, which `upgrade` has brought up to date."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        postgresql = engine.dialect.name == "postgresql"
        self._reader = (
            engine.execution_options(isolation_level="REPEATABLE READ") if postgresql else engine
        )
        self._writer = engine.execution_options(**{WRITES: True})
        self._listeners: list[Listener] = []

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
        RequestDoneError, KeyUsedError
            If the request that is being done was done before.
        """
        with _answering(), self._writer.begin() as connection:
            write_key(connection, at)
            work = UnitOfWork(connection, who, at)
            yield work
        kept_key()
        if work.has_changed:
            for listener in self._listeners:
                listener.nudge()

    def answered(self, request: NamedRequest) -> Answer | None:
        """
        Return what a request was answered with; None: it was not done yet.

        Raises
        ------
        KeyUsedError
            If another request has its key.
        UnavailableError
            If the database does not answer.
        """
        with _answering(), self._reader.begin() as connection:
            return found_answer(connection, request)

    def keep_answer(self, request: NamedRequest, answer: Answer) -> None:
        """Keep what a request that was done is answered with."""
        with _answering(), self._writer.begin() as connection:
            keep(connection, request, answer)

    def forget_requests(self, now: datetime) -> None:
        """Forget the requests that were done too long ago."""
        with _answering(), self._writer.begin() as connection:
            forget(connection, now)

    @contextmanager
    def accounts(self, *, writes: bool) -> Iterator[Accounts]:
        """
        Begin to read or write accounts: kept when the block ends, gone if it raises.

        Raises
        ------
        UnavailableError
            If the database does not answer, or others write for too long.
        """
        engine = self._writer if writes else self._reader
        with _answering(), engine.begin() as connection:
            accounts = Accounts(connection)
            yield accounts
            accounts.flush()

    def listen(self, heard: Callable[[], None]) -> Callable[[], None]:
        """
        Call a function after every change, from another thread, until told to stop.

        Parameters
        ----------
        heard
            Called; must not take time. What was changed is in the change log.

        Returns
        -------
        Call it to listen no more.
        """
        listener = Listener(self._engine, heard)
        self._listeners.append(listener)
        listener.start()

        def stop() -> None:
            self._listeners.remove(listener)
            listener.stop()

        return stop

    def back_up(self, files: FileStore, target: Path, at: datetime) -> Written:
        """
        Write everything into one new file; see `ribstitch.store.backups.write_backup`.

        Raises
        ------
        BackupError, FilesUnavailableError
            If it cannot be written, or the files cannot be read.
        UnavailableError
            If the database does not answer.
        """
        with _answering():
            return write_backup(self._engine, files, target, at)

    def revision(self) -> str | None:
        """
        Return the last migration that the database has seen.

        Raises
        ------
        UnavailableError
            If the database does not answer.
        """
        with _answering(), self._reader.begin() as connection:
            return revision_of(connection)

    def counts(self) -> tuple[int, int]:
        """
        Return the number of projects, and of changes of all of them.

        Raises
        ------
        UnavailableError
            If the database does not answer.
        """
        with _answering(), self._reader.begin() as connection:
            counted = (select(func.count()).select_from(table_of(row)) for row in _COUNTED)
            projects, changes = (connection.execute(one).scalar_one() for one in counted)
            return projects, changes

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
