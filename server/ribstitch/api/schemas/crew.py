"""The crew: what is asked of it, and who waits for whom."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from typing import Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion
from ribstitch.planning.model import CrewLinkKind
from ribstitch.services.views.crew_explained import Bottleneck
from ribstitch.services.views.crew_figures import PlaceLoad, TradeLoad, WaitLine
from ribstitch.services.views.crew_load import CrewLoad


class CrewWaitShown(Answer):
    """A task that could begin, but for people or room that another one has first."""

    key: str = Field(description="Of the crew link")
    before: str = Field(alias="from", description="The task that goes first")
    from_name: str
    after: str = Field(alias="to", description="The task that waits")
    to_name: str
    kind: CrewLinkKind
    names: list[str] = Field(description="The place, or the trades")
    units: int = Field(description="How many people, or how much room")
    since: date = Field(description="It could begin on this date by everything else")
    until: date = Field(description="It begins on this date")
    days: float = Field(description="Elapsed days between the two")
    on_path: bool = Field(description="Whether this wait is on the critical path")
    sentence: str


class CrewLoadShown(Answer):
    """What the plan asks of people and places, and what that does to the finish."""

    plan_version: PlanVersion
    as_of: date
    finish: date
    finish_without_limits: date = Field(description="With hands and room for everything")
    path_days: float = Field(description="Working days on the critical path")
    trades: list[TradeLoad]
    places: list[PlaceLoad]
    waits: list[CrewWaitShown] = Field(description="The longest first")
    bottleneck: Bottleneck | None
    crew_links: int
    explanation: list[str] = Field(description="A few sentences for people in the shop")


def crew_load_shown(found: CrewLoad) -> dict[str, Any]:
    """Return the answer: ends of a wait are called as in the plan file, `from` and `to`."""
    names = {name: getattr(found, name) for name in CrewLoadShown.model_fields}
    return names | {"waits": [_wait(one) for one in found.waits]}


def _wait(one: WaitLine) -> dict[str, Any]:
    """Return a wait as it is shown."""
    told = asdict(one)
    ends = {"from": told.pop("before"), "from_name": told.pop("before_name"),
            "to": told.pop("after"), "to_name": told.pop("after_name")}  # fmt: skip
    return {"key": told.pop("key"), **ends, **told}
