"""
Hearing that something was changed, whoever changed it: this process or another one.

PostgreSQL tells by itself: every write notifies, and the notice comes with its commit. SQLite
does not: this process is told after each commit of its own, and looks once a second whether
another one has written.

What is heard says only that it is worth looking: who wants to know what was changed reads the
change log from where it stands. So nothing is lost where the connection breaks.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import closing
from selectors import EVENT_READ, DefaultSelector
from socket import socketpair
from threading import Event, Thread
from typing import Any, Final

from sqlalchemy import Connection, Engine, exc

_LOG = logging.getLogger("ribstitch.store")
CHANNEL: Final = "ribstitch_changes"
"""PostgreSQL's channel, one for each database."""
_LOOKED_EVERY: Final = 1.0
"""[s]"""
_TRIED_AGAIN_AFTER: Final = 2.0
"""[s]"""
_SECONDS_TO_STOP: Final = 3.0


def notify(connection: Connection) -> None:
    """Let PostgreSQL tell everybody, once what the connection wrote is kept."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"NOTIFY {CHANNEL}")


class Listener:
    """
    Calls a function after every change of a database, from a thread of its own.

    It is called once more each time the connection is made anew.

    Parameters
    ----------
    engine
        The database.
    heard
        Called; must not take time.
    """

    def __init__(self, engine: Engine, heard: Callable[[], None]) -> None:
        self._engine = engine
        self._heard = heard
        self._stopped = Event()
        self._nudged = Event()
        self._woken, self._waker = socketpair()
        self._thread = Thread(target=self._run, name="Listener", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """Listen no more."""
        self._stopped.set()
        self._nudged.set()
        self._waker.send(b"stop")
        self._thread.join(_SECONDS_TO_STOP)
        self._waker.close()
        self._woken.close()

    def nudge(self) -> None:
        """Be told that this process has changed something."""
        self._nudged.set()

    def _run(self) -> None:
        listen = self._on_sqlite if self._engine.dialect.name == "sqlite" else self._on_postgresql
        while not self._stopped.is_set():
            try:
                with closing(self._engine.raw_connection()) as connection:
                    driver = connection.driver_connection
                    connection.detach()
                    listen(driver)
            except _unanswered(self._engine) as failed:
                if not self._stopped.is_set():
                    _LOG.warning("nobody is told of changes until the database answers: %s", failed)
                    self._stopped.wait(_TRIED_AGAIN_AFTER)

    def _on_postgresql(self, connection: Any) -> None:
        """Wait for notices, or to be stopped."""
        connection.rollback()
        connection.autocommit = True
        connection.execute(f"LISTEN {CHANNEL}")
        self._heard()
        with DefaultSelector() as either:
            either.register(connection.fileno(), EVENT_READ)
            either.register(self._woken, EVENT_READ)
            while not self._stopped.is_set():
                either.select()
                if any(connection.notifies(timeout=0)):
                    self._heard()

    def _on_sqlite(self, connection: Any) -> None:
        """Wait for commits of this process, and look for those of others."""
        self._heard()
        seen = _data_version(connection)
        while not self._stopped.is_set():
            was_nudged = self._nudged.wait(_LOOKED_EVERY)
            self._nudged.clear()
            version = _data_version(connection)
            if was_nudged or version != seen:
                seen = version
                self._heard()


def _data_version(connection: Any) -> int:
    """Return a number that changes when another connection has written to an SQLite file."""
    (version,) = connection.execute("PRAGMA data_version").fetchone()
    return int(version)


def _unanswered(engine: Engine) -> tuple[type[Exception], ...]:
    """Return what is raised where a database does not answer, here or in its driver."""
    return exc.SQLAlchemyError, engine.dialect.loaded_dbapi.Error
