"""Bring a database up to the tables of this release."""

from __future__ import annotations

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


def upgrade(engine: Engine) -> None:
    """
    Run the migrations that the database has not seen, all or none of them.

    Raises
    ------
    NewerDatabaseError
        If the database has seen a migration that this release does not know.
    RuntimeError
        If on SQLite a migration would leave a reference to nothing; nothing is changed.
    """
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        sqlite = connection.dialect.name == "sqlite"
        if sqlite:
            _sqlite_references(connection, checked=False)
        try:
            with connection.begin():
                if not sqlite:
                    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
                _check_release(connection)
                command.upgrade(config_for(connection), "head")
                if sqlite:
                    _check_references(connection)
        finally:
            if sqlite:
                _sqlite_references(connection, checked=True)


def config_for(connection: Connection) -> Config:
    """Return Alembic's configuration for one open connection."""
    config = Config()
    config.set_main_option("script_location", str(files("ribstitch.store") / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def _check_release(connection: Connection) -> None:
    """Refuse a database that a later release has brought further."""
    known = ScriptDirectory.from_config(config_for(connection))
    revisions = {script.revision for script in known.walk_revisions()}
    for seen in MigrationContext.configure(connection).get_current_heads():
        if seen not in revisions:
            raise NewerDatabaseError(seen)


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
        raise RuntimeError(f"{len(broken)} rows refer to nothing, first in {broken[0][0]}")
