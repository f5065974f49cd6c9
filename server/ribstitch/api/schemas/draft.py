"""What drafting the plan from its evaluation would change."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion, Recorded
from ribstitch.planfile.document import Document
from ribstitch.services.draft_plan import DraftItem, DraftPreview
from ribstitch.services.forecast import CurrentPlan


class DraftAsked(Document):
    """The plan for which the draft was looked at."""

    plan_version: Annotated[int, Field(description="As the draft says")]


class DraftCounts(Answer):
    """How many things fare how."""

    added: int
    changed: int
    dropped: int
    kept: int


class DraftedThing(Answer):
    """One thing of the plan."""

    kind: str = Field(examples=["task"])
    key: str
    name: str
    why: str = Field(description="Which finding, card and step it comes from")
    asked: str = Field(description="Why the vendor of a send-out is asked; else empty")
    finding: str | None
    card: str | None


class FieldDrafted(Answer):
    """What is drafted otherwise."""

    field: str = Field(description="Key of a plan file")
    before: Any
    after: Any


class ChangedThing(DraftedThing):
    """A thing that the draft changes."""

    fields: list[FieldDrafted]


class KeptThing(ChangedThing):
    """A thing that stays as it is though it is drafted otherwise."""

    reason: Literal["started", "edited", "dropped", "own"] = Field(
        description="It has begun; it was edited, taken out, or made, by hand"
    )
    instead: str = Field(
        description="What waits in the place of an item that was taken out; else empty"
    )


class DraftProblem(Answer):
    """What stands in the way of a whole draft."""

    finding: str | None
    sentence: str
    without_vendor: str | None = Field(description="Kind of send-out that no vendor takes")


class DraftAnswer(Answer):
    """What taking the draft would do."""

    plan_version: PlanVersion
    up_to_date: bool = Field(description="Nothing would change")
    counts: DraftCounts
    added: list[DraftedThing]
    changed: list[ChangedThing]
    dropped: list[DraftedThing]
    kept: list[KeptThing]
    problems: list[DraftProblem]
    finish_before: date
    finish_after: date | None = Field(description="null: it cannot be taken, the problems say why")


class DraftTakenAnswer(Recorded):
    """What taking the draft did."""

    kind: str = Field(description="Of one thing that was changed; empty if none was")
    key: str = Field(description="Of that thing; undo it to take back all")
    counts: DraftCounts


def draft_document(current: CurrentPlan, found: DraftPreview) -> dict[str, Any]:
    """Return what a draft would do as plain data."""
    groups = {
        "added": [_thing(one) for one in found.added],
        "changed": [_thing(one) | _fields(one) for one in found.changed],
        "dropped": [_thing(one) for one in found.dropped],
        "kept": [
            _thing(one) | _fields(one) | {"reason": one.reason, "instead": one.instead}
            for one in found.kept
        ],
    }
    return {
        "plan_version": current.plan_version,
        "up_to_date": found.is_up_to_date,
        "counts": {name: len(group) for name, group in groups.items()},
        **groups,
        "problems": [asdict(one) for one in found.problems],
        "finish_before": found.finish_before,
        "finish_after": found.finish_after,
    }


def _thing(item: DraftItem) -> dict[str, Any]:
    names = ("kind", "key", "name", "why", "asked", "finding", "card")
    return {name: getattr(item, name) for name in names}


def _fields(item: DraftItem) -> dict[str, Any]:
    return {
        "fields": [
            {"field": one.field, "before": one.before, "after": one.after} for one in item.fields
        ]
    }
