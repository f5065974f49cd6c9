"""The Crew page: what is asked of people and places, and what that does to the finish."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from ribstitch.charts.crew_load import Strip, Week
from ribstitch.planning.levelling.bottleneck import path_shares
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.trades import trade_name
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.crew_explained import (
    Bottleneck,
    Figures,
    bottleneck_of,
    explained,
)
from ribstitch.services.views.crew_figures import (
    LoadWeek,
    PlaceLoad,
    TradeLoad,
    WaitLine,
    place_loads,
    trade_loads,
    wait_lines,
)


@dataclass(frozen=True, slots=True)
class CrewLoad:
    """The Crew page."""

    plan_version: int
    as_of: date
    finish: date
    finish_without_limits: date
    """With hands and room for everything."""
    path_days: float
    """Working days on the critical path."""
    trades: list[TradeLoad]
    places: list[PlaceLoad]
    waits: list[WaitLine]
    """The longest first."""
    bottleneck: Bottleneck | None
    crew_links: int
    explanation: list[str]
    """A few sentences for people in the shop."""


def crew_load(current: CurrentPlan) -> CrewLoad:
    """Return what the plan asks of its people and places; computed once for each plan."""
    return current.derived("crew_load", lambda: _crew_load(current))


def _crew_load(current: CurrentPlan) -> CrewLoad:
    """Return the page."""
    on_path = [one.work for one in path_shares(current.schedule) if one.kind != "place"]
    figures = Figures(
        finish=current.finish_on,
        finish_without_limits=without_crew_links(current),
        path_days=round(days_from_ticks(sum(on_path)), 2),
        trades=trade_loads(current),
        places=place_loads(current),
        waits=wait_lines(current),
    )
    bottleneck = bottleneck_of(current, figures)
    return CrewLoad(
        plan_version=current.plan_version,
        as_of=current.as_of,
        finish=figures.finish,
        finish_without_limits=figures.finish_without_limits,
        path_days=figures.path_days,
        trades=figures.trades,
        places=figures.places,
        waits=figures.waits,
        bottleneck=bottleneck,
        crew_links=len(current.plan.crew_links),
        explanation=list(explained(current, figures, bottleneck)),
    )


def without_crew_links(current: CurrentPlan) -> date:
    """Return the finish if nobody waited for people or room."""
    if not current.plan.crew_links:
        return current.finish_on
    return current.derived(
        "finish_without_limits", lambda: schedule(replace(current.plan, crew_links=())).finish_on
    )


def crew_strips(current: CurrentPlan, trade: str | None = None) -> list[Strip]:
    """Return the same figures as they are drawn: the trades, then the places; or one trade."""
    load = crew_load(current)
    strips = [
        Strip(trade_name(one.trade), _people(one.people), _weeks(one.weeks))
        for one in load.trades
        if trade in (None, one.trade)
    ]
    if trade is None:
        strips += [
            Strip(
                one.name,
                f"room for {one.capacity}" if one.capacity != 1 else "",
                _weeks(one.weeks),
            )
            for one in load.places
        ]
    return strips


def _people(count: int) -> str:
    """Write how many people there are."""
    return {0: "nobody", 1: "1 person"}.get(count, f"{count} people")


def _weeks(weeks: list[LoadWeek]) -> list[Week]:
    """Return the weeks as they are drawn."""
    return [Week(one.week, one.used_days, one.available_days, one.over_days) for one in weeks]
