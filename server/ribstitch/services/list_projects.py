"""List what is in the store."""

from __future__ import annotations

from ribstitch.store import Store, StoredProject


def list_projects(store: Store) -> list[StoredProject]:
    """Return all projects, oldest first."""
    with store.reading() as reading:
        return reading.projects()
