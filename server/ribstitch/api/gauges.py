"""What the metrics say of the moment: how much there is, and how much is being done."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, time

from ribstitch.api.deps import Service
from ribstitch.store import UnavailableError


def gauges_of(service: Service) -> Mapping[str, float]:
    """Return gauges by name; those of the database only while it answers."""
    at_work: dict[str, float] = {
        "live_pages": service.live.pages,
        "simulations_at_work": service.simulations.at_work,
        "levellings_at_work": service.levellings.work.at_work + service.one_mores.work.at_work,
        "pulling_in_at_work": service.pulling_in.work.at_work,
    }
    return {**_kept(service), **at_work, **_backups(service)}


def _kept(service: Service) -> dict[str, float]:
    """Return how much the database holds."""
    try:
        projects, changes = service.store.counts()
    except UnavailableError:
        return {"database_up": 0}
    return {"database_up": 1, "projects": projects, "changes": changes}


def _backups(service: Service) -> dict[str, float]:
    """Return how old the last backup is, where backups are made."""
    if service.backups is None:
        return {}
    failed = {"backup_failed": float(service.backups.has_failed)}
    try:
        last = service.backups.last_on
    except OSError:
        return {"backup_failed": 1}
    if last is None:
        return failed
    age = service.now() - datetime.combine(last, time(), UTC)
    return {**failed, "backup_age_seconds": age.total_seconds()}
