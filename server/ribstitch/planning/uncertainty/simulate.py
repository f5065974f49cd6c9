"""The simulation of a plan: many possible courses, and what they say together."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ribstitch.planning.activities import floor_of
from ribstitch.planning.model import Milestone, Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.answers import Courses, Questions, run_courses
from ribstitch.planning.uncertainty.courses import CourseModel
from ribstitch.planning.uncertainty.results import LEVELS, Chance, Simulation
from ribstitch.planning.uncertainty.runs import Progress, nothing_to_report
from ribstitch.planning.uncertainty.sources import model_of

ENGINE = 1
"""Goes up when the same plan and seed would give other dates than before."""


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
        questions=Questions(
            limits=_deadlines(planned, model),
            groups=_vendor_steps(planned, model),
            weights=_trade_hours(planned, model),
        ),
        on_progress=on_progress,
    )
    return _collect(planned, model, courses, runs, seed)


def horizon_days(planned: Schedule) -> int:
    """Return for how many days from the origin to lay out calendars at first."""
    left = planned.project_finish // TICKS_PER_DAY - planned.prepared.plan.project.as_of.toordinal()
    return 2 * max(left, 0) + 3 * 366


def _deadlines(planned: Schedule, model: CourseModel) -> dict[int, int]:
    """
    Return by step the deadlines that are still to be kept. [grains]

    A date before the as-of date cannot be kept, even where no work is left.
    """
    floor = floor_of(planned.prepared.plan)
    limits = {}
    for number, step in enumerate(model.steps):
        one = planned.activities[step.activity]
        if one.deadline is None:
            continue
        limits[number] = (one.deadline - model.origin) // model.grain
        if one.deadline <= floor and one.milestone is not Milestone.START:
            limits[number] = -1
    return limits


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
    percentiles = np.repeat(planned.finish[:, None], len(LEVELS), axis=1)
    criticality = np.zeros(len(planned.activities))
    order = [step.activity for step in model.steps]
    percentiles[order] = model.origin + model.grain * courses.percentiles.astype(np.int64)
    criticality[order] = courses.critical / runs
    criticality[[one.dropped for one in planned.activities]] = 0
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
        met_deadlines={
            planned.activities[model.steps[number].activity].id: Chance.of(hits, runs)
            for number, hits in courses.met.items()
        },
        crew_hours=courses.sums,
    )
