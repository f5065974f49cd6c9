"""Keep what a named person says to have seen, tested, accepted or signed."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace
from datetime import date, datetime

from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.holding import Standing
from ribstitch.planning.model import CheckKind, Plan, SignOff, Task, TaskStatus
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    thing_of,
    unused_key,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.holds import holding_of
from ribstitch.services.record_rules import record_rules
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import EVIDENCE, SIGN_OFF


@dataclass(frozen=True, slots=True)
class Signed:
    """What somebody signs."""

    by: str
    licence: str = ""
    """Number and scope, as that person gives them."""
    statement: str = ""
    evidence: tuple[str, ...] = ()
    """Ids of what shows it, besides what is attached to the task."""
    override: str = ""
    """Why the check is passed over; empty: it is not."""
    reopens: bool = False
    """What was signed before is taken back."""
    on: date | None = None
    """None: the as-of date."""


def sign_off_task(
    forecasts: Forecasts,
    project_id: int,
    task_id: str,
    signed: Signed,
    expected_version: int,
    person: Person,
    at: datetime,
    status: TaskStatus | None = None,
) -> Recorded:
    """
    Settle the check of a task, pass over it, or open it again.

    A sign-off is never edited: it is undone, or a later one says otherwise.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id, task_id
        Which task of which project.
    signed
        Who signs, and what.
    expected_version
        The task's version as it was read.
    person, at
        Who enters it, and when.
    status
        Where the task stands with it, in the same step; None: as it stood.

    Raises
    ------
    UnknownProjectError, UnknownThingError, StaleEditError, PlanError, CheckHoldsError
        Nothing is stored.
    """

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        task: Task = thing_of(current.plan, current.versions, "task", task_id)
        standing = holding_of(current).standings.get(task_id)
        if standing is None:
            raise InvalidValueError("task", f'"{task_id}" has no check to sign off', task_id)
        _refuse_nobody(signed)
        _refuse_unknown(signed, current.versions[EVIDENCE.name])
        _refuse_unless_enough(signed, standing)
        key = unused_key(current, work, SIGN_OFF.name, "SO")
        kept = _sign_off(key, signed, current.as_of, task=task_id, kind=standing.check.kind)
        edits = [Edit(SIGN_OFF.name, key, None, kept)]
        if status is not None:
            edits.append(Edit("task", task_id, task, replace(task, status=status)))
        action = "sign_off.reopen" if signed.reopens else "sign_off.task"
        return Change(action, edits, f"{task.name or task.id}: {_said(kept)}")

    author = Author(person, at, signed.override or signed.statement)
    return change_plan(
        forecasts, project_id, author, decide, expected=("task", task_id, expected_version)
    )


def sign_off_record(
    forecasts: Forecasts,
    project_id: int,
    record: str,
    signed: Signed,
    person: Person,
    at: datetime,
) -> Recorded:
    """
    Keep what somebody says about a record that licensed people must settle before flight.

    Raises
    ------
    UnknownProjectError, PlanError
        Nothing is stored; `UnknownReferenceError` if there is no such record.
    """

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        rules = {rule.id: rule for rule in record_rules()}
        if record not in rules:
            raise UnknownReferenceError("record", "record", record)
        _refuse_nobody(signed)
        _refuse_unknown(signed, current.versions[EVIDENCE.name])
        if signed.override:
            raise InvalidValueError(
                "override", "a record is settled by who may, and never passed over", signed.override
            )
        _refuse_without("statement", signed.statement, "say in a few words what was settled")
        last = last_of_record(current.plan, record)
        if signed.reopens and (last is None or last.reopens):
            raise InvalidValueError("reopens", f'nobody has settled "{record}" yet', record)
        key = unused_key(current, work, SIGN_OFF.name, "SO")
        kept = _sign_off(key, signed, current.as_of, record=record)
        edit = Edit(SIGN_OFF.name, key, None, kept)
        return Change("sign_off.record", [edit], f"{rules[record].rule}: {_said(kept)}")

    return change_plan(forecasts, project_id, Author(person, at, signed.statement), decide)


def last_of_record(plan: Plan, record: str) -> SignOff | None:
    """Return what was said last of a record: settled, or open again; None: nobody said anything."""
    return next((one for one in reversed(plan.sign_offs) if one.record == record), None)


def _refuse_nobody(signed: Signed) -> None:
    """Refuse what nobody puts a name to."""
    _refuse_without("by", signed.by, "say who signs, by name")


def _refuse_unknown(signed: Signed, known: Container[str]) -> None:
    """Refuse evidence that is not there."""
    for number, name in enumerate(signed.evidence):
        if name not in known:
            raise UnknownReferenceError(f"evidence[{number}]", "piece of evidence", name)


def _refuse_unless_enough(signed: Signed, standing: Standing) -> None:
    """Refuse what does not settle the check, pass over it or open it again."""
    task, kind = standing.task, standing.check.kind
    if signed.reopens:
        if signed.override:
            raise InvalidValueError("override", "what is opened again is not passed over", None)
        if standing.holds:
            raise InvalidValueError("reopens", f'the check of "{task.id}" is open', True)
        _refuse_without("statement", signed.statement, "say why the check is open again")
    elif signed.override:
        _refuse_without("override", signed.override, "say why the check is passed over")
    elif kind is CheckKind.HOLD and not (standing.evidence or signed.evidence):
        raise InvalidValueError(
            "evidence",
            f'nothing is attached to "{task.id}": attach a photo or a document, or pass over '
            "the check by name and with a reason",
            None,
        )
    elif kind is not CheckKind.HOLD:
        _refuse_without("statement", signed.statement, "say in a few words what was seen")
        if kind is CheckKind.BUY_OFF:
            _refuse_without("licence", signed.licence, "give the licence of who buys it off")


def _refuse_without(field: str, text: str, reason: str) -> None:
    """Refuse a text that is not there."""
    if not text.strip():
        raise InvalidValueError(field, reason, text)


def _sign_off(
    key: str,
    signed: Signed,
    as_of: date,
    *,
    task: str | None = None,
    record: str | None = None,
    kind: CheckKind | None = None,
) -> SignOff:
    """Return what is kept."""
    if signed.on is not None and signed.on > as_of:
        raise InvalidValueError("on", f"{signed.on} is after the as-of date {as_of}", signed.on)
    return SignOff(
        id=key,
        on=signed.on or as_of,
        by=signed.by.strip(),
        task=task,
        record=record,
        licence=signed.licence.strip(),
        statement=signed.statement,
        evidence=signed.evidence,
        override=signed.override,
        kind=kind,
        reopens=signed.reopens,
    )


def _said(kept: SignOff) -> str:
    """Say in a few words what was signed."""
    if kept.reopens:
        return f"open again, says {kept.by}"
    return f"{'passed over' if kept.override else 'signed off'} by {kept.by}"
