"""What a simulation finds: dates with their chances, and how sure these figures are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.calendars import Ints
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of

Floats = NDArray[np.float64]

LEVELS = (10, 50, 80, 90)
"""The percentiles that are kept of every date."""


@dataclass(frozen=True, slots=True)
class Chance:
    """A probability found by counting runs, with its sampling error."""

    probability: float
    standard_error: float

    @staticmethod
    def of(hits: int, runs: int) -> Chance:
        """
        Count `hits` of `runs`.

        The standard error is that of a proportion with one hit and one miss added, so
        that "never" and "always" are not taken for certainties.
        """
        careful = (hits + 1) / (runs + 2)
        return Chance(hits / runs, sqrt(careful * (1 - careful) / runs))


@dataclass(frozen=True, slots=True)
class Spread:
    """Dates before which something ends with a chance of 10, 50, 80 and 90 in 100."""

    p10: date
    p50: date
    p80: date
    p90: date


@dataclass(frozen=True)
class Simulation:
    """
    Many possible courses of one plan; arrays of instants in ticks.

    Attributes
    ----------
    planned
        The schedule if everything goes as written.
    runs, seed
        How many courses were drawn, from which seed.
    finish
        Project finish of each run, in the order of the runs, shape (runs,).
    percentile_finishes
        Finish of each activity (in order of entry) at each of `LEVELS`, shape (n, 4).
    criticality
        Share of the runs in which each activity is on a chain that sets the project
        finish; ties count for every chain, and dropped work for none. Shape (n,).
    vendor_criticality
        Share of the runs in which some leg of the vendor's work (intake to leaving) is.
    met_deadlines
        Share of the runs in which each task with a deadline keeps it, by task.
    crew_hours
        Person-hours of unfinished work by trade, shape (runs,); None stands for work
        without a trade.
    """

    planned: Schedule
    runs: int
    seed: int
    finish: Ints = field(repr=False)
    percentile_finishes: Ints = field(repr=False)
    criticality: Floats = field(repr=False)
    vendor_criticality: Mapping[str, float]
    met_deadlines: Mapping[str, Chance]
    crew_hours: Mapping[str | None, Floats] = field(repr=False)

    @property
    def prepared(self) -> Prepared:
        """The plan made ready, which knows activities and ids."""
        return self.planned.prepared

    @cached_property
    def ordered_finish(self) -> Ints:
        """Project finishes from the earliest to the latest, shape (runs,)."""
        return np.sort(self.finish)

    def finish_at(self, percent: float) -> date:
        """Return the date by which the project is finished in `percent` of 100 runs."""
        return self.planned.project_finish_on(
            int(self.ordered_finish[percentile_place(percent, self.runs)])
        )

    @property
    def finish_spread(self) -> Spread:
        """The project finish at the usual levels."""
        return Spread(*(self.finish_at(level) for level in LEVELS))

    def spread_of(self, activity_id: str) -> Spread:
        """Return the finish of an activity at the usual levels."""
        number = self.planned.number(activity_id)
        row = self.percentile_finishes[number].tolist()
        return Spread(*(self.planned.shown_finish(number, instant) for instant in row))

    def standard_error_days(self, percent: float) -> float:
        """
        Return the sampling error of a percentile of the project finish. [days]

        Half the width of the distribution-free one-sigma interval between the order
        statistics at N p +- sqrt(N p (1 - p)).
        """
        middle = percent / 100 * self.runs
        reach = sqrt(middle * (1 - percent / 100))
        low = max(int(middle - reach), 0)
        high = min(int(middle + reach), self.runs - 1)
        return float(self.ordered_finish[high] - self.ordered_finish[low]) / 2 / TICKS_PER_DAY

    def finished_by(self, day: date) -> NDArray[np.bool_]:
        """
        Return in which runs the project is finished on a date or before, shape (runs,).

        What is still open is finished on the as-of date at the earliest, even where no
        work is left.
        """
        if day < self.planned.project_finish_on(int(self.ordered_finish[0])):
            return np.zeros(self.runs, dtype=bool)
        return np.asarray(self.finish <= end_of(day))

    def chance_by(self, day: date) -> Chance:
        """Return the chance that the project is finished on a date or before."""
        return Chance.of(int(np.count_nonzero(self.finished_by(day))), self.runs)


def percentile_place(percent: float, runs: int) -> int:
    """Return where the percentile stands among ordered runs: the smallest that reaches it."""
    return min(max(int(np.ceil(percent / 100 * runs)) - 1, 0), runs - 1)


@dataclass(frozen=True, slots=True)
class Cause:
    """
    One source of uncertainty, and what it does to the project finish.

    `gain_days` is how much earlier the finish would come on average (calendar days) if
    this source went exactly as planned and all else as drawn; negative where the plan is
    more careful than what is likely. `rank_correlation` is Spearman's, with the finish;
    None for a source of several draws.
    """

    kind: str
    """"task", "send_out", "vendor", "zone", "trade" or "risk"."""
    id: str
    gain_days: float
    standard_error_days: float
    rank_correlation: float | None
    criticality: float
    """Share of the runs in which what it touches is on a chain that sets the finish."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A case against the plan, run by run on the same draws. Calendar days; plus is later."""

    mean_days: float
    standard_error_days: float
    p10_days: float
    p50_days: float
    p90_days: float
    later: Chance
    """How often the case is later than the plan."""


def compare_runs(plan: Simulation, case: Simulation) -> Moved:
    """
    Compare two simulations of the same seed and number of runs, run by run.

    Raises
    ------
    ValueError
        If they were not drawn alike.
    """
    if (plan.runs, plan.seed) != (case.runs, case.seed):
        raise ValueError("only simulations of one seed and number of runs can be paired")
    moved = (case.finish - plan.finish) / TICKS_PER_DAY
    low, middle, high = np.quantile(moved, [0.1, 0.5, 0.9]).tolist()
    return Moved(
        float(moved.mean()),
        float(moved.std(ddof=1) / sqrt(plan.runs)) if plan.runs > 1 else 0.0,
        low,
        middle,
        high,
        Chance.of(int((moved > 0).sum()), plan.runs),
    )
