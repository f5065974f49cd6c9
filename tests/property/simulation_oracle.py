"""One run of a simulation, lived through slowly: the oracle's jobs with the works drawn.

The oracle dates every job by the rules alone; what set the project finish is found by
asking of every link where it alone would place its successor. Nothing here has tables,
grains or rows of runs.

Beside it stands the way to have the core walk through a plan and keep the drawn works.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.uncertainty.courses import CourseModel, Step
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.runs import (
    BeyondTablesError,
    Walk,
    nothing_to_report,
    nothing_to_take,
)
from ribstitch.planning.uncertainty.simulate import horizon_days
from tests.property.oracle import FROM_FINISH, TO_FINISH, Oracle

DAY = 1440
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


class SlowRun:
    """A plan in which every unfinished job takes the work that was drawn. [ticks]"""

    def __init__(self, plan: Plan, works: Mapping[str, int]) -> None:
        self.oracle = Oracle(plan)
        for name, work in works.items():
            self.oracle.jobs[name].work = work
        self.dates = self.oracle.dates = self.oracle.scheduled()
        self.finish = self.oracle.finish = self.oracle.finish_of(self.dates)

    def on_chain(self) -> set[str]:
        """Return the unfinished jobs on a chain of driving links that ends at the finish."""
        jobs = self.oracle.jobs
        todo = [
            name
            for name, job in jobs.items()
            if not job.dropped and job.finished is None and self.dates[name].finish == self.finish
        ]
        found = set(todo)
        while todo:
            for before in self._drivers(todo.pop()):
                if before not in found:
                    found.add(before)
                    todo.append(before)
        return {name for name in found if not jobs[name].dropped}

    def _drivers(self, name: str) -> list[str]:
        """Return the unfinished jobs of which a link alone would date a job as it is dated."""
        jobs, after = self.oracle.jobs, self.oracle.jobs[name]
        found = []
        for link in self.oracle.incoming[name]:
            before = jobs[link.before]
            happened = before.finished is not None or (
                before.started is not None and link.relation not in FROM_FINISH
            )
            if happened or (after.deaf and link.relation not in TO_FINISH):
                continue
            instant = self.oracle.asked(link, self.dates[link.before])
            ends = link.relation in TO_FINISH
            alone = self.oracle._placed_by_ways(
                after, [] if ends else [instant], [instant] if ends else []
            )
            if alone == self.dates[name]:
                found.append(link.before)
        return found


@dataclass(frozen=True)
class CoreRuns:
    """What the core's walk came to: unfinished activities by id, shape (runs,). [ticks]"""

    works: dict[str, Ints]
    finishes: dict[str, Ints]
    project_finish: Ints
    critical: dict[str, Flags]

    def works_of(self, run: int) -> dict[str, int]:
        """Return the works of one run."""
        return {name: int(works[run]) for name, works in self.works.items()}

    def finishes_of(self, run: int) -> dict[str, int]:
        """Return the finishes of one run."""
        return {name: int(finish[run]) for name, finish in self.finishes.items()}

    def critical_in(self, run: int) -> set[str]:
        """Return what is on a chain that sets the finish of one run."""
        return {name for name, marks in self.critical.items() if marks[run]}


class GivenWorks(Luck):
    """Works that are given for every step, whatever the plan says; shape (k, runs)."""

    def __init__(self, model: CourseModel, works: NDArray[np.int32]) -> None:
        super().__init__(model.factors, 1, works.shape[1])
        self._given: dict[int, NDArray[np.int32]] = {
            step.activity: row for step, row in zip(model.steps, works, strict=True)
        }

    def work(self, step: Step) -> NDArray[np.int32]:
        """Return the works of a step."""
        return self._given[step.activity]


def walk_through(planned: Schedule, model: CourseModel, luck: Luck) -> CoreRuns:
    """Have the core walk through a model, and name what comes out."""
    days = horizon_days(planned)
    while True:
        walk = Walk(model, model.tables(days))
        rows = walk.forward(luck, nothing_to_take, nothing_to_report, keep=True)
        try:
            project_finish = walk.project_finish(rows, luck.runs)
            break
        except BeyondTablesError:
            days *= 2
    critical = walk.critical(rows, project_finish)
    names = [planned.activities[step.activity].id for step in model.steps]

    def ticks(row: NDArray[np.int32], origin: int = 0) -> Ints:
        return origin + model.grain * np.broadcast_to(row, (luck.runs,)).astype(np.int64)

    return CoreRuns(
        {name: ticks(rows.work[number]) for number, name in enumerate(names)},
        {
            name: ticks(rows.finish[number].instant, model.origin)
            for number, name in enumerate(names)
        },
        ticks(project_finish, model.origin),
        {name: critical[number] for number, name in enumerate(names)},
    )


def check_runs(plan: Plan, runs: CoreRuns, count: int) -> None:
    """
    Live through some runs slowly, and compare every finish and every chain.

    What is dropped takes part, for it passes on what it waits for, but is not looked at.
    """
    for run in range(count):
        slow = SlowRun(plan, runs.works_of(run))
        expected = {
            name: slow.dates[name].finish
            for name, job in slow.oracle.jobs.items()
            if job.finished is None and not job.dropped
        }
        found = runs.finishes_of(run)
        assert {name: found[name] for name in expected} == expected
        assert int(runs.project_finish[run]) == slow.finish
        assert runs.critical_in(run) & expected.keys() == slow.on_chain()
