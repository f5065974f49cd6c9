"""Checks as they are shown: what each wants, how it stands, who signed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.planning.holding import CheckState, Standing, has_left
from ribstitch.planning.model import CheckKind, SendOut, SignOff, Source
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.holds import holding_of, told
from ribstitch.services.views.hours_worked import slots_of


@dataclass(frozen=True, slots=True)
class CheckLine:
    """The check of a task."""

    kind: CheckKind
    wants: str
    state: CheckState
    evidence: int
    """How many photos and documents show it."""
    by: str
    """Who settled it, passed over it or opened it again; empty: nobody had to."""
    on: date | None
    reason: str
    """Why it was passed over, or opened again."""


@dataclass(frozen=True, slots=True)
class OpenCheck:
    """A check that keeps an item in the shop."""

    task: str
    name: str
    """Of the task."""
    sentence: str
    """What it wants."""
    check: CheckLine
    version: int
    """Of the task."""


@dataclass(frozen=True, slots=True)
class SignOffLine:
    """What somebody signed."""

    key: str
    on: date
    by: str
    licence: str
    statement: str
    task: str | None
    record: str | None
    name: str
    """Of the task, or the rule."""
    kind: CheckKind | None
    evidence: tuple[str, ...]
    override: str
    reopens: bool
    version: int


@dataclass(frozen=True, slots=True)
class Signer:
    """Somebody who may sign next: who signed lately stands first."""

    by: str
    licence: str


def check_line(current: CurrentPlan, task_id: str) -> CheckLine | None:
    """Return the check of a task; None without one."""
    standing = holding_of(current).standings.get(task_id)
    return None if standing is None else line_of(standing)


def line_of(standing: Standing) -> CheckLine:
    """Return how a check stands, for a page."""
    last = standing.deciding
    return CheckLine(
        kind=standing.check.kind,
        wants=standing.check.wants,
        state=standing.state,
        evidence=len(standing.evidence),
        by="" if last is None else last.by,
        on=None if last is None else last.on,
        reason="" if last is None else last.override or (last.statement if last.reopens else ""),
    )


def checks_before_leaving(current: CurrentPlan, item: SendOut) -> list[OpenCheck]:
    """Return the checks that keep an item in the shop; none of what has left, or never leaves."""
    if has_left(item) or item.source is Source.IN_HAND:
        return []
    return [
        OpenCheck(
            task=one.task.id,
            name=one.task.name or one.task.id,
            sentence=f"{told(one)}.",
            check=line_of(one),
            version=current.versions["task"][one.task.id],
        )
        for one in holding_of(current).before_send_out(item.id)
    ]


def sign_off_line(one: SignOff, version: int, name: str) -> SignOffLine:
    """Return a sign-off, for a page; `name` is that of its task or its rule."""
    return SignOffLine(
        key=one.id,
        on=one.on,
        by=one.by,
        licence=one.licence,
        statement=one.statement,
        task=one.task,
        record=one.record,
        name=name,
        kind=one.kind,
        evidence=one.evidence,
        override=one.override,
        reopens=one.reopens,
        version=version,
    )


def sign_offs_of_task(current: CurrentPlan, task_id: str) -> list[SignOffLine]:
    """Return what was signed for the check of a task, the latest first."""
    versions = current.versions["sign_off"]
    return [
        sign_off_line(one, versions[one.id], "")
        for one in reversed(current.plan.sign_offs)
        if one.task == task_id
    ]


def signers(current: CurrentPlan) -> list[Signer]:
    """Return who may sign: who has signed, the latest first, then the rest of the crew."""
    found: dict[str, Signer] = {}
    for one in reversed(current.plan.sign_offs):
        if one.by not in found or not found[one.by].licence:
            found[one.by] = Signer(one.by, one.licence)
    for slot in slots_of(current, None):
        found.setdefault(slot.label, Signer(slot.label, ""))
    return list(found.values())
