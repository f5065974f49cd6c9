"""Any number of runs of a model, and what they say together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.errors import HorizonError
from ribstitch.planning.ticks import date_at
from ribstitch.planning.uncertainty.courses import CourseModel
from ribstitch.planning.uncertainty.grains import Ints32
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.results import LEVELS, Floats, percentile_place
from ribstitch.planning.uncertainty.runs import (
    BeyondTablesError,
    Progress,
    Walk,
    nothing_to_report,
)

Result = TypeVar("Result")

MOST_YEARS = 300
MOST_DAYS = 366 * MOST_YEARS
"""No course goes on for longer."""

_FORWARD_SHARE = 0.9
"""Of all time, what the way forward takes."""


@dataclass(frozen=True, slots=True)
class Questions:
    """
    What to find out on the way about steps, by number.

    Attributes
    ----------
    limits
        Instants by which some steps should be over. [grains]
    groups
        Groups of steps of which to count the runs in which any is critical.
    weights
        Weights of steps' work, by name, to be added up in each run.
    """

    limits: Mapping[int, int] = field(default_factory=dict)
    groups: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    weights: Mapping[str | None, Mapping[int, float]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Courses:
    """
    What R runs of a model with k steps say. [grains]

    Attributes
    ----------
    project_finish
        Of each run, shape (R,).
    percentiles
        Of the finish of each step at each of `LEVELS`, shape (k, 4).
    critical
        In how many runs each step is on a chain that sets the finish, shape (k,).
    met
        In how many runs each limit is kept, by step.
    critical_together
        In how many runs any step of a group is on such a chain, by group.
    sums
        Weighted work of each run, by name, shape (R,).
    """

    project_finish: Ints32
    percentiles: Ints32
    critical: Ints
    met: Mapping[int, int]
    critical_together: Mapping[str, int]
    sums: Mapping[str | None, Floats]


def run_courses(
    model: CourseModel,
    *,
    runs: int,
    seed: int,
    horizon_days: int = 3660,
    questions: Questions | None = None,
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
    questions
        What else to find out.
    on_progress
        Told the share that is done; what it raises ends the runs.

    Raises
    ------
    HorizonError
        If some run does not end within 300 years.
    """
    asked = questions or Questions()
    luck = Luck(model.factors, seed, runs, model.unit)
    return on_long_enough_calendars(
        model, horizon_days, lambda walk: _Answers(walk, runs, asked).of(luck, on_progress)
    )


def on_long_enough_calendars(
    model: CourseModel, horizon_days: int, go: Callable[[Walk], Result]
) -> Result:
    """
    Go through a model with calendars over so many days, or twice as many, until all fits.

    Raises
    ------
    HorizonError
        If some run does not end within 300 years.
    """
    while True:
        try:
            return go(Walk(model, model.tables(horizon_days)))
        except BeyondTablesError:
            if horizon_days >= MOST_DAYS:
                raise HorizonError(date_at(model.origin).year + MOST_YEARS) from None
            horizon_days *= 2


class _Answers:
    """What is found out on the way through the steps, each time one has been run."""

    def __init__(self, walk: Walk, runs: int, asked: Questions) -> None:
        self.walk, self.runs, self.asked = walk, runs, asked
        self.places = [percentile_place(level, runs) for level in LEVELS]
        self.cuts = list(_cuts(0, runs, self.places))
        self.percentiles = np.empty((len(walk.steps), len(LEVELS)), dtype=np.int32)
        self.ordered = np.empty(runs, dtype=np.int32)
        self.met = dict.fromkeys(asked.limits, 0)
        self.sums = {name: np.zeros(runs) for name in asked.weights}

    def of(self, luck: Luck, on_progress: Progress) -> Courses:
        """Run through all steps."""
        walk = self.walk
        rows = walk.forward(luck, self.take, lambda share: on_progress(_FORWARD_SHARE * share))
        project_finish = walk.project_finish(rows, self.runs)
        on_progress(_FORWARD_SHARE)
        marks = walk.critical(rows, project_finish)
        together = {
            name: int(np.count_nonzero(np.logical_or.reduce(marks[list(steps)], axis=0)))
            for name, steps in self.asked.groups.items()
        }
        on_progress(1.0)
        return Courses(
            project_finish,
            self.percentiles,
            np.array([np.count_nonzero(mark) for mark in marks], dtype=np.int64),
            self.met,
            together,
            self.sums,
        )

    def take(self, number: int, finish: Ints32, work: Ints32) -> None:
        """Answer what is asked about a step."""
        if number in self.asked.limits:
            instants = self.walk.instants(number, finish)
            self.met[number] = int(np.count_nonzero(instants <= self.asked.limits[number]))
        for name, weights in self.asked.weights.items():
            if number in weights:
                self.sums[name] += weights[number] * work
        ordered = self.ordered
        np.copyto(ordered, finish)
        for first, last, place in self.cuts:
            ordered[first:last].partition(place - first)
        self.percentiles[number] = self.walk.instants(number, ordered[self.places])


def _cuts(first: int, last: int, places: Sequence[int]) -> Iterator[tuple[int, int, int]]:
    """
    Yield which parts to partition at which place, from the middle outwards.

    After that, values stand at all `places` as if everything were sorted, in half the time.
    """
    if places:
        middle = places[len(places) // 2]
        yield first, last, middle
        yield from _cuts(first, middle, [place for place in places if place < middle])
        yield from _cuts(middle + 1, last, [place for place in places if place > middle])
