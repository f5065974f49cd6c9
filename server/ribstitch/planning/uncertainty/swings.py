"""How far each source of uncertainty swings the finish, read off the runs that there are.

Each source has a measure of how badly it went in each run. The tenth of the runs in which it
went best and the tenth in which it went worst are held against all runs: nothing is simulated
anew. Where the measure ties across the edge of a tenth, the tied runs share what is left of
it. A risk strikes or does not: its ends are all runs without and all with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt

import numpy as np

from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.causes import sources_of
from ribstitch.planning.uncertainty.courses import CourseModel, Source
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.results import Floats, Simulation
from ribstitch.planning.uncertainty.sources import model_of

TENTH = 0.1
"""Share of the runs at each end."""

_RARE = 0.005
"""What is on a chain to the finish in fewer runs than this swings nothing worth a line."""

_MOST_TASKS = 150
"""Single tasks that are looked at: those that are on such a chain most often."""


@dataclass(frozen=True, slots=True)
class Swing:
    """
    The finish where one source goes best and worst: the tenth of the runs at each end.

    Of a risk, the runs without it and those with it. Days are calendar days of the mean
    finish against the mean of all runs; best is mostly negative, sooner.
    """

    kind: str
    id: str
    """Both as in `Cause`."""
    best_days: float
    worst_days: float
    standard_error_days: float
    """Of the less certain of the two."""
    worst_more: float | None
    """How much longer than planned the source took in its worst tenth, on average: days of
    work, or a share for a zone and a trade; None for a risk."""

    @property
    def width_days(self) -> float:
        """How far the two ends lie apart."""
        return self.worst_days - self.best_days


def find_swings(simulation: Simulation) -> tuple[Swing, ...]:
    """
    Return how far the sources of a plan's uncertainty swing its finish, the widest first.

    The draws of each source are made again from the seed: the same ones, in the same runs.
    Sources that touch the chain to the finish in hardly any run are left out.
    """
    planned = simulation.planned
    model = model_of(planned)
    luck = Luck(model.factors, simulation.seed, simulation.runs, model.unit)
    days = (simulation.finish - simulation.finish.mean()) / TICKS_PER_DAY
    found = swings_of(
        _worth_a_look(sources_of(planned, model), model, simulation), model, luck, days
    )
    return tuple(sorted(found, key=lambda one: (-one.width_days, one.kind, one.id)))


def swings_of(
    sources: Iterable[Source], model: CourseModel, luck: Luck, days: Floats
) -> Iterator[Swing]:
    """
    Yield how far sources swing the finish, without those that go alike in all runs.

    Parameters
    ----------
    sources
        The sources.
    model, luck
        What the runs went through, and what was drawn for them.
    days
        Project finish of each run against the mean of all, shape (R,). [days]
    """
    for source in sources:
        measure = _measure(source, model, luck)
        if measure.min() == measure.max():
            continue
        is_risk = source.kind == "risk"
        if is_risk:
            best, worst = (np.asarray(one / one.sum()) for one in (measure == 0, measure > 0))
        else:
            best, worst = lowest_tenth(measure), lowest_tenth(-measure)
        yield Swing(
            kind=source.kind,
            id=source.id,
            best_days=float(best @ days),
            worst_days=float(worst @ days),
            standard_error_days=max(_error(best, days), _error(worst, days)),
            worst_more=None if is_risk else float(worst @ _length(source, model, luck)),
        )


def lowest_tenth(measure: Floats) -> Floats:
    """
    Return the weight of each run in the tenth with the lowest measure, shape (R,).

    The weights add up to 1; runs of one measure have one weight.
    """
    wanted = TENTH * measure.size
    _, place, count = np.unique(measure, return_inverse=True, return_counts=True)
    before = np.cumsum(count) - count
    share = np.clip(wanted - before, 0, count) / count
    return np.asarray(share[place] / wanted)


def _worth_a_look(
    sources: Iterable[Source], model: CourseModel, simulation: Simulation
) -> Iterator[Source]:
    """Yield the sources that matter, of single tasks those that do most often."""
    tasks = []
    for source in sources:
        touched = [model.steps[number].activity for number in source.steps]
        often = float(simulation.criticality[touched].max()) if touched else 1.0
        if often >= _RARE and source.drawn is None:
            yield source
        elif often >= _RARE:
            tasks.append((often, source))
    tasks.sort(key=lambda one: -one[0])
    yield from (source for _, source in tasks[:_MOST_TASKS])


def _measure(source: Source, model: CourseModel, luck: Luck) -> Floats:
    """Return how badly a source went in each run, shape (R,)."""
    if source.factors:
        return np.asarray(luck.product(tuple(sorted(source.factors))), dtype=float)
    if source.drawn is not None:
        draw = model.steps[source.drawn].draw
        if draw is None or draw.table[0] == draw.table[-1]:
            return np.zeros(luck.runs)
        return luck.places(draw).astype(float)
    if source.kind == "risk":
        return _struck(source, model, luck)
    return _work_of(source, model, luck)


def _length(source: Source, model: CourseModel, luck: Luck) -> Floats:
    """Return by how much a source took longer than planned in each run: days, or a share."""
    if source.factors:
        return np.asarray(luck.product(tuple(sorted(source.factors))) - 1.0, dtype=float)
    planned = sum(model.steps[number].work for number in source.steps)
    return (_work_of(source, model, luck) - planned) * (model.grain / TICKS_PER_DAY)


def _work_of(source: Source, model: CourseModel, luck: Luck) -> Floats:
    """Return the drawn work of a source's steps, second trips among them. [grains]"""
    total = np.zeros(luck.runs)
    for number in source.steps:
        step = model.steps[number]
        total += step.work if step.draw is None else luck.drawn(step.draw)
        trip = step.second_trip
        if trip is not None:
            struck = luck.struck(trip.name, trip.probability)
            for place, (_, table) in enumerate(trip.legs):
                total[struck] += luck.take(f"{trip.name}/{place}", table)[struck]
    return total


def _struck(source: Source, model: CourseModel, luck: Luck) -> Floats:
    """Return 1 for the runs in which a risk strikes, else 0."""
    name, found = f"risk/{source.id}", np.zeros(luck.runs)
    for number in source.steps:
        for risk in model.steps[number].risks:
            if risk.id == name:
                found[luck.struck(f"{risk.id}/strikes", risk.probability)] = 1
    return found


def _error(weights: Floats, days: Floats) -> float:
    """Return the sampling error of a weighted mean."""
    away = days - weights @ days
    return sqrt(float((weights**2) @ away**2))
