"""Networks whose activities follow any distribution, run through the simulation's walk.

A plan knows low, likely and high only. The walk beneath takes a table of equally likely
values for each step, so that merges of uniforms, dice and exponentials can be compared
with their known answers; or the works of each run themselves, so that every case of a
discrete network is run exactly once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.model import ELAPSED
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of
from ribstitch.planning.uncertainty.courses import CourseModel, Draw, Step, Tie
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.runs import Walk, nothing_to_report, nothing_to_take
from ribstitch.planning.uncertainty.shapes import LEVELS_OF_POINTS
from tests.core.making import MONDAY

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Quantile = Callable[[Floats], Floats]

FINE = 6000
"""Grains that stand for one unit of the source."""


@dataclass(frozen=True)
class Drawn:
    """What came out, in units of the source; activities by name, each of shape (runs,)."""

    length: Floats
    work: dict[str, Floats]
    critical: dict[str, Flags]


class Network:
    """Activities in the order of the work, with what comes before each."""

    def __init__(self, before: Mapping[str, str]) -> None:
        self.names = list(before)
        self.before = {name: tuple(before[name]) for name in before}

    def drawn(self, shapes: Mapping[str, Quantile], runs: int, seed: int) -> Drawn:
        """Draw every activity from the quantile function of its distribution."""
        model = self.model(shapes)
        return self._walked(model, Luck(model.factors, seed, runs))

    def enumerated(self, cases: Mapping[str, Floats]) -> Drawn:
        """Run through given works, shape (cases,) for each activity."""
        nothing = np.zeros(LEVELS_OF_POINTS.size)
        model = self._model({name: Draw(name, nothing) for name in self.names})
        return self._walked(model, _GivenWorks(self.names, cases))

    def model(self, shapes: Mapping[str, Quantile]) -> CourseModel:
        """Return the network with what is drawn for each activity."""
        return self._model(
            {name: Draw(name, FINE * shapes[name](LEVELS_OF_POINTS)) for name in self.names}
        )

    def _model(self, draws: Mapping[str, Draw]) -> CourseModel:
        """Return the network on elapsed time."""
        steps = tuple(
            Step(
                activity=number,
                calendar=0,
                work=1,
                starts=tuple(Tie(self.names.index(one)) for one in self.before[name]),
                draw=draws[name],
            )
            for number, name in enumerate(self.names)
        )
        return CourseModel(start_of(MONDAY), 1, (ELAPSED,), steps, {}, 0)

    def _walked(self, model: CourseModel, luck: Luck) -> Drawn:
        """Run the model through."""
        walk = Walk(model, model.tables(1_000_000 // TICKS_PER_DAY))
        rows = walk.forward(luck, nothing_to_take, nothing_to_report, keep=True)
        length = walk.project_finish(rows, luck.runs)
        critical = walk.critical(rows, length)
        return Drawn(
            length / FINE,
            {name: rows.work[number] / FINE for number, name in enumerate(self.names)},
            {name: critical[number] for number, name in enumerate(self.names)},
        )


class _GivenWorks(Luck):
    """No luck at all: the works are given."""

    def __init__(self, names: list[str], cases: Mapping[str, Floats]) -> None:
        super().__init__({}, 1, next(iter(cases.values())).size)
        self._given = [np.rint(FINE * cases[name]).astype(np.int32) for name in names]

    def work(self, step: Step) -> NDArray[np.int32]:
        """Return the works of a step."""
        return self._given[step.activity]


def uniform(low: float, high: float) -> Quantile:
    """Return the quantile function of a uniform distribution."""
    return lambda p: low + (high - low) * p


def discrete(chances: Mapping[float, float]) -> Quantile:
    """Return the quantile function of a few values with their probabilities."""
    values, edges = np.array(list(chances)), np.cumsum(list(chances.values()))
    assert abs(edges[-1] - 1) < 1e-12
    return lambda p: values[np.searchsorted(edges, p).clip(max=values.size - 1)]
