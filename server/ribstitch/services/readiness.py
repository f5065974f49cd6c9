"""Whether the service can do its work: what it needs, looked at one by one."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from ribstitch.services.nightly_backups import NightlyBackups
from ribstitch.store import Store, UnavailableError, newest_revision

LEAST_FREE_BYTES = 100_000_000
"""With less, the disk counts as full (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that the service needs."""

    name: str
    is_met: bool
    is_vital: bool
    """Whether nothing can be done without it."""
    detail: str
    """One sentence that tells nothing about the machine."""


def readiness(
    store: Store, files: Path, backups: NightlyBackups | None, at: datetime
) -> list[Need]:
    """
    Look at everything that the service needs.

    Parameters
    ----------
    store, files
        The database, and the folder of photos and documents.
    backups
        None where no backups are made by themselves.
    at
        Now, in UTC.
    """
    needs = [*_database(store), _disk(files)]
    return needs if backups is None else [*needs, _backup(backups, at)]


def _database(store: Store) -> list[Need]:
    """Ask the database which tables it has."""
    try:
        revision = store.revision()
    except UnavailableError:
        return [Need("database", False, True, "The database does not answer.")]
    current = revision == newest_revision()
    said = "are those of this release" if current else "are those of another release"
    return [
        Need("database", True, True, "The database answers."),
        Need("tables", current, True, f"The tables {said}."),
    ]


def _disk(files: Path) -> Need:
    """Look how much room is left for photos and documents."""
    there = next(one for one in (files, *files.absolute().parents) if one.exists())
    enough = shutil.disk_usage(there).free >= LEAST_FREE_BYTES
    return Need("disk", enough, True, "The disk has room." if enough else "The disk is full.")


def _backup(backups: NightlyBackups, at: datetime) -> Need:
    """Look at the last backup; without it, work goes on."""
    try:
        last = backups.last_on
    except OSError:
        return Need("backup", False, False, "The folder of backups cannot be read.")
    if last is None:
        return Need("backup", False, False, "No backup was made yet.")
    recent = at.date() - last <= timedelta(days=1) and not backups.has_failed
    return Need("backup", recent, False, f"The last backup is of {last.isoformat()}.")
