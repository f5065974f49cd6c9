"""What is asked of a trade beyond its hands, in hours: for cases side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.levelling.loads import WeekLoad
from ribstitch.planning.model import CrewLinkKind, Plan
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.trades import trade_name


@dataclass(frozen=True, slots=True)
class CrewOver:
    """Work of one trade that finds nobody on its date, dates as written."""

    trade: str
    name: str
    over_hours: float
    """In all. [hours of one person]"""
    worst_week: date
    """The Monday of the week in which most finds nobody; the first of equals."""
    worst_hours: float
    """In that week. [hours of one person]"""


def crew_over(schedule: Schedule, loads: Sequence[WeekLoad]) -> list[CrewOver]:
    """Return the trades that are asked for more than there are hands, the most first."""
    plan = schedule.prepared.plan
    weeks: dict[str, list[WeekLoad]] = {}
    for one in loads:
        if one.kind is CrewLinkKind.TRADE and one.over:
            weeks.setdefault(one.name, []).append(one)
    found = []
    for trade, over in weeks.items():
        worst = max(over, key=lambda week: week.over)
        found.append(
            CrewOver(
                trade=trade,
                name=trade_name(trade),
                over_hours=_hours(plan, trade, sum(week.over for week in over)),
                worst_week=worst.week,
                worst_hours=_hours(plan, trade, worst.over),
            )
        )
    return sorted(found, key=lambda one: (-one.over_hours, one.trade))


def _hours(plan: Plan, trade: str, ticks: int) -> float:
    """Return hours of one person, a day as long as on the calendar of the trade's first people."""
    names = [one.calendar or plan.project.calendar for one in plan.crew if one.trade == trade]
    name = names[0] if names else plan.project.calendar
    day = next((one.day_hours for one in plan.calendars if one.id == name), 24.0)
    return round(days_from_ticks(ticks) * day, 1)
