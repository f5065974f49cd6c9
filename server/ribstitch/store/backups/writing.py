"""Write a backup: as everything is at one moment, whatever others write meanwhile."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import mkstemp
from typing import IO

from sqlalchemy import Connection, Engine, select

from ribstitch import __version__
from ribstitch.store.backups.archive import NewArchive
from ribstitch.store.backups.errors import BackupError
from ribstitch.store.backups.manifest import Manifest, file_member, rows_member
from ribstitch.store.backups.rows import lines_of, tables_in
from ribstitch.store.errors import DamagedFileError
from ribstitch.store.files import FileStore
from ribstitch.store.migrate import revision_of

_NOTHING = "There is no database of Ribstitch here: nothing to back up."


@dataclass(frozen=True, slots=True)
class Written:
    """A backup that was written."""

    file: Path
    manifest: Manifest
    damaged: tuple[str, ...]
    """Digests of photos and documents that were changed since they were added: left out."""
    missing: tuple[str, ...]
    """Digests of those that a plan names and that are not in the folder."""


def write_backup(engine: Engine, files: FileStore, target: Path, at: datetime) -> Written:
    """
    Write a database, of whichever revision, and its files into one new file.

    The rows are those of one transaction. Files are read after it began and are only ever
    added, so each one that a row names is there.

    Parameters
    ----------
    engine, files
        What is backed up.
    target
        The new file; it has its name once it is whole and on disk.
    at
        Now, in UTC.

    Raises
    ------
    BackupError
        If the file exists, cannot be written, or there is nothing to back up.
    FilesUnavailableError
        If the folder of files cannot be read.
    """
    with _new_archive(target) as archive:
        revision, tables, named = _put_rows(archive, engine)
        present = files.digests()
        damaged = tuple(_put_files(archive, files, present))
        manifest = Manifest(
            program=__version__,
            revision=revision,
            made_at=at.astimezone(UTC),
            tables=tables,
            members=archive.members,
        )
        archive.finish(manifest)
    return Written(target, manifest, damaged, tuple(sorted(named.difference(present))))


def _put_rows(archive: NewArchive, engine: Engine) -> tuple[str, dict[str, int], set[str]]:
    """Write all rows; return the revision, the number of rows by table, and the files named."""
    counts: dict[str, int] = {}
    with _one_moment(engine) as connection:
        revision = revision_of(connection)
        if revision is None:
            raise BackupError(_NOTHING)
        tables = tables_in(connection)
        for table in tables:
            counts[table.name] = 0
            lines = _counted(counts, table.name, lines_of(connection, table))
            archive.add(rows_member(table.name), lines, packed=True)
        columns = [table.c.sha256 for table in tables if "sha256" in table.c]
        named = {digest for one in columns for digest in connection.scalars(select(one))}
    return revision, counts, named


@contextmanager
def _one_moment(engine: Engine) -> Iterator[Connection]:
    """Look at a database as it is at one moment; none is made where there is none."""
    if engine.dialect.name == "postgresql":
        engine = engine.execution_options(isolation_level="REPEATABLE READ")
    elif not Path(engine.url.database or "").exists():
        raise BackupError(_NOTHING)
    with engine.begin() as connection:
        yield connection


def _counted(counts: dict[str, int], table: str, lines: Iterable[bytes]) -> Iterator[bytes]:
    """Count lines on their way."""
    for line in lines:
        counts[table] += 1
        yield line


def _put_files(archive: NewArchive, files: FileStore, digests: Iterable[str]) -> Iterator[str]:
    """Write all photos and documents; yield the digests of those that are damaged."""
    for digest in digests:
        try:
            content = files.read(digest)
        except DamagedFileError:
            yield digest
        else:
            archive.add(file_member(digest), [content], packed=False)


@contextmanager
def _new_archive(target: Path) -> Iterator[NewArchive]:
    """Begin a zip."""
    with _new_file(target) as sink:
        archive = NewArchive(sink)
        try:
            yield archive
        except BaseException:
            archive.abandon()
            raise


@contextmanager
def _new_file(target: Path) -> Iterator[IO[bytes]]:
    """Write under another name beside the target; name it when the block ends well."""
    _refuse_existing(target)
    try:
        handle, unfinished = mkstemp(dir=target.parent, prefix=f".{target.name}-")
        try:
            with os.fdopen(handle, "wb") as sink:
                yield sink
                sink.flush()
                os.fsync(sink.fileno())
            _refuse_existing(target)
            Path(unfinished).rename(target)
        finally:
            Path(unfinished).unlink(missing_ok=True)
    except OSError as failed:
        raise BackupError(f"{target}: cannot be written ({failed.strerror})") from failed


def _refuse_existing(target: Path) -> None:
    """Refuse to overwrite anything."""
    if os.path.lexists(target):
        raise BackupError(f"{target}: is there already; a backup overwrites nothing.")
