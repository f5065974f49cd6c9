"""What is simulated in the background, and how far it is."""

from __future__ import annotations

from typing import Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion
from ribstitch.services.background import Standing, State
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.causes_view import CauseLine
from ribstitch.services.views.moved_shape import MovedSince
from ribstitch.services.views.swings_view import Swings
from ribstitch.services.views.uncertainty import Uncertainty


class _Background(Answer):
    """Something that is computed in the background."""

    plan_version: PlanVersion
    state: State
    progress: float = Field(description="Share that is done, 0 to 1")
    reason: str = Field(description="One sentence where it failed, else empty")


class SimulationAnswer(_Background):
    """The simulation of the plan."""

    result: Uncertainty | None = Field(description="null unless ready")


class CausesAnswer(_Background):
    """What makes the finish uncertain."""

    result: list[CauseLine] | None = Field(description="null unless ready; largest gain first")


class MovedAnswer(_Background):
    """What moved since an earlier plan."""

    result: MovedSince | None = Field(description="null unless ready")


class SwingsAnswer(_Background):
    """What matters most for the finish."""

    result: Swings | None = Field(description="null unless ready")


def standing_document(current: CurrentPlan, found: Standing[Any], result: Any) -> dict[str, Any]:
    """Return how something stands as plain data."""
    return {
        "plan_version": current.plan_version,
        "state": found.state,
        "progress": found.progress,
        "reason": found.reason,
        "result": result,
    }
