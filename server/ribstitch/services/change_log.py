"""Look at what was changed, by whom and when."""

from __future__ import annotations

from ribstitch.services.forecast import Forecasts
from ribstitch.store import ChangeRecord


def changes(
    forecasts: Forecasts,
    project_id: int,
    kind: str | None = None,
    key: str | None = None,
    before: int | None = None,
    limit: int = 50,
) -> list[ChangeRecord]:
    """
    Return changes of a project, newest first.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose changes.
    kind, key
        Only those of one kind, or of one thing.
    before
        Only those with a smaller number: the number of the last one seen gives the next
        page.
    limit
        At most so many.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with forecasts.store.reading() as reading:
        reading.plan_version(project_id)
        return reading.changes(project_id, kind=kind, key=key, before=before, limit=limit)
