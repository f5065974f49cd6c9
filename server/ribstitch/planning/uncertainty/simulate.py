"""The simulation of a plan: many possible courses, and what they say together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.errors import HorizonError
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at
from ribstitch.planning.uncertainty.courses import CourseModel
from ribstitch.planning.uncertainty.grains import Ints32
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.results import (
    LEVELS,
    Chance,
    Floats,
    Simulation,
    percentile_place,
)
from ribstitch.planning.uncertainty.runs import (
    BeyondTablesError,
    Flags,
    Progress,
    Walk,
    nothing_to_report,
)
from ribstitch.planning.uncertainty.sources import model_of

ENGINE = 1
"""Goes up when the same plan and seed would give other dates than before."""

BLOCK = 10_000
"""Runs that are computed together."""

MOST_YEARS = 300
MOST_DAYS = 366 * MOST_YEARS
"""No course goes on for longer."""

_FORWARD_SHARE = 0.7


@dataclass(frozen=True, slots=True)
class Courses:
    """
    The runs of a model, k steps and R runs. [grains]

    Attributes
    ----------
    project_finish
        Shape (R,).
    finish
        Of each step, shape (k, R).
    critical
        In how many runs each step is on a chain that sets the finish, shape (k,).
    critical_together
        In how many runs any step of a group is, by group.
    hours
        Sums of work over groups of steps in each run, shape (R,).
    """

    project_finish: Ints32
    finish: Ints32
    critical: Ints
    critical_together: Mapping[str, int]
    hours: Mapping[str | None, Floats]


def simulate(
    plan: Plan,
    *,
    runs: int = 10_000,
    seed: int = 1,
    delays: Mapping[str, int] | None = None,
    on_progress: Progress = nothing_to_report,
) -> Simulation:
    """
    Draw many possible courses of a plan.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    runs
        How many courses, 1 or more.
    seed
        The same seed gives the same result on every machine; two plans simulated with
        one seed meet the same luck.
    delays
        Activities that take longer than the plan says, by how much. [ticks]
    on_progress
        Told the share that is done, 0 to 1, now and then; what it raises ends the
        simulation.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled, or a course does not end within 300 years.
    ValueError
        If there is no run.
    """
    if runs < 1:
        raise ValueError(f"there must be at least one run, not {runs}")
    planned = schedule(plan, delays=delays)
    model = model_of(planned)
    courses = run_courses(
        model,
        runs=runs,
        seed=seed,
        horizon_days=horizon_days(planned),
        groups=_vendor_steps(planned, model),
        hours=_trade_hours(planned, model),
        on_progress=on_progress,
    )
    return _collect(planned, model, courses, runs, seed)


def horizon_days(planned: Schedule) -> int:
    """Return for how many days from the origin to lay out calendars at first."""
    left = planned.project_finish // TICKS_PER_DAY - planned.prepared.plan.project.as_of.toordinal()
    return 2 * max(left, 0) + 3 * 366


def run_courses(
    model: CourseModel,
    *,
    runs: int,
    seed: int,
    horizon_days: int = 3660,
    groups: Mapping[str, tuple[int, ...]] | None = None,
    hours: Mapping[str | None, Mapping[int, float]] | None = None,
    on_progress: Progress = nothing_to_report,
) -> Courses:
    """
    Run through a model.

    Parameters
    ----------
    model
        What is run through.
    runs, seed
        How many runs, from which seed. The first runs do not depend on how many follow.
    horizon_days
        For how many days to lay out the calendars; where some run goes on after that,
        it is doubled.
    groups
        Groups of steps of which to count the runs in which any is critical.
    hours
        Weights of steps' work, by group, to add up in each run.
    on_progress
        Told the share that is done; what it raises ends the runs.

    Raises
    ------
    HorizonError
        If some run does not end within 300 years.
    """
    while True:
        try:
            return _run(model, horizon_days, runs, seed, groups or {}, hours or {}, on_progress)
        except BeyondTablesError:
            if horizon_days >= MOST_DAYS:
                raise HorizonError(date_at(model.origin).year + MOST_YEARS) from None
            horizon_days *= 2


def _run(
    model: CourseModel,
    days: int,
    runs: int,
    seed: int,
    groups: Mapping[str, tuple[int, ...]],
    hours: Mapping[str | None, Mapping[int, float]],
    on_progress: Progress,
) -> Courses:
    """Run through a model block by block, with calendars over so many days."""
    walk = Walk(model, model.tables(days))
    count = len(model.steps)
    finish = np.empty((count, runs), dtype=np.int32)
    project_finish = np.empty(runs, dtype=np.int32)
    critical = np.zeros(count, dtype=np.int64)
    together = dict.fromkeys(groups, 0)
    sums = {name: np.zeros(runs) for name in hours}
    for block, first in enumerate(range(0, runs, BLOCK)):
        part = slice(first, min(first + BLOCK, runs))
        size = part.stop - part.start

        def report(share: float, first: int = first, size: int = size) -> None:
            on_progress((first + _FORWARD_SHARE * share * size) / runs)

        luck = Luck(model.factors, seed, block, size)
        rows = walk.forward(luck, finish[:, part], report, keep_work=bool(hours))
        project_finish[part] = walk.project_finish(rows, size)
        report(1.0)
        marks = walk.critical(rows, project_finish[part])
        critical += np.count_nonzero(marks, axis=1)
        for name, steps in groups.items():
            together[name] += _any_of(marks, steps)
        for trade, weights in hours.items():
            for number, weight in weights.items():
                sums[trade][part] += weight * rows.work[number]
    on_progress(1.0)
    return Courses(project_finish, finish, critical, together, sums)


def _any_of(marks: Flags, steps: tuple[int, ...]) -> int:
    """Count the runs in which any of some steps is marked."""
    return int(np.count_nonzero(np.logical_or.reduce(marks[list(steps)], axis=0)))


def _vendor_steps(planned: Schedule, model: CourseModel) -> dict[str, tuple[int, ...]]:
    """Return by vendor the steps that are in the vendor's hands."""
    vendor_of = {item.id: item.vendor for item in planned.prepared.plan.send_outs}
    found: dict[str, list[int]] = {}
    for number, step in enumerate(model.steps):
        activity = planned.activities[step.activity]
        if activity.send_out is not None and activity.leg in ("intake", "vendor_work"):
            found.setdefault(vendor_of[activity.send_out], []).append(number)
    return {vendor: tuple(steps) for vendor, steps in found.items()}


def _trade_hours(planned: Schedule, model: CourseModel) -> dict[str | None, dict[int, float]]:
    """Return by trade the person-hours that a grain of each step's work stands for."""
    plan = planned.prepared.plan
    if all(crew.rate is None for crew in plan.crew):
        return {}
    tasks = {task.id: task for task in plan.tasks}
    found: dict[str | None, dict[int, float]] = {}
    for number, step in enumerate(model.steps):
        activity = planned.activities[step.activity]
        if activity.task is None:
            continue
        task, calendar = tasks[activity.task], model.calendars[step.calendar]
        hours = model.grain / TICKS_PER_DAY * calendar.day_hours
        found.setdefault(task.trade, {})[number] = task.people * hours
    return found


def _collect(
    planned: Schedule, model: CourseModel, courses: Courses, runs: int, seed: int
) -> Simulation:
    """Turn grains into instants, and steps into activities."""
    deadlines = {
        step.activity: number
        for number, step in enumerate(model.steps)
        if planned.activities[step.activity].deadline is not None
    }
    ordered = np.sort(courses.finish, axis=1)
    met = {}
    for activity, number in deadlines.items():
        one = planned.activities[activity]
        instant = ((one.deadline or 0) - model.origin) // model.grain
        met[one.id] = Chance.of(int(np.searchsorted(ordered[number], instant, "right")), runs)
    places = [percentile_place(level, runs) for level in LEVELS]
    percentiles = np.repeat(planned.finish[:, None], len(LEVELS), axis=1)
    criticality = np.zeros(len(planned.activities))
    for number, step in enumerate(model.steps):
        percentiles[step.activity] = model.origin + model.grain * ordered[number][places].astype(
            np.int64
        )
        criticality[step.activity] = courses.critical[number] / runs
    return Simulation(
        planned=planned,
        runs=runs,
        seed=seed,
        finish=model.origin + model.grain * courses.project_finish.astype(np.int64),
        percentile_finishes=percentiles,
        criticality=criticality,
        vendor_criticality={
            vendor: hits / runs for vendor, hits in courses.critical_together.items()
        },
        met_deadlines=met,
        crew_hours=courses.hours,
    )
