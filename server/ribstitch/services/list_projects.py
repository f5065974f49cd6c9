"""List what is in the store."""

from __future__ import annotations

from ribstitch.services.forecast import Forecasts
from ribstitch.store import StoredProject


def list_projects(forecasts: Forecasts) -> list[StoredProject]:
    """Return all projects, oldest first."""
    with forecasts.store.reading() as reading:
        return reading.projects()
