"""Backups: a whole database and its folder of files in one file, whichever database it is."""

from ribstitch.store.backups.archive import Archive
from ribstitch.store.backups.errors import BackupError
from ribstitch.store.backups.manifest import Manifest
from ribstitch.store.backups.restoring import restore_backup
from ribstitch.store.backups.writing import Written, write_backup

__all__ = ["Archive", "BackupError", "Manifest", "Written", "restore_backup", "write_backup"]
