"""Read a backup back into an empty place, all of it or nothing."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect
from sqlalchemy.exc import DatabaseError, SQLAlchemyError

from ribstitch.store.backups.archive import Archive
from ribstitch.store.backups.errors import BackupError
from ribstitch.store.backups.manifest import Manifest, file_member, rows_member
from ribstitch.store.backups.rows import put_lines, set_sequences, tables_in
from ribstitch.store.files import FileStore
from ribstitch.store.migrate import DanglingReferencesError, bring_to, check_known, migrating


def restore_backup(file: Path, engine: Engine, files: FileStore) -> Manifest:
    """
    Read a backup into an empty database and an empty folder, and bring it up to date.

    Every member is checked before anything is written. The database is filled in one
    transaction, with the tables of the release that wrote the backup, which are then
    migrated. It may be another kind of database than the one that was backed up.

    Raises
    ------
    BackupError
        If the backup is damaged or the place is not empty; nothing is left behind.
    NewerDatabaseError
        If a later release wrote the backup.
    FilesUnavailableError
        If a file cannot be written; nothing is left behind.
    """
    with closing(Archive(file)) as archive:
        check_known(archive.manifest.revision)
        archive.check()
        with _empty_folder(files), _empty_database(engine) as connection:
            _fill(connection, archive, file)
            _put_files(archive, files)
        return archive.manifest


def _fill(connection: Connection, archive: Archive, file: Path) -> None:
    """Make the tables of the backup's revision, fill them, and bring them up to date."""
    manifest = archive.manifest
    bring_to(connection, manifest.revision)
    tables = tables_in(connection)
    if {table.name for table in tables} != set(manifest.tables):
        raise BackupError(f"{file}: its tables are not those of revision {manifest.revision}.")
    for table in tables:
        member = rows_member(table.name)
        try:
            count = put_lines(connection, table, archive.lines(member))
        except (ValueError, KeyError) as refused:
            raise BackupError(
                f"{file}: {member} holds no rows of that table ({refused})."
            ) from refused
        if count != manifest.tables[table.name]:
            raise BackupError(f"{file}: {member} holds {count} rows, not as many as it says.")
    set_sequences(connection, tables)
    if connection.dialect.name == "postgresql":
        # No table can be altered while a check of it is still to come.
        connection.exec_driver_sql("SET CONSTRAINTS ALL IMMEDIATE")
        connection.exec_driver_sql("SET CONSTRAINTS ALL DEFERRED")
    bring_to(connection)


def _put_files(archive: Archive, files: FileStore) -> None:
    """Put all photos and documents into the folder."""
    for digest in archive.manifest.digests:
        kept = files.put(b"".join(archive.pieces(file_member(digest))))
        if kept != digest:
            raise BackupError(f"The file {digest[:12]}… of the backup has another digest.")


@contextmanager
def _empty_folder(files: FileStore) -> Iterator[None]:
    """Refuse a folder with something in it; if the block fails, empty it again."""
    folder = files.folder
    was_there = folder.exists()
    if was_there and any(folder.iterdir()):
        raise BackupError(f"{folder}: is not empty; a backup is restored into an empty folder.")
    try:
        yield
    except BaseException:
        for one in folder.iterdir() if folder.exists() else ():
            shutil.rmtree(one)
        if not was_there:
            shutil.rmtree(folder, ignore_errors=True)
        raise


@contextmanager
def _empty_database(engine: Engine) -> Iterator[Connection]:
    """Begin to fill a database, which must hold nothing; if the block fails, it holds nothing."""
    lying = Path(engine.url.database or "") if engine.dialect.name == "sqlite" else None
    was_there = lying is not None and lying.exists()
    try:
        with migrating(engine) as connection:
            if inspect(connection).get_table_names():
                raise BackupError(
                    "The database is not empty: a backup is restored into an empty one."
                )
            yield connection
    except BaseException as failed:
        engine.dispose()
        if lying is not None and not was_there:
            for ending in ("", "-wal", "-shm"):
                lying.with_name(lying.name + ending).unlink(missing_ok=True)
        if isinstance(failed, SQLAlchemyError | DanglingReferencesError):
            raise BackupError(f"The backup cannot be restored: {_reason(failed)}") from failed
        raise


def _reason(failed: SQLAlchemyError | DanglingReferencesError) -> str:
    """Return the first line of what the database says."""
    said = failed.orig if isinstance(failed, DatabaseError) else failed
    return str(said).strip().splitlines()[0]
