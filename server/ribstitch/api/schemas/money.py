"""Decisions and baselines as they are asked for and shown."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field

from ribstitch.api.schemas.base import Answer, Recorded, Version
from ribstitch.planfile.document import Document, Text
from ribstitch.planning.model import Baseline
from ribstitch.services.forecast import CurrentPlan


class DecisionAsked(Document):
    """The owner's word on an over-and-above item."""

    decision: Literal["approved", "declined"]
    reason: Annotated[Text, Field(description="Needed to decline")] = ""


class BaselineAsked(Document):
    """The plan and its budget are approved as they stand."""

    reason: Annotated[Text, Field(min_length=1, description="What changed since the last one")]
    plan_version: Annotated[
        int | None, Field(description="Of the plan that was looked at; another one is refused")
    ] = None


class BaselineLine(Answer):
    """An approved baseline; its packages are in the plan file."""

    key: str
    version: Version
    approved_on: date
    finish: date
    reason: str
    amount: str = Field(description="Decimal string, in the project's currency")
    packages: int = Field(description="How many pieces of work its budget is shared over")


class BaselineList(Answer):
    """All baselines, the newest last."""

    baselines: list[BaselineLine]


class BaselineRecorded(Recorded):
    """What approving did."""

    baseline: BaselineLine


def baseline_lines(current: CurrentPlan) -> dict[str, Any]:
    """Return the baselines of a plan as plain data."""
    versions = current.versions["baseline"]
    lines = zip(versions.items(), current.plan.baselines, strict=True)
    return {"baselines": [baseline_line(key, version, one) for (key, version), one in lines]}


def baseline_line(key: str, version: int, baseline: Baseline) -> dict[str, Any]:
    """Return one baseline as plain data."""
    return {
        "key": key,
        "version": version,
        "approved_on": baseline.approved_on,
        "finish": baseline.finish,
        "reason": baseline.reason,
        "amount": str(sum((one.amount for one in baseline.packages), Decimal(0))),
        "packages": len(baseline.packages),
    }
