"""Bring a database up to the tables of this release."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine

from ribstitch.store.engine import WRITES
from ribstitch.store.errors import NewerDatabaseError

_LOCK = 0x52494253
"""Number of PostgreSQL's advisory lock that keeps two upgrades apart."""


class DanglingReferencesError(RuntimeError):
    """Rows refer to others that are not there."""


def upgrade(engine: Engine) -> None:
    """
    Run the migrations that the database has not seen, all or none of them.

    Raises
    ------
    NewerDatabaseError
        If the database has seen a migration that this release does not know.
    DanglingReferencesError
        If on SQLite a migration would leave a reference to nothing; nothing is changed.
    """
    with migrating(engine) as connection:
        bring_to(connection)


@contextmanager
def migrating(engine: Engine) -> Iterator[Connection]:
    """
    Begin a transaction that may make and rebuild tables; two of them wait for each other.

    Raises
    ------
    DanglingReferencesError
        If on SQLite it would leave a reference to nothing; nothing is changed.
    """
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        sqlite = connection.dialect.name == "sqlite"
        if sqlite:
            _sqlite_references(connection, checked=False)
        try:
            with connection.begin():
                if not sqlite:
                    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
                yield connection
                if sqlite:
                    _check_references(connection)
        finally:
            if sqlite:
                _sqlite_references(connection, checked=True)


def bring_to(connection: Connection, revision: str = "head") -> None:
    """
    Run the migrations up to a revision, within the transaction of a connection.

    Raises
    ------
    NewerDatabaseError
        If the database has seen a migration that this release does not know.
    """
    seen = revision_of(connection)
    if seen is not None:
        check_known(seen)
    command.upgrade(config_for(connection), revision)


def revision_of(connection: Connection) -> str | None:
    """Return the last migration that a database has seen; None if it has seen none."""
    return MigrationContext.configure(connection).get_current_revision()


@cache
def newest_revision() -> str | None:
    """Return the last migration of this release."""
    return _scripts().get_current_head()


def check_known(revision: str) -> None:
    """
    Refuse a migration that only a later release knows.

    Raises
    ------
    NewerDatabaseError
        If it is none of this release's.
    """
    if revision not in {script.revision for script in _scripts().walk_revisions()}:
        raise NewerDatabaseError(revision)


def config_for(connection: Connection) -> Config:
    """Return Alembic's configuration for one open connection."""
    config = _config()
    config.attributes["connection"] = connection
    return config


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(files("ribstitch.store") / "migrations"))
    config.set_main_option("path_separator", "os")
    return config


def _scripts() -> ScriptDirectory:
    return ScriptDirectory.from_config(_config())


def _sqlite_references(connection: Connection, *, checked: bool) -> None:
    """
    Switch SQLite's check of references on or off.

    It must be off while a table is rebuilt, because its old version is dropped; inside a
    transaction SQLite ignores the switch.
    """
    driver = connection.connection.driver_connection
    if driver is not None:
        driver.execute(f"PRAGMA foreign_keys = {'ON' if checked else 'OFF'}")


def _check_references(connection: Connection) -> None:
    """Refuse tables in which a reference leads to nothing."""
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        raise DanglingReferencesError(
            f"{len(broken)} rows refer to nothing, first in {broken[0][0]}"
        )
