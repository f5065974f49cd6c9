"""The whole schedule: every task and leg with its dates."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ribstitch.charts.bars import state_of
from ribstitch.planning.activities import VENDOR_LEG
from ribstitch.planning.model import Milestone, SendOut, State, Task
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import (
    activity_name,
    float_days,
    is_critical,
    send_outs,
    task_at,
    zone_of,
)
from ribstitch.services.views.sureness import criticality_of, spreads_of

NEAR_DAYS = 10
"""Chains with no more float than this are near-critical. [working days]"""
_NO_TASK = Task("", 0)
_LEG_FIELDS = {VENDOR_LEG: "lead", "return": "return_leg"}


@dataclass(frozen=True, slots=True)
class ActivityLine:
    """One task, or one leg of a send-out."""

    id: str
    name: str
    kind: Literal["task", "leg"]
    zone: str | None
    send_out: str | None
    vendor: str | None
    leg: str | None
    trade: str | None
    chapter: str | None
    state: str
    start: date
    finish: date
    late_start: date
    late_finish: date
    total_float_days: float
    free_float_days: float
    critical: bool
    driven_by: list[str]
    days: float
    remaining_days: float | None
    milestone: Milestone | None
    held_reason: str
    deadline: date | None
    missed_days: int | None
    """Calendar days by which the deadline is missed; None without a deadline."""
    spread: Spread | None
    """When open work may end; None while that is not known."""
    criticality: float | None
    """Share of the simulated courses in which it is on a chain that sets the finish."""


@dataclass(frozen=True, slots=True)
class NearCritical:
    """A chain that sets the finish if it slips a little."""

    float_days: float
    activities: list[str]


@dataclass(frozen=True, slots=True)
class ZoneLine:
    """A zone and what it is called."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class ScheduleView:
    """Every activity with its dates."""

    plan_version: int
    finish: date
    as_of: date
    zones: list[ZoneLine]
    activities: list[ActivityLine]
    critical_path: list[str]
    near_critical: list[NearCritical]


def schedule_view(current: CurrentPlan, simulation: Simulation | None = None) -> ScheduleView:
    """Return the whole schedule, in the plan's order."""
    spreads = spreads_of(current, simulation)
    schedule = current.schedule
    ids = [one.id for one in schedule.activities]
    return ScheduleView(
        plan_version=current.plan_version,
        finish=current.finish_on,
        as_of=current.as_of,
        zones=zone_lines(current),
        activities=[
            activity_line(
                current, number, spreads.get(one), criticality_of(current, simulation, [number])
            )
            for number, one in enumerate(ids)
        ],
        critical_path=[ids[number] for number in schedule.critical_path],
        near_critical=near_chains(current),
    )


def zone_lines(current: CurrentPlan) -> list[ZoneLine]:
    """Return the zones, in the plan's order."""
    return [ZoneLine(zone.id, zone.name or zone.id) for zone in current.plan.zones]


def near_chains(current: CurrentPlan) -> list[NearCritical]:
    """Return the chains that set the finish if they slip a little, the closest first."""
    schedule = current.schedule
    chains = schedule.near_critical(NEAR_DAYS * TICKS_PER_DAY)
    return [
        NearCritical(
            float_days(current, chain[-1]), [schedule.activities[number].id for number in chain]
        )
        for chain in chains
        if chain
    ]


def activity_line(
    current: CurrentPlan, number: int, spread: Spread | None, criticality: float | None
) -> ActivityLine:
    """Return the line of one activity."""
    schedule = current.schedule
    one, is_task = schedule.activities[number], task_at(current, number)
    task = is_task or _NO_TASK
    item = None if one.send_out is None else send_outs(current)[one.send_out]
    remaining = None if is_task is None or one.is_done or one.dropped else one.work
    finish = schedule.finish_on_of(number)
    return ActivityLine(
        id=one.id,
        name=activity_name(current, number),
        kind="leg" if is_task is None else "task",
        zone=zone_of(current, number),
        send_out=one.send_out,
        vendor=None if item is None else item.vendor,
        leg=one.leg,
        trade=task.trade,
        chapter=task.chapter,
        state=state_of(schedule, number),
        start=schedule.start_on(number),
        finish=finish,
        late_start=schedule.late_start_on(number),
        late_finish=schedule.late_finish_on(number),
        total_float_days=float_days(current, number),
        free_float_days=days_from_ticks(int(schedule.free_float[number])),
        critical=is_critical(current, number),
        driven_by=[schedule.activities[driver].id for driver in schedule.drivers[number]],
        days=days_from_ticks(task.duration if item is None else _quoted(item, one.leg or "")),
        remaining_days=None if remaining is None else days_from_ticks(remaining),
        milestone=one.milestone,
        held_reason=task.status.held_reason,
        deadline=task.deadline,
        missed_days=_missed(task, finish),
        spread=spread,
        criticality=criticality,
    )


def _quoted(item: SendOut, leg: str) -> int:
    """Return how long a leg was planned to take. [ticks]"""
    ticks: int = getattr(item, _LEG_FIELDS.get(leg, leg))
    return ticks


def _missed(task: Task, finish: date) -> int | None:
    """Return by how many calendar days a deadline is missed."""
    if task.deadline is None or task.status.state is State.DROPPED:
        return None
    return max((finish - task.deadline).days, 0)
