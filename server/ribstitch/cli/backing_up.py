"""Commands that keep everything safe: backup, check-backup, restore."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime
from pathlib import Path

import typer

from ribstitch.cli.database import connected, settings_for
from ribstitch.cli.refusal import RefusedError
from ribstitch.clock import Clock
from ribstitch.store import FileStore, StoreError
from ribstitch.store.backups import (
    Archive,
    BackupError,
    Manifest,
    Written,
    restore_backup,
    write_backup,
)


def back_up(file: Path | None, database: str | None) -> None:
    """
    Write a backup, while the service runs or not.

    Where photos or documents are missing it is written without them, and ends with status 1.

    Raises
    ------
    RefusedError
        If there is nothing to back up, or the file is there or cannot be written.
    """
    settings, now = settings_for(database), Clock().now_utc()
    target = file or Path(_name(now))
    with connected(settings) as engine:
        written = write_backup(engine, FileStore(settings.files_folder), target, now)
    typer.echo(f"{target}: {_told(written.manifest)}.")
    lacking = _lacking(written)
    for sentence in lacking:
        typer.echo(sentence, err=True)
    if lacking:
        raise typer.Exit(1)


def check(file: Path) -> None:
    """
    Read a backup to its end and compare every digest.

    Raises
    ------
    RefusedError
        If it is damaged.
    """
    try:
        with closing(Archive(file)) as archive:
            archive.check()
            typer.echo(f"{file}: is whole; {_told(archive.manifest)}.")
    except StoreError as refused:
        raise RefusedError(str(refused)) from refused


def restore(file: Path, database: str | None) -> None:
    """
    Read a backup into an empty database and an empty folder.

    Raises
    ------
    RefusedError
        If it is damaged or the place is not empty; nothing is left behind.
    """
    settings = settings_for(database)
    with connected(settings) as engine:
        try:
            restored = restore_backup(file, engine, FileStore(settings.files_folder))
        except BackupError as refused:
            raise RefusedError(f"{refused} Nothing was restored.") from refused
    typer.echo(f"{file}: restored; {_told(restored)}.")


def _name(now: datetime) -> str:
    """Return what a backup is called if nobody says so."""
    return f"ribstitch-{now:%Y-%m-%dT%H%M%SZ}.zip"


def _told(manifest: Manifest) -> str:
    """Say what a backup holds."""
    return (
        f"{manifest.tables['project']} projects, {manifest.tables['change']} changes, "
        f"{len(manifest.digests)} photos and documents, as of {manifest.made_at:%Y-%m-%d %H:%M} UTC"
    )


def _lacking(written: Written) -> list[str]:
    """Say which photos and documents could not be kept."""
    sentences = []
    if written.missing:
        sentences.append(
            f"{len(written.missing)} photos or documents that a plan names are not in the folder "
            f"of files, first {written.missing[0][:12]}…: is RIBSTITCH_FILES the right folder?"
        )
    if written.damaged:
        sentences.append(
            f"{len(written.damaged)} photos or documents were changed since they were added and "
            f"are left out, first {written.damaged[0][:12]}…: put them back from an older backup."
        )
    return sentences
