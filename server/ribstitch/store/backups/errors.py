"""What a backup or a restore refuses."""

from __future__ import annotations

from ribstitch.store.errors import StoreError


class BackupError(StoreError):
    """A backup that cannot be written, or must not be read in; nothing is left behind."""
