"""A plan as it was at an earlier version, put together again out of the change log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Plan
from ribstitch.services.change_plan import things_of
from ribstitch.store import ChangeRecord, Reading, Store, StoredPlan
from ribstitch.store.kinds import PLAN_KINDS, PROJECT


@dataclass(frozen=True, slots=True)
class EarlierPlan:
    """
    A plan as it was.

    Attributes
    ----------
    changes
        All that was changed since, newest first.
    """

    plan_version: int
    plan: Plan
    changes: Sequence[ChangeRecord]


def version_on(store: Store, project_id: int, day: date) -> int | None:
    """
    Return the version of a plan whose as-of date was the last not after a day.

    None if the forecast log begins later.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as look:
        look.plan_version(project_id)
        told = [one.plan_version for one in look.forecasts(project_id) if one.as_of <= day]
    return told[-1] if told else None


def version_since(store: Store, project_id: int, plan_version: int, since: str) -> int:
    """
    Return the version of a plan that somebody asks to compare with.

    Parameters
    ----------
    store, project_id
        Whose plan.
    plan_version
        Its newest version.
    since
        A version, or a date: the plan as it stood then. Before the first version, that one.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    InvalidValueError
        If it is neither, or a version that was never there.
    """
    if since.isascii() and since.isdecimal():
        version = int(since)
        if not 1 <= version <= plan_version:
            raise InvalidValueError(
                "since", f"{version} is no version of this plan, which is at {plan_version}", since
            )
        return version
    try:
        day = date.fromisoformat(since)
    except ValueError:
        raise InvalidValueError(
            "since", f'"{since}" is neither a date (such as 2026-09-01) nor a plan version', since
        ) from None
    found = version_on(store, project_id, day)
    return 1 if found is None else found


def plan_at(store: Store, project_id: int, plan_version: int) -> EarlierPlan:
    """
    Return a plan as it was at one of its versions.

    What was changed since is taken back, thing by thing; each comes to stand where it was
    entered.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as look:
        stored = look.plan(project_id)
        changes = look.changes(project_id, after_plan_version=plan_version)
        plan = _taken_back(look, stored, changes)
    return EarlierPlan(plan_version, plan, changes)


def _taken_back(look: Reading, stored: StoredPlan, changes: Sequence[ChangeRecord]) -> Plan:
    """Return the plan without some changes, given newest first."""
    before = {(one.kind, one.key): one.before for one in changes}
    plan = stored.plan
    for name in dict.fromkeys(kind for kind, _ in before):
        old = {key: document for (kind, key), document in before.items() if kind == name}
        if name == PROJECT.name:
            document = old[PROJECT.key]
            if document is not None:
                plan = replace(plan, project=PROJECT.from_document(document))
            continue
        kind = PLAN_KINDS[name]
        things = things_of(stored.plan, stored.versions, name)
        for key, document in old.items():
            if document is None:
                things.pop(key, None)
            else:
                things[key] = kind.from_document(document)
        order = (key for key in look.entry_order(stored.project_id, name) if key in things)
        plan = kind.with_things(plan, tuple(things[key] for key in order))
    return plan
