"""Look at what was changed, by whom and when."""

from __future__ import annotations

from ribstitch.store import ChangeRecord, Store


def changes(
    store: Store,
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
    store
        Where the plan is.
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
    with store.reading() as reading:
        reading.plan_version(project_id)
        return reading.changes(project_id, kind=kind, key=key, before=before, limit=limit)
