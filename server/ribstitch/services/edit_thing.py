"""Put another version of one thing into the plan, add one, or take one out."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from typing import Any

from ribstitch.planning.errors import (
    DuplicateIdError,
    InvalidValueError,
    UnknownReferenceError,
)
from ribstitch.planning.model import Cost, OverAndAbove, Plan, Task
from ribstitch.planning.ticks import EIGHTH
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    thing_of,
)
from ribstitch.services.cost_steps import with_earlier_states
from ribstitch.services.decide_over_and_above import refuse_if_decided
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.holds import keep_open_check
from ribstitch.services.known_slot import refuse_unknown_slot
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import PLAN_KINDS, PROJECT
from ribstitch.store.kinds.kind import free_key

_NUMBERED = ("crew", "budget_line")
"""Kinds without an id of their own: their keys are numbered instead of refused."""
_NAMES = ("name", "label", "id", "trade")
"""What tells a thing, the clearest first."""


def edit_thing(
    forecasts: Forecasts,
    project_id: int,
    kind: str,
    key: str,
    thing: Any,
    expected_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Put another version of a thing into the plan.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    kind, key
        Which thing, as in the change log; the key of the project is empty.
    thing
        The whole thing (`Task`, `Vendor`, `Calendar`, `Project`, ...) as it shall be.
    expected_version
        Its version as it was read.
    person, at, reason
        Who changes it, when, and why.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError
        Nothing is stored.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        before = thing_of(current.plan, current.versions, kind, key)
        _leave_decisions(before, thing)
        refuse_unknown_slot(current.plan, before, thing)
        keep_open_check(current, before, thing)
        _keeps_its_id(kind, before, thing)
        edit = Edit(kind, key, before, _in_step(before, thing))
        return Change(f"{kind}.edit", [edit], f"{_call(kind, key, thing)} changed")

    return change_plan(
        forecasts,
        project_id,
        Author(person, at, reason),
        decide,
        expected=(kind, key, expected_version),
    )


def add_thing(
    forecasts: Forecasts,
    project_id: int,
    kind: str,
    thing: Any,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Add a thing at the end of the plan's things of its kind.

    Raises
    ------
    UnknownProjectError, PlanError
        Nothing is stored; `DuplicateIdError` if the id is taken.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        _leave_decisions(None, thing)
        refuse_unknown_slot(current.plan, None, thing)
        key = PLAN_KINDS[kind].key_of(thing)
        taken = current.versions[kind]
        if kind in _NUMBERED:
            key = free_key(key, taken)
        elif key in taken:
            raise DuplicateIdError("id", kind.replace("_", "-"), key)
        edit = Edit(kind, key, None, thing)
        return Change(f"{kind}.add", [edit], f"{_call(kind, key, thing)} added")

    return change_plan(forecasts, project_id, Author(person, at, reason), decide)


def drop_thing(
    forecasts: Forecasts,
    project_id: int,
    kind: str,
    key: str,
    expected_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Take a thing out of the plan; it stays in the change log, and undo brings it back.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError
        Nothing is changed; `InvalidValueError` if something in the plan still names it.
    """

    def decide(current: CurrentPlan, _work: UnitOfWork) -> Change:
        thing = thing_of(current.plan, current.versions, kind, key)
        _leave_decisions(thing, None)
        edit = Edit(kind, key, thing, None)
        return Change(f"{kind}.delete", [edit], f"{_call(kind, key, thing)} taken out")

    author = Author(person, at, reason)
    try:
        return change_plan(
            forecasts, project_id, author, decide, expected=(kind, key, expected_version)
        )
    except UnknownReferenceError as error:
        if error.value != key:
            raise
        plan = forecasts.current(project_id).plan
        raise InvalidValueError(
            error.where,
            f'{_thing_at(plan, error.where)} still names the {kind.replace("_", "-")} "{key}"',
            key,
        ) from None


def _in_step(before: Any, after: Any) -> Any:
    """Return a thing with what follows from the edit and was not part of it."""
    if isinstance(after, Task):
        return with_range_in_step(before, after)
    return with_earlier_states(before, after) if isinstance(after, Cost) else after


def with_range_in_step(before: Task, after: Task) -> Task:
    """
    Return a task whose days were changed with its range changed in proportion.

    Else the finish as written would move, and what is drawn would not. A range that was
    changed as well stands as it was entered.
    """
    if after.duration_range is None or before.duration == 0:
        return after
    if after.duration == before.duration or after.duration_range != before.duration_range:
        return after
    ratio = Fraction(after.duration, before.duration)
    low, likely, high = (EIGHTH * round(one * ratio / EIGHTH) for one in after.duration_range)
    return replace(after, duration_range=(low, likely, high))


def _leave_decisions(before: Any, after: Any) -> None:
    """Refuse to decide by editing, and to edit what is decided."""
    for one in (before, after):
        if isinstance(one, OverAndAbove):
            refuse_if_decided(one)


def _keeps_its_id(kind: str, before: Any, after: Any) -> None:
    """Refuse to turn a thing into another one."""
    if kind == PROJECT.name or kind in _NUMBERED:
        return
    old, new = PLAN_KINDS[kind].key_of(before), PLAN_KINDS[kind].key_of(after)
    if old != new:
        raise InvalidValueError("id", f'"{old}" cannot become "{new}": it names the thing', new)


def _thing_at(plan: Plan, where: str) -> str:
    """Return what the thing is called to which a key path belongs."""
    place = re.match(r"(\w+)\[(\d+)\]", where)
    if place is None:
        return "the project"
    thing = getattr(plan, place[1])[int(place[2])]
    name = next(filter(None, (getattr(thing, word, "") for word in _NAMES)), "")
    return f'"{name}"' if name else place[0]


def _call(kind: str, key: str, thing: Any) -> str:
    """Return what a thing is called in the forecast log."""
    if kind == PROJECT.name:
        return "Project"
    name = getattr(thing, "name", "") or getattr(thing, "label", "") or key
    return f"{kind.replace('_', '-').capitalize()} {name}"
