"""Plan one task anew: what it takes and what it is tied to, in one action."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import CycleError, InvalidValueError, PlanError
from ribstitch.planning.model import Link, Plan, Task
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    plan_with,
    thing_of,
)
from ribstitch.services.edit_thing import with_range_in_step
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.holds import keep_open_check
from ribstitch.services.record_status import told_status
from ribstitch.store import Edit, Person, Reading, UnitOfWork, UnknownThingError
from ribstitch.store.kinds import LINK, TASK


@dataclass(frozen=True, slots=True)
class LinkAsked:
    """One link as it stood, and as it shall be."""

    key: str | None
    """As in the change log; None: it is new."""
    version: int | None
    """As it was read; None: it is new."""
    link: Link | None
    """None: it is taken away."""


@dataclass(frozen=True, slots=True)
class TaskPlan:
    """A task as it shall be, and those of its links that shall be otherwise."""

    task: Task
    version: int
    """Of the task, as it was read."""
    links: Sequence[LinkAsked] = ()


@dataclass(frozen=True, slots=True)
class TaskPlanned:
    """What planning a task anew led to."""

    recorded: Recorded
    kind: str
    """Of the thing that was changed first: taking its change back takes back all."""


def save_task_plan(
    forecasts: Forecasts,
    project_id: int,
    asked: TaskPlan,
    person: Person,
    at: datetime,
    reason: str = "",
) -> TaskPlanned:
    """
    Change a task and its links in one action, which one undo takes back.

    Raises
    ------
    UnknownProjectError, UnknownThingError, PlanError, CheckHoldsError
        Nothing is stored; `where` names the link by its place in `asked`.
    StaleEditError
        If the task, or one of the links that shall be otherwise, was changed since.
    """
    edits: list[Edit] = []

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        found = edits_of(current, asked, work)
        edits.extend([one for one in found if one.before != one.after] or found[:1])
        if asked.links or asked.task != replace(found[0].before, status=asked.task.status):
            name = asked.task.name or asked.task.id
            return Change("task.plan", edits, f"{name} planned anew")
        return Change("task.status", edits, told_status(asked.task))

    with links_named(asked):
        done = change_plan(forecasts, project_id, Author(person, at, reason), decide)
    return TaskPlanned(done, edits[0].kind)


def edits_of(current: CurrentPlan, asked: TaskPlan, look: Reading) -> list[Edit]:
    """
    Return what differs once a task is planned anew; the task stands first.

    Raises
    ------
    UnknownThingError, StaleEditError, PlanError
        If it cannot be; see `save_task_plan`.
    """
    task = asked.task
    _refuse_newer(current, look, TASK.name, task.id, asked.version)
    before: Task = thing_of(current.plan, current.versions, TASK.name, task.id)
    keep_open_check(current, before, task)
    edits = [Edit(TASK.name, task.id, before, with_range_in_step(before, task))]
    edits += _link_edits(current, asked, look)
    after = plan_with(current, edits)
    try:
        check_plan(after)
    except PlanError as refused:
        raise _of_body(refused, after, asked) from refused
    return edits


@contextmanager
def links_named(asked: TaskPlan) -> Iterator[None]:
    """Name in a refused circle the link that was asked for and closes it."""
    try:
        yield
    except CycleError as refused:
        members = refused.members
        steps = set(zip(members, (*members[1:], members[0]), strict=True))
        for number, one in enumerate(asked.links):
            if one.link is not None and (one.link.before, one.link.after) in steps:
                where = f"links[{number}]"
                raise PlanError(where, refused.reason, refused.value) from refused
        raise


def _link_edits(current: CurrentPlan, asked: TaskPlan, look: Reading) -> list[Edit]:
    """Return the edits of links: another relation is another link."""
    stood: dict[str, Link] = {}
    for number, one in enumerate(asked.links):
        if one.key is None:
            continue
        if one.key in stood:
            where = f"links[{number}].key"
            raise InvalidValueError(where, f'"{one.key}" stands there twice', one.key)
        _refuse_newer(current, look, LINK.name, one.key, one.version)
        stood[one.key] = thing_of(current.plan, current.versions, LINK.name, one.key)
    then: dict[str, Link] = {}
    for number, one in enumerate(asked.links):
        where = f"links[{number}]"
        for link in (stood.get(one.key or ""), one.link):
            if link is not None and asked.task.id not in (link.before, link.after):
                ends = f'"{link.before}" and "{link.after}"'
                raise InvalidValueError(where, f'{ends}: neither is "{asked.task.id}"', ends)
        if one.link is None:
            continue
        key = _key_for(one.key, one.link, stood)
        if key in then or (key in current.versions[LINK.name] and key not in stood):
            link = one.link
            raise InvalidValueError(
                where,
                f'"{link.before}" and "{link.after}" are linked {link.relation.value} already',
                link.after,
            )
        then[key] = one.link
    return [Edit(LINK.name, key, stood.get(key), then.get(key)) for key in {**stood, **then}]


def _key_for(key: str | None, link: Link, stood: dict[str, Link]) -> str:
    """Return the key of a link as it shall be; the same ends and relation keep theirs."""
    new = LINK.key_of(link)
    return key if key is not None and LINK.key_of(stood[key]) == new else new


def _refuse_newer(
    current: CurrentPlan, look: Reading, kind: str, key: str, expected: int | None
) -> None:
    """
    Refuse to go on if a thing is no longer as it was read.

    Raises
    ------
    UnknownThingError
        If it is not in the plan.
    StaleEditError
        With what changed since.
    """
    version = current.versions[kind].get(key)
    if version is None:
        raise UnknownThingError(kind, key)
    look.refuse_stale(current.project_id, kind, key, expected or 0, version)


def _of_body(refused: PlanError, after: Plan, asked: TaskPlan) -> PlanError:
    """Return a refusal that names a link by its place in what was asked."""
    for number, one in enumerate(asked.links):
        if one.link is None:
            continue
        place = f"links[{after.links.index(one.link)}]"
        if refused.where == place or refused.where.startswith(f"{place}."):
            where = f"links[{number}]{refused.where.removeprefix(place)}"
            return PlanError(where, refused.reason, refused.value)
    return refused
