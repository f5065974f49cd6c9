"""A schedule laid out for the runs, as yet with nothing drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ribstitch.planning.activities import floor_of
from ribstitch.planning.calendars import Ints
from ribstitch.planning.model import LagOn
from ribstitch.planning.network import Flags
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of
from ribstitch.planning.uncertainty.courses import CourseModel, Step, Tie
from ribstitch.planning.uncertainty.grains import grain_of


def lay_out(planned: Schedule) -> CourseModel:
    """
    Return the certain model of a schedule: its runs all give the schedule's own dates.

    What is finished, and the starts of what is under way, become bounds.
    """
    prepared = planned.prepared
    network, values = prepared.network, prepared.values
    calendars = calendars_of(prepared.plan)
    origin = _origin(planned)
    lags = [link.lag for link in prepared.expansion.links]
    single = 1 if _ends_in_gaps(planned) else 0
    grain = grain_of(calendars, [single, *values.work.tolist(), *lags])
    kept = np.flatnonzero(~values.done)
    step_of = np.full(network.size, -1)
    step_of[kept] = np.arange(kept.size)
    links = _Links(planned, step_of, origin, grain)
    calendar_number = {calendar.id: place for place, calendar in enumerate(calendars)}
    floors = (values.floor + (network.origin - origin)) // grain
    steps = []
    for number, rank in enumerate(kept.tolist()):
        activity = int(network.order[rank])
        one = planned.activities[activity]
        deaf = bool(values.deaf[rank])
        steps.append(
            Step(
                activity=activity,
                calendar=calendar_number[one.calendar],
                work=int(values.work[rank]) // grain,
                floor=max(0, int(floors[rank]), 0 if deaf else links.floor.get(number, 0)),
                end_floor=links.end_floor.get(number),
                starts=() if deaf else tuple(links.starts.get(number, ())),
                finishes=tuple(links.finishes.get(number, ())),
                counts=not one.dropped,
            )
        )
    return CourseModel(
        origin=origin,
        grain=grain,
        calendars=calendars,
        steps=tuple(steps),
        factors={},
        settled=_settled(planned, origin, grain),
    )


def _origin(planned: Schedule) -> int:
    """
    Return the instant from which to count: the as-of date. [ticks]

    Only a lag after dropped work can still reach over it from before.
    """
    plan = planned.prepared.plan
    dropped = {one.id for one in planned.activities if one.dropped}
    links = planned.prepared.expansion.links
    if any(link.lag and link.before in dropped for link in links):
        return start_of(plan.project.start)
    leads = [-link.lag for link in links if link.lag_on is LagOn.ELAPSED]
    return floor_of(plan) - TICKS_PER_DAY * -(-max([0, *leads]) // TICKS_PER_DAY)


def _ends_in_gaps(planned: Schedule) -> bool:
    """
    Return whether a link may ask work to end when its calendar does not work.

    Such work takes a single tick of the next working time, and so must the grain be.
    """
    network, values = planned.prepared.network, planned.prepared.values
    links = network.links
    before, after = links.before, links.after
    safe = (links.event_before >= network.size) & (links.elapsed_lag == 0)
    safe &= (network.on.row[before] == network.on.row[after]) & (values.work[before] > 0)
    safe &= ~values.done[before]
    return bool((links.to_finish & ~values.done[after] & ~safe).any())


def _settled(planned: Schedule, origin: int, grain: int) -> int:
    """Return the latest finish of what is done."""
    done = [
        int(planned.finish[number])
        for number, one in enumerate(planned.activities)
        if one.is_done and not one.dropped
    ]
    if all(one.dropped for one in planned.activities):
        done.append(planned.project_finish)
    return (max(done) - origin) // grain if done else -(1 << 30)


@dataclass(slots=True)
class _Links:
    """The links of a schedule by the step they bound, constant ones as bounds."""

    planned: Schedule
    step_of: Ints
    origin: int
    grain: int
    floor: dict[int, int] = field(default_factory=dict)
    end_floor: dict[int, int] = field(default_factory=dict)
    starts: dict[int, list[Tie]] = field(default_factory=dict)
    finishes: dict[int, list[Tie]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        links = self.planned.prepared.network.links
        fixed, required = self._fixed()
        for step, before, to_finish, is_fixed, asked, of_start, elapsed, work in zip(
            self.step_of[links.after].tolist(),
            self.step_of[links.before].tolist(),
            links.to_finish.tolist(),
            fixed.tolist(),
            required.tolist(),
            (links.event_before == links.before).tolist(),
            (links.elapsed_lag // self.grain).tolist(),
            (links.work_lag // self.grain).tolist(),
            strict=True,
        ):
            if step < 0:
                continue
            if is_fixed:
                bounds = self.end_floor if to_finish else self.floor
                bounds[step] = max(bounds.get(step, asked), asked)
            else:
                ties = self.finishes if to_finish else self.starts
                ties.setdefault(step, []).append(Tie(before, of_start, elapsed, work))

    def _fixed(self) -> tuple[Flags, Ints]:
        """Return which links hang on what has happened, and the instants they ask for."""
        prepared = self.planned.prepared
        network, values = prepared.network, prepared.values
        links, tables = network.links, network.tables
        by_rank = np.concatenate([self.planned.start, self.planned.finish])
        order = np.concatenate([network.order, network.order + network.size])
        event = by_rank[order] - network.origin
        of_start = links.event_before < network.size
        fixed = values.done[links.before] | (values.under_way[links.before] & of_start)
        required = event[links.event_before] + links.elapsed_lag
        lagged = tables.add_work(links.on, required, links.work_lag)
        required = np.where(links.work_lag != 0, lagged, required)
        return fixed, (required + network.origin - self.origin) // self.grain
