"""A command's way to the database: settings, migrations, one sentence if it fails."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine
from sqlalchemy.exc import DatabaseError

from ribstitch.cli.refusal import RefusedError
from ribstitch.settings import Settings, SettingsError, load_settings
from ribstitch.store import (
    LAST_PROJECT,
    Store,
    StoreError,
    UnknownProjectError,
    make_engine,
    upgrade,
)


@contextmanager
def opened(settings: Settings) -> Iterator[Store]:
    """
    Open the store, brought up to date, and close it when the block ends.

    Raises
    ------
    RefusedError
        If there can be no such database, it cannot be used, or is of a later release,
        or what is done with it is refused.
    """
    with connected(settings) as engine:
        upgrade(engine)
        yield Store(engine)


@contextmanager
def connected(settings: Settings) -> Iterator[Engine]:
    """
    Reach the database as it is, and let go of it when the block ends.

    Raises
    ------
    RefusedError
        If there can be no such database, it cannot be used, or is of a later release,
        or what is done with it is refused.
    """
    try:
        engine = make_engine(settings.database_address)
    except ValueError as refused:
        raise RefusedError(f"RIBSTITCH_DATABASE_URL: {refused}") from refused
    try:
        yield engine
    except StoreError as refused:
        raise RefusedError(str(refused)) from refused
    except DatabaseError as failed:
        reason = str(failed.orig).strip().splitlines()[0]
        raise RefusedError(f"the database cannot be used: {reason}") from failed
    finally:
        engine.dispose()


def check_number(project: int) -> None:
    """
    Refuse a number that no project can have: not every database could look for it.

    Raises
    ------
    RefusedError
        If there can be no such project.
    """
    if not 0 < project <= LAST_PROJECT:
        raise RefusedError(str(UnknownProjectError(project)))


def settings_for(database: str | None, **given: object) -> Settings:
    """
    Read the settings; a database and what else is `given` (and not None) win.

    Raises
    ------
    RefusedError
        If a setting is refused.
    """
    try:
        return load_settings(database_url=database, **given)
    except SettingsError as refused:
        raise RefusedError(str(refused)) from refused
