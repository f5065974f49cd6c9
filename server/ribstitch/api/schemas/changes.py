"""The change log as it is shown."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, Document, PlanVersion, Recorded
from ribstitch.services.change_log import summary_of
from ribstitch.store.change_record import ActionRecord, ChangeRecord


class Change(Answer):
    """One line of the change log."""

    number: int
    at: datetime = Field(description="UTC")
    who: str
    role: str
    action: str = Field(examples=["task.status"])
    kind: str
    key: str = Field(description="Id of the thing; empty for the project itself")
    version: int = Field(description="Of the thing after the change")
    plan_version: PlanVersion
    fields: list[str] = Field(description="Keys whose value differs")
    before: Document | None
    after: Document | None
    reason: str
    undoes: int | None
    undone_by: int | None


class ChangeList(Answer):
    """Changes, the newest first."""

    changes: list[Change]
    next_before: int | None = Field(description="Send as `before` for older ones; null at the end")


class ChangedThings(Answer):
    """How many things of one kind an action changed."""

    kind: str
    added: int
    changed: int
    taken_out: int


class Action(Answer):
    """What somebody did at once: all changes that led to one plan version."""

    plan_version: PlanVersion
    at: datetime = Field(description="UTC")
    who: str
    role: str
    action: str = Field(examples=["crew.level"])
    reason: str
    count: int = Field(description="How many changes it made")
    kinds: list[ChangedThings]
    summary: str = Field(examples=["Levelled: 41 crew links set, 12 taken away"])
    changes: list[Change] = Field(
        description="The newest first; of an action that made many, the first alone"
    )


class ActionList(Answer):
    """Actions, the newest first."""

    actions: list[Action]
    next_before: int | None = Field(description="Send as `before` for older ones; null at the end")


class Undone(Recorded):
    """What taking back did."""

    kind: str
    key: str


def change_document(change: ChangeRecord) -> dict[str, Any]:
    """Return a line of the change log as plain data."""
    return {
        "number": change.number,
        "at": change.at.isoformat(),
        "who": change.who,
        "role": change.role,
        "action": change.action,
        "kind": change.kind,
        "key": change.key,
        "version": change.version,
        "plan_version": change.plan_version,
        "fields": change.changed_fields(),
        "before": change.before,
        "after": change.after,
        "reason": change.reason,
        "undoes": change.undoes,
        "undone_by": change.undone_by,
    }


def action_document(action: ActionRecord) -> dict[str, Any]:
    """Return an action as plain data."""
    first = action.changes[-1]
    return {
        "plan_version": action.plan_version,
        "at": first.at.isoformat(),
        "who": first.who,
        "role": first.role,
        "action": first.action,
        "reason": first.reason,
        "count": action.count,
        "kinds": [asdict(one) for one in action.kinds],
        "summary": summary_of(action),
        "changes": [change_document(one) for one in action.changes],
    }
