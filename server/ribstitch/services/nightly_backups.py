"""A backup each night, into a folder where old ones make room."""

from __future__ import annotations

import logging
import re
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from threading import Lock

from ribstitch.store import FileStore, Store

_LOG = logging.getLogger("ribstitch.services")
_NAME = re.compile(r"ribstitch-nightly-(\d{4}-\d\d-\d\d)\.zip")
DAYS = 14
MONTHS = 12


class NightlyBackups:
    """
    The backups in a folder, one a date (in UTC); others that lie there are let alone.

    Parameters
    ----------
    store, files
        What is backed up.
    folder
        Where to; it must be there.
    """

    def __init__(self, store: Store, files: FileStore, folder: Path) -> None:
        self._store = store
        self._files = files
        self._folder = folder
        self._lock = Lock()
        self.has_failed = False
        """Whether the last try failed."""

    def make_if_due(self, at: datetime) -> None:
        """
        Make the backup of a date unless it was made, and let old ones go.

        Raises
        ------
        BackupError, UnavailableError, FilesUnavailableError, OSError
            If it cannot be made.
        """
        with self._lock:
            self.has_failed = True
            if self.last_on != at.date():
                self._make(at)
            self.has_failed = False

    def _make(self, at: datetime) -> None:
        """Make the backup of a date."""
        written = self._store.back_up(self._files, self._file(at.date()), at)
        for name in written.missing:
            _LOG.warning("the backup lacks the file %s: it is not in the folder of files", name)
        for name in written.damaged:
            _LOG.warning("the backup lacks the file %s: it was changed since it was added", name)
        for on in to_drop(self._dates()):
            self._file(on).unlink()

    @property
    def last_on(self) -> date | None:
        """Date of the last backup; None if there is none."""
        return max(self._dates(), default=None)

    def _dates(self) -> list[date]:
        """Return the dates of all backups."""
        found = (_NAME.fullmatch(one.name) for one in self._folder.iterdir())
        return [date.fromisoformat(one[1]) for one in found if one]

    def _file(self, on: date) -> Path:
        """Return where the backup of a date lies."""
        return self._folder / f"ribstitch-nightly-{on.isoformat()}.zip"


def to_drop(dates: Sequence[date]) -> list[date]:
    """Return those that are neither of the last 14 nor the last of one of the last 12 months."""
    ordered = sorted(dates, reverse=True)
    last_of_month = {(one.year, one.month): one for one in reversed(ordered)}
    months = sorted(last_of_month, reverse=True)[:MONTHS]
    kept = {*ordered[:DAYS], *(last_of_month[one] for one in months)}
    return [one for one in ordered if one not in kept]
