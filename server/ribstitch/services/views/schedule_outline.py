"""The schedule in short: how much is open, what sets the finish, and what is close to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ribstitch.charts.bars import state_of
from ribstitch.planning.model import State
from ribstitch.planning.uncertainty.results import Simulation
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import activity_name, zone_name_of
from ribstitch.services.views.schedule_view import NearCritical, ZoneLine, near_chains, zone_lines


@dataclass(frozen=True, slots=True)
class Step:
    """A piece of work in a chain."""

    id: str
    name: str
    kind: Literal["task", "leg"]
    send_out: str | None
    zone: str
    """Its name; empty where it has none."""
    start: date
    finish: date


@dataclass(frozen=True, slots=True)
class ScheduleOutline:
    """The schedule in short."""

    plan_version: int
    finish: date
    as_of: date
    is_sure: bool
    """Whether it is known by now how sure the dates are."""
    zones: list[ZoneLine]
    trades: list[str]
    activities: int
    open: int
    """How many of them are not done."""
    steps: list[Step]
    """Whatever stands in one of the chains, once."""
    critical_path: list[str]
    near_critical: list[NearCritical]


def schedule_outline(current: CurrentPlan, simulation: Simulation | None) -> ScheduleOutline:
    """Return the schedule in short."""
    schedule = current.schedule
    path, near = list(schedule.critical_path), near_chains(current)
    ids = [one.id for one in schedule.activities]
    in_chains = dict.fromkeys(
        [*path, *(schedule.number(one) for c in near for one in c.activities)]
    )
    states = [state_of(schedule, number) for number in range(len(ids))]
    return ScheduleOutline(
        plan_version=current.plan_version,
        finish=current.finish_on,
        as_of=current.as_of,
        is_sure=simulation is not None,
        zones=zone_lines(current),
        trades=sorted({one.trade for one in current.plan.tasks if one.trade}),
        activities=len(ids),
        open=len(ids) - states.count(State.DONE.value),
        steps=[_step(current, number) for number in in_chains],
        critical_path=[ids[number] for number in path],
        near_critical=near,
    )


def _step(current: CurrentPlan, number: int) -> Step:
    one = current.schedule.activities[number]
    return Step(
        id=one.id,
        name=activity_name(current, number),
        kind="task" if one.send_out is None else "leg",
        send_out=one.send_out,
        zone=zone_name_of(current, number),
        start=current.schedule.start_on(number),
        finish=current.schedule.finish_on_of(number),
    )
