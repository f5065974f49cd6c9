"""Levelling, the order of the crew, and what one more would gain."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from typing import Annotated, Any

from pydantic import Field

from ribstitch.api.schemas.base import Answer, PlanVersion, Recorded, Version
from ribstitch.planfile.document import Document
from ribstitch.planning.model import CrewLinkKind
from ribstitch.services.asked_work import AskedState
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.levellings import Levelling, LevellingStanding
from ribstitch.services.one_mores import OneMoreStanding
from ribstitch.services.views.crew_load import without_crew_links
from ribstitch.services.views.crew_order import Holds, OrderLine
from ribstitch.services.views.one_more_view import Gains, gain_lines


class LevellingAsked(Document):
    """How a plan shall be levelled."""

    seconds: Annotated[
        float, Field(ge=0, le=600, allow_inf_nan=False, description="How long to look")
    ] = 10
    keep_days: Annotated[
        float,
        Field(
            ge=0,
            le=60,
            allow_inf_nan=False,
            description="Days that the finish must come closer to be worth one moved start",
        ),
    ] = 1


class LevellingAdopted(Document):
    """The plan that was levelled."""

    plan_version: Annotated[int, Field(description="As the levelling says")]


class OneMoreAsked(Document):
    """How much effort to take."""

    seconds: Annotated[
        float, Field(ge=0, le=60, allow_inf_nan=False, description="How long to look for each plan")
    ] = 2


class LevellingBest(Answer):
    """The best levelled plan so far."""

    finish: date
    bound: date = Field(description="No order finishes before that date: that is proven")
    gap_days: int = Field(description="Calendar days from the bound to the finish")
    found_after_seconds: float = Field(description="When a plan with this finish was first found")
    moved_starts: int | None = Field(
        description="Tasks and legs that would begin on another date; null while it runs"
    )
    crew_links: int | None = Field(description="How many it takes; null while it runs")
    forecast: date | None = Field(
        description="The finish of the plan with these crew links; null while it runs"
    )


class LevellingMade(Answer):
    """A better finish or bound on the way."""

    seconds: float
    finish: date
    bound: date


class LevellingLimits(Answer):
    """Between what the levelled finish lies as a rule."""

    finish_now: date
    finish_without_limits: date = Field(description="If nobody waited for people or room")


class LevellingAnswer(Answer):
    """How the levelling of the plan stands."""

    plan_version: PlanVersion
    state: AskedState = Field(
        description="`none`: nobody has asked; `outdated`: the plan was changed since, ask again"
    )
    progress: float = Field(description="Share that is done, 0 to 1")
    reason: str = Field(description="One sentence where it failed, else empty")
    best: LevellingBest | None
    history: list[LevellingMade]
    limits: LevellingLimits


class OrderAdopted(Recorded):
    """What adopting a levelled order did."""

    kind: str = Field(description="Of one thing that was changed; empty if none was")
    key: str = Field(description="Of that thing; undo it to take back all")
    added: int = Field(description="Crew links that are new or say something else")
    taken_away: int
    kept: int = Field(description="Crew links that stand as before")


class CrewLinkOfPlan(Answer):
    """A task that waits for another to give up people or a place."""

    key: str
    version: Version
    from_: str = Field(alias="from", description="The task that goes first")
    from_name: str
    to: str = Field(description="The task that waits")
    to_name: str
    kind: CrewLinkKind
    names: list[str] = Field(description="The place; or the trade, with others of those people")
    units: int = Field(description="How many people, or how much room")
    holds: Holds = Field(
        description="Whether the shop keeps to it: `turned_round` where what should wait was begun"
    )


class CrewLinksOfPlan(Answer):
    """The order of the crew."""

    plan_version: PlanVersion
    crew_links: list[CrewLinkOfPlan]


class CrewLinkBroken(Recorded):
    """What breaking a crew link did."""

    kind: str
    key: str


class OneMoreAnswer(Answer):
    """How the search for what one more would gain stands."""

    plan_version: PlanVersion
    state: AskedState = Field(
        description="`none`: nobody has asked; `outdated`: the plan was changed since, ask again"
    )
    progress: float = Field(description="Share that is done, 0 to 1")
    reason: str = Field(description="One sentence where it failed, else empty")
    result: Gains | None = Field(description="null unless ready")


def levelling_document(current: CurrentPlan, standing: LevellingStanding) -> dict[str, Any]:
    """Return how a levelling stands as plain data."""
    found = standing.found if standing.state in ("running", "ready") else None
    return {
        "plan_version": current.plan_version,
        "state": standing.state,
        "progress": standing.progress,
        "reason": standing.reason,
        "best": None if found is None else _best(found),
        "history": [] if found is None else [asdict(one) for one in found.history],
        "limits": {
            "finish_now": current.finish_on,
            "finish_without_limits": without_crew_links(current),
        },
    }


def _best(found: Levelling) -> dict[str, Any]:
    order = found.order
    return {
        "finish": found.finish,
        "bound": found.bound,
        "gap_days": (found.finish - found.bound).days,
        "found_after_seconds": found.found_after_seconds,
        "moved_starts": None if order is None else order.moved_starts,
        "crew_links": None if order is None else len(order.links),
        "forecast": None if order is None else order.forecast,
    }


def one_more_document(current: CurrentPlan, standing: OneMoreStanding) -> dict[str, Any]:
    """Return how the search for gains stands as plain data."""
    found = standing.found if standing.state == "ready" else None
    return {
        "plan_version": current.plan_version,
        "state": standing.state,
        "progress": standing.progress,
        "reason": standing.reason,
        "result": None if found is None else gain_lines(current, found),
    }


def order_document(line: OrderLine) -> dict[str, Any]:
    """Return a crew link as plain data."""
    given = asdict(line)
    sides = {"from": "before", "from_name": "before_name", "to": "after", "to_name": "after_name"}
    renamed = {name: given.pop(old) for name, old in sides.items()}
    return {"key": given.pop("key"), "version": given.pop("version"), **renamed, **given}
