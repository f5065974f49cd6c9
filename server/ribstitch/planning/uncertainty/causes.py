"""What makes the finish uncertain, in days that could be gained.

Each source of uncertainty in turn is made to go exactly as planned, all else as drawn,
and the runs are gone through again: the difference is what that source costs. Only the
steps that can feel the change are computed anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from math import sqrt

import numpy as np

from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.answers import on_long_enough_calendars
from ribstitch.planning.uncertainty.courses import CourseModel, Factor, Source, Step
from ribstitch.planning.uncertainty.events import Room
from ribstitch.planning.uncertainty.grains import Ints32
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.results import Cause, Floats
from ribstitch.planning.uncertainty.runs import (
    Progress,
    Rows,
    Walk,
    nothing_to_report,
    nothing_to_take,
)
from ribstitch.planning.uncertainty.simulate import horizon_days
from ribstitch.planning.uncertainty.sources import factor_name, model_of

_RARE = 0.005
"""A source that touches the chain to the finish in fewer runs than this gains nothing
worth a line."""

_MOST_TASKS = 150
"""Single tasks that are looked at: those that vary most where they matter."""


def find_causes(
    plan: Plan, *, runs: int = 2_000, seed: int = 1, on_progress: Progress = nothing_to_report
) -> tuple[Cause, ...]:
    """
    Rank what makes the project finish uncertain, the largest gain first.

    Parameters
    ----------
    plan
        The plan; it is checked first.
    runs, seed
        How many courses to draw, from which seed.
    on_progress
        Told the share that is done, 0 to 1, now and then; what it raises ends the search.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled, or a course does not end within 300 years.
    """
    planned = schedule(plan)
    model = model_of(planned)
    return rank_causes(
        model,
        sources_of(planned, model),
        runs=runs,
        seed=seed,
        horizon_days=horizon_days(planned),
        on_progress=on_progress,
    )


def sources_of(planned: Schedule, model: CourseModel) -> tuple[Source, ...]:
    """Return all sources of uncertainty of a plan."""
    plan = planned.prepared.plan
    found: list[Source] = []
    legs: dict[str, dict[int, Step]] = {item.id: {} for item in plan.send_outs}
    for number, step in enumerate(model.steps):
        activity = planned.activities[step.activity]
        if activity.task is not None and step.draw is not None:
            own = replace(step, draw=None)
            found.append(Source("task", activity.task, {number: own}, drawn=number))
        if activity.send_out is not None and (step.draw is not None or step.second_trip):
            legs[activity.send_out][number] = replace(step, draw=None, second_trip=None)
        for risk in step.risks:
            others = tuple(one for one in step.risks if one is not risk)
            spared = replace(step, risks=others)
            found.append(Source("risk", risk.id.removeprefix("risk/"), {number: spared}))
    found += [Source("send_out", name, steps) for name, steps in legs.items() if steps]
    for vendor in plan.vendors:
        theirs = [legs[item.id] for item in plan.send_outs if item.vendor == vendor.id]
        steps = {number: step for one in theirs for number, step in one.items()}
        if steps:
            found.append(Source("vendor", vendor.id, steps))
    in_use = {name for step in model.steps if step.draw for name in step.draw.factors}
    for zone in plan.zones:
        names = {factor_name("zone", zone.id), factor_name("hidden", zone.id)} & in_use
        if names:
            found.append(Source("zone", zone.id, factors=frozenset(names)))
    trades = dict.fromkeys(task.trade for task in plan.tasks if task.trade is not None)
    for trade in trades:
        if factor_name("trade", trade) in in_use:
            found.append(Source("trade", trade, factors=frozenset({factor_name("trade", trade)})))
    return tuple(found)


def rank_causes(
    model: CourseModel,
    sources: Iterable[Source],
    *,
    runs: int,
    seed: int,
    horizon_days: int = 3660,
    on_progress: Progress = nothing_to_report,
) -> tuple[Cause, ...]:
    """
    Rank the sources of a model's uncertainty, the largest gain first.

    The arguments are those of `run_courses`. Sources that touch the chain to the finish
    in hardly any run are left out.

    Raises
    ------
    HorizonError
        If some run does not end within 300 years.
    """
    every = tuple(sources)
    causes = on_long_enough_calendars(
        model,
        horizon_days,
        lambda walk: list(_Search(walk, model, runs, seed).causes(every, on_progress)),
    )
    on_progress(1.0)
    return tuple(sorted(causes, key=lambda one: (-one.gain_days, one.kind, one.id)))


class _Search:
    """The runs of a model as drawn, against which changed ones are held."""

    def __init__(self, walk: Walk, model: CourseModel, runs: int, seed: int) -> None:
        self.model = model
        self.runs = runs
        self.seed = seed
        self.walk = walk
        self.luck = Luck(model.factors, seed, runs, model.unit)
        self.rows = self.walk.forward(self.luck, nothing_to_take, nothing_to_report, keep=True)
        self.finish = self.walk.project_finish(self.rows, runs)
        self.marks = self.walk.critical(self.rows, self.finish)
        self.rank = _mid_ranks(self.finish)

    def causes(self, every: tuple[Source, ...], on_progress: Progress) -> Iterator[Cause]:
        """Yield the causes worth a line."""
        sources = self._worth_a_look(every)
        for place, source in enumerate(sources):
            on_progress(place / len(sources))
            changed = self._changed(source)
            criticality = self._criticality(changed)
            if criticality >= _RARE:
                yield self._cause(source, changed, criticality)

    def _worth_a_look(self, sources: tuple[Source, ...]) -> list[Source]:
        """Return the sources without the many tasks of a large plan that matter least."""

        def reach(source: Source) -> float:
            number = source.drawn
            if number is None:
                return np.inf
            spread = np.broadcast_to(self.rows.work[number], (self.runs,)).std()
            return float(spread * np.count_nonzero(self.marks[number]))

        ranked = sorted(sources, key=reach, reverse=True)
        whole = sum(source.drawn is None for source in sources)
        return ranked[: whole + _MOST_TASKS]

    def _changed(self, source: Source) -> Mapping[int, Step]:
        """Return the steps that go otherwise, as they are then."""
        if not source.factors:
            return source.steps
        return {
            number: step
            for number, step in enumerate(self.model.steps)
            if step.draw is not None and source.factors & set(step.draw.factors)
        }

    def _criticality(self, changed: Mapping[int, Step]) -> float:
        """Return the share of runs in which any of some steps is marked."""
        together = np.logical_or.reduce(self.marks[list(changed)], axis=0)
        return int(np.count_nonzero(together)) / self.runs

    def _cause(self, source: Source, changed: Mapping[int, Step], criticality: float) -> Cause:
        """Compute what would be gained if a source went as planned."""
        luck = self.luck
        if source.factors:
            as_planned = dict.fromkeys(source.factors, Factor(0.0, {}))
            factors = {**self.model.factors, **as_planned}
            luck = Luck(factors, self.seed, self.runs, self.model.unit)
        gained = (self.finish - self._finish_with(changed, luck)) * (
            self.model.grain / TICKS_PER_DAY
        )
        error = float(gained.std(ddof=1)) / sqrt(self.runs) if self.runs > 1 else 0.0
        return Cause(
            kind=source.kind,
            id=source.id,
            gain_days=float(gained.mean()),
            standard_error_days=error,
            rank_correlation=self._rank_correlation(source.drawn),
            criticality=criticality,
        )

    def _finish_with(self, changed: Mapping[int, Step], luck: Luck) -> Ints32:
        """Return the project finish of each run when some steps go otherwise."""
        walk, drawn = self.walk, self.rows
        rows = Rows(Room(self.runs), dict(drawn.finish), dict(drawn.start))
        moved: set[int] = set()
        for number in range(min(changed), len(walk.steps)):
            step = changed.get(number, walk.steps[number])
            ties = (*step.starts, *step.finishes)
            if number not in changed and not any(tie.step in moved for tie in ties):
                continue
            work = luck.work(step) if number in changed else drawn.work[number]
            walk.run(number, step, work, self.luck, rows)
            if not self._is_same(number, rows):
                moved.add(number)
        return walk.project_finish(rows, self.runs)

    def _is_same(self, number: int, rows: Rows) -> bool:
        """Return whether a step is where it was."""
        before = self.rows
        return np.array_equal(rows.finish[number].instant, before.finish[number].instant) and (
            number not in rows.start
            or np.array_equal(rows.start[number].instant, before.start[number].instant)
        )

    def _rank_correlation(self, drawn: int | None) -> float | None:
        """Return Spearman's correlation of drawn work with the finish, ties at mid-rank."""
        if drawn is None:
            return None
        work = _mid_ranks(np.broadcast_to(self.rows.work[drawn], (self.runs,)))
        spread = work.std() * self.rank.std()
        if spread == 0:
            return None
        return float(((work - work.mean()) * (self.rank - self.rank.mean())).mean() / spread)


def _mid_ranks(values: Ints32) -> Floats:
    """Return ranks from 1, equal values sharing the middle one."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    return np.asarray((last - (count - 1) / 2)[place])
