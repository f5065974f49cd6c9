"""How every use case changes a plan: check, reckon, write, log, in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import count
from typing import Any

from ribstitch.planning.model import Plan
from ribstitch.services.forecast import CurrentPlan, Forecasts, forecast
from ribstitch.services.holds import refuse_blocked
from ribstitch.store import (
    Edit,
    Person,
    StaleEditError,
    StoredPlan,
    UnitOfWork,
    UnknownThingError,
    Versions,
    Written,
)
from ribstitch.store.kinds import PLAN_KINDS, PROJECT

_MOST_TOLD = 50
"""How many of the changes made in the meantime a refusal names at most."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """What a change led to."""

    version: int
    """The version of the thing that was acted on first; 0 where there was nothing to act on."""
    plan_version: int
    finish_before: date
    finish_after: date
    change_number: int | None
    """None where nothing differed, so that nothing was written."""
    key: str
    """Of the thing."""
    thing: Any
    """As it is now; None: not in the plan."""

    @property
    def moved_days(self) -> int:
        """How many calendar days later the project finishes; negative: earlier."""
        return (self.finish_after - self.finish_before).days


@dataclass(frozen=True, slots=True)
class Change:
    """What to do: the edits of one action, the thing that was acted on first."""

    action: str
    """What was done, such as ``task.status``."""
    edits: Sequence[Edit]
    summary: str
    """What happened, in a few words for the forecast log."""


@dataclass(frozen=True, slots=True)
class Author:
    """Who changes the plan, when, and why."""

    person: Person
    at: datetime
    reason: str = ""


def change_plan(
    forecasts: Forecasts,
    project_id: int,
    author: Author,
    decide: Callable[[CurrentPlan, UnitOfWork], Change],
    *,
    expected: tuple[str, str, int] | None = None,
) -> Recorded:
    """
    Change a plan in one transaction.

    The plan as it would be is scheduled before anything is kept; if that fails, nothing
    is stored. An edit that leaves everything as it is writes nothing either: the log would
    name a change that was none, and undo would take back nothing.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    author
        Who, when and why.
    decide
        Says what to do, looking at the plan as it stands inside the transaction.
    expected
        Kind, key and version of the thing as it was read, if that must still hold.

    Raises
    ------
    UnknownProjectError, UnknownThingError
        If there is no such project or thing.
    StaleEditError
        If the thing has another version by now.
    PlanError
        If the changed plan cannot be scheduled.
    CheckHoldsError
        If a check does not allow the change yet.
    """
    forecasts.changing(project_id)
    with forecasts.store.begin(author.person, author.at) as work:
        plan_version = work.lock(project_id)
        if expected is not None:
            work.check_version(project_id, *expected)
        before = forecasts.at_version(project_id, plan_version)
        if before is None:
            before = forecast(work.plan(project_id))
        change = decide(before, work)
        if not any(edit.before != edit.after for edit in change.edits):
            return _unchanged(before, change.edits)
        written = work.write(
            project_id, plan_version + 1, change.edits, change.action, author.reason
        )
        stored = _changed(before, change.edits, written, work)
        refuse_blocked(before.plan, stored.plan)
        after = forecast(stored)
        work.log_forecast(
            project_id, plan_version + 1, after.as_of, after.finish_on, change.summary
        )
    forecasts.keep(after)
    return Recorded(
        version=written[0].version,
        plan_version=plan_version + 1,
        finish_before=before.finish_on,
        finish_after=after.finish_on,
        change_number=written[0].change_number,
        key=change.edits[0].key,
        thing=change.edits[0].after,
    )


def refuse_stale_plan(current: CurrentPlan, plan_version: int, work: UnitOfWork) -> None:
    """
    Refuse to go on if the plan as a whole is no longer as it was read.

    Raises
    ------
    StaleEditError
        With the last of what changed since.
    """
    if current.plan_version != plan_version:
        last = work.changes(current.project_id, limit=_MOST_TOLD)
        since = [one for one in reversed(last) if one.plan_version > plan_version]
        raise StaleEditError("plan", "", plan_version, current.plan_version, since)


def _unchanged(current: CurrentPlan, edits: Sequence[Edit]) -> Recorded:
    """Return what edits led to that left everything as it is."""
    version = current.versions[edits[0].kind][edits[0].key] if edits else 0
    key, thing = (edits[0].key, edits[0].after) if edits else ("", None)
    finish = current.finish_on
    return Recorded(version, current.plan_version, finish, finish, None, key, thing)


def thing_of(plan: Plan, versions: Versions, kind: str, key: str) -> Any:
    """
    Return a thing of a plan.

    Raises
    ------
    UnknownThingError
        If it is not in the plan.
    """
    found = things_of(plan, versions, kind)
    if key not in found:
        raise UnknownThingError(kind, key)
    return found[key]


def things_of(plan: Plan, versions: Versions, kind: str) -> dict[str, Any]:
    """Return the things of one kind in a plan, by key, in order of entry."""
    if kind == PROJECT.name:
        return {PROJECT.key: plan.project}
    return dict(zip(versions[kind], PLAN_KINDS[kind].things(plan), strict=True))


def unused_key(current: CurrentPlan, work: UnitOfWork, kind: str, prefix: str) -> str:
    """Return a numbered key that no thing of a kind has or ever had; what is undone keeps its."""
    taken = current.versions[kind]
    keys = (f"{prefix}{number}" for number in count(len(taken) + 1))
    return next(
        key
        for key in keys
        if key not in taken and not work.changes(current.project_id, kind=kind, key=key, limit=1)
    )


def plan_with(current: CurrentPlan, edits: Sequence[Edit]) -> Plan:
    """Return a plan with edits applied; what is new stands last of its kind."""
    plan = current.plan
    for name in dict.fromkeys(edit.kind for edit in edits):
        edited = {edit.key: edit.after for edit in edits if edit.kind == name}
        if name == PROJECT.name:
            plan = replace(plan, project=edited[PROJECT.key])
            continue
        things = {**things_of(current.plan, current.versions, name), **edited}
        stay = tuple(thing for thing in things.values() if thing is not None)
        plan = PLAN_KINDS[name].with_things(plan, stay)
    return plan


def _changed(
    before: CurrentPlan, edits: Sequence[Edit], written: Sequence[Written], work: UnitOfWork
) -> StoredPlan:
    """
    Return the plan with edits applied.

    What came back from being withdrawn has a place of its own in the order of entry,
    which only the store knows: then the plan is read again.
    """
    if any(one.came_back for one in written):
        return work.plan(before.project_id)
    numbers = {kind: dict(before.versions[kind]) for kind in {edit.kind for edit in edits}}
    for edit, done in zip(edits, written, strict=True):
        if edit.after is None:
            del numbers[edit.kind][edit.key]
        else:
            numbers[edit.kind][edit.key] = done.version
    versions = {**before.versions, **numbers}
    plan = plan_with(before, edits)
    return StoredPlan(before.project_id, before.plan_version + 1, plan, versions)
