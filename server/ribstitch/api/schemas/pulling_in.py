"""What an earlier finish costs, and cases that became the plan."""

from __future__ import annotations

from typing import Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion, Recorded
from ribstitch.services.asked_work import AskedStanding, AskedState
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.pulling_in import Question
from ribstitch.services.views.pulled_in import PullingIn


class PullingInAnswer(Answer):
    """How the answer to the last question stands."""

    plan_version: PlanVersion
    state: AskedState = Field(
        description="`none`: nothing was asked; `outdated`: the plan was changed since, ask again"
    )
    progress: float = Field(description="Share that is done, 0 to 1")
    reason: str = Field(description="One sentence where it failed, else empty")
    result: PullingIn | None = Field(
        description="While it runs, the answer may be here before the curve is"
    )


class CaseTaken(Recorded):
    """What taking a case into the plan did."""

    kind: str = Field(description="Of one thing that was changed; empty if none was")
    key: str = Field(description="Of that thing; undo it to take back all")
    changed: int = Field(description="How many things of the plan are other than before")


def asked_document(
    current: CurrentPlan, found: AskedStanding[Question, PullingIn]
) -> dict[str, Any]:
    """Return how an answer stands as plain data."""
    is_current = found.state != "outdated"
    return {
        "plan_version": current.plan_version,
        "state": found.state,
        "progress": found.progress,
        "reason": found.reason,
        "result": found.found if is_current else None,
    }
