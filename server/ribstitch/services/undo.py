"""Take back the last change of a thing, and bring it back again.

Changes of one thing form a stack. Taking back is itself a change in the log, and so is
bringing back. What was changed together (an item rejected and its further trip added)
is taken back together, or not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    things_of,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import ChangeRecord, Edit, Person, UnitOfWork
from ribstitch.store.kinds import PLAN_KINDS, PROJECT

_Choice = Callable[[Sequence[ChangeRecord]], ChangeRecord | None]


class UndoError(Exception):
    """What cannot be taken back or brought back; `str()` is one sentence for a person."""


class NothingToUndoError(UndoError):
    """No change of this thing is left to take back, or none to bring back."""


class UndoRefusedError(UndoError):
    """Something that was changed together with it was changed again since."""


def undo_last(
    forecasts: Forecasts,
    project_id: int,
    kind: str,
    key: str,
    person: Person,
    at: datetime,
    expected_version: int | None = None,
) -> Recorded:
    """
    Take back the last change of a thing that still stands.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    kind, key
        Which thing, as in the change log.
    person, at
        Who takes it back, and when.
    expected_version
        The thing's version as it was read, if nothing newer may be taken back unseen.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    UnknownThingError, StaleEditError
        If the thing is not in the plan, or no longer at the version that was read.
    NothingToUndoError, UndoRefusedError, PlanError
        Nothing is changed.
    """
    author = Author(person, at)
    return _take_back(
        forecasts, project_id, kind, key, author, _last_done, "undo", expected_version
    )


def redo_last(
    forecasts: Forecasts,
    project_id: int,
    kind: str,
    key: str,
    person: Person,
    at: datetime,
    expected_version: int | None = None,
) -> Recorded:
    """
    Bring back what was last taken back, if the thing was not changed since.

    Parameters and errors are those of `undo_last`.
    """
    author = Author(person, at)
    return _take_back(
        forecasts, project_id, kind, key, author, _last_undone, "redo", expected_version
    )


def _take_back(
    forecasts: Forecasts,
    project_id: int,
    kind: str,
    key: str,
    author: Author,
    choose: _Choice,
    action: str,
    expected_version: int | None,
) -> Recorded:
    """Put back what stood before the chosen change of a thing."""
    name = f"{kind.replace('_', '-')} {key}".strip()

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        if expected_version is not None:
            work.check_version(project_id, kind, key, expected_version, even_withdrawn=True)
        target = choose(work.changes(project_id, kind=kind, key=key))
        if target is None:
            raise NothingToUndoError(f"There is nothing to {action} for {name}.")
        together = work.changes(project_id, plan_version=target.plan_version)
        together.sort(key=lambda change: change.number != target.number)
        changed_since = _changed_since(work, project_id, together, choose)
        if changed_since is not None:
            raise UndoRefusedError(
                f"{changed_since.kind.replace('_', '-').capitalize()} {changed_since.key} was "
                f"changed since, together with {name}: {action} that first."
            )
        edits = _reversals(current, together)
        return Change(action, edits, f"{name.capitalize()}: {action} of {target.action}")

    return change_plan(forecasts, project_id, author, decide)


def _changed_since(
    work: UnitOfWork, project_id: int, together: Sequence[ChangeRecord], choose: _Choice
) -> ChangeRecord | None:
    """Return the first of some changes that is not the one to choose of its thing."""
    histories = {
        kind: work.histories(project_id, kind, [one.key for one in together if one.kind == kind])
        for kind in {change.kind for change in together}
    }
    for change in together:
        last = choose(histories[change.kind][change.key])
        if last is None or last.number != change.number:
            return change
    return None


def _last_done(changes: Sequence[ChangeRecord]) -> ChangeRecord | None:
    """Return the last change (or return of one) that still stands."""
    depths = _depths(changes)
    for change in changes:
        if depths[change.number] % 2 == 0 and change.undone_by is None:
            imported = change.kind == PROJECT.name and change.before is None
            return None if imported else change
    return None


def _last_undone(changes: Sequence[ChangeRecord]) -> ChangeRecord | None:
    """Return the last taking-back that still stands, unless a fresh change followed it."""
    depths = _depths(changes)
    for change in changes:
        if change.undoes is None:
            return None
        if depths[change.number] % 2 == 1 and change.undone_by is None:
            return change
    return None


def _depths(changes: Sequence[ChangeRecord]) -> dict[int, int]:
    """Return for each change how many takings-back lie under it: odd takes back."""
    depths: dict[int, int] = {}
    for change in reversed(changes):
        depths[change.number] = 0 if change.undoes is None else depths[change.undoes] + 1
    return depths


def _reversals(current: CurrentPlan, changes: Sequence[ChangeRecord]) -> list[Edit]:
    """Return the edits that put back what stood before some changes."""
    now: dict[str, dict[str, Any]] = {
        name: things_of(current.plan, current.versions, name)
        for name in {change.kind for change in changes}
    }
    edits = []
    for change in changes:
        kind = PROJECT if change.kind == PROJECT.name else PLAN_KINDS[change.kind]
        back = None if change.before is None else kind.from_document(change.before)
        stands = now[change.kind].get(change.key)
        edits.append(Edit(change.kind, change.key, stands, back, undoes=change.number))
    return edits
