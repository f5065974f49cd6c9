"""What finished work tells of the estimates: the factor common to a zone, to a trade.

The model: work takes its draw from low, likely and high, times a factor of its zone, times
a factor of its trade. Before anything is finished, the logarithm of a factor is normal
(-s^2 / 2, s^2), so that the factor is 1 on average; s is the project's spread of zones or
of trades. Those of two trades are correlated: one shop estimates for all. Finished work
gives

    log(actual) - E log(draw) = zone + trade + noise

with the variance of log(draw), and of the rounding of dates, as noise. All is normal on the
logarithmic scale, so that the posterior is linear algebra (the normal linear model with a
conjugate prior: Gelman et al., Bayesian Data Analysis, chapter 14).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from math import log, sqrt

import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.model import Plan, State, Task, WorkShape
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of, start_of
from ribstitch.planning.uncertainty.hidden_work import hidden_zones
from ribstitch.planning.uncertainty.normal_gamma import Floats

SHORTEST = 2 * TICKS_PER_DAY
"""Work estimated shorter tells nothing: dates are too coarse to measure it. [ticks]"""
UNRANGED_NOISE = 0.35
"""Standard deviation of log(actual / estimate) where no range is given: two in three such
tasks are within 0.7 to 1.4 times the estimate. Own choice, no source."""
FRESH = 0.2
"""Share of a factor's variance that is about the work to come alone: finished work tells
nothing of it. Own choice, no source; checked by tests/bench/calibration.py."""
TRADES_TOGETHER = 0.5
"""Correlation of the factors of two trades of one shop, before anything is finished. Own
choice, no source; checked by tests/bench/calibration.py."""
LEAST_NOISE = 0.15
"""No estimate of one task is closer than this, whatever its range: the standard deviation
of log(actual / estimate). Own choice, no source."""

Factor = tuple[str, str]
"""("zone", id) or ("trade", id)."""


@dataclass(frozen=True, slots=True)
class FactorPace:
    """How one zone or trade does against its estimates."""

    kind: str
    """"zone" or "trade"."""
    id: str
    ratio: float
    """What its work takes on average, in units of the estimate."""
    tasks: int
    """Finished tasks that tell of it."""


@dataclass(frozen=True)
class Pace:
    """
    Joint normal distribution of the logarithms of k factors.

    Attributes
    ----------
    factors
        Zones, then trades, each by id: all that the plan's tasks name.
    mean, covariance
        Of the logarithms, shapes (k,) and (k, k).
    tasks_seen
        How many finished tasks this rests on.
    tasks_of
        How many of them each factor has, shape (k,).
    scatter
        How many times wider people's work scatters than their ranges say, at least 1.
    """

    factors: tuple[Factor, ...]
    mean: Floats = field(repr=False)
    covariance: Floats = field(repr=False)
    tasks_seen: int
    tasks_of: Ints = field(repr=False)
    scatter: float

    @cached_property
    def root(self) -> Floats:
        """
        The lower triangular L with L L' the covariance, shape (k, k).

        Row i is the loading of factor i on independent standard normals; a factor without
        spread has none.
        """
        root = np.zeros_like(self.covariance)
        free = np.flatnonzero(np.diagonal(self.covariance) > 0)
        block = np.ix_(free, free)
        root[block] = np.linalg.cholesky(self.covariance[block])
        return root

    @property
    def summary(self) -> tuple[FactorPace, ...]:
        """What each factor is on average, and from how many tasks."""
        averages = np.exp(self.mean + np.diagonal(self.covariance) / 2)
        return tuple(
            FactorPace(kind, name, float(ratio), int(tasks))
            for (kind, name), ratio, tasks in zip(
                self.factors, averages, self.tasks_of, strict=True
            )
        )


def pace_of(plan: Plan, prepared: Prepared) -> Pace:
    """
    Return what the plan's finished tasks tell of its zones and trades.

    Parameters
    ----------
    plan
        A plan that `check_plan` accepts.
    prepared
        The same plan made ready.

    Notes
    -----
    With L L' the covariance before, H the tasks' zones and trades (0 or 1) and R their
    noise, covariance = L (1 + L' H' R^-1 H L)^-1 L' and mean = prior + covariance H' R^-1
    (y - H prior): the usual posterior, written so that a spread of 0 is no special case.

    People give ranges that are too narrow, and dates also hold waiting, interruptions and
    slips of the pen. Where finished tasks scatter about the posterior more than their noise
    allows (chi squared over its degrees of freedom above 1), all noise is raised by that
    ratio and the posterior taken again: R. T. Birge, Physical Review 40, 207 (1932).

    The covariance returned is that of work to come: of the variance before, a share `FRESH`
    is of each stretch of work its own, so that finished work tells of the rest alone, and is
    added again afterwards.
    """
    factors = _factors(plan)
    before = _root_before(plan, factors)
    seen = list(_finished(plan, prepared))
    place = {factor: number for number, factor in enumerate(factors)}
    touches = np.zeros((len(seen), len(factors)))
    for row, one in enumerate(seen):
        for factor in _factors_of(one.task):
            touches[row, place[factor]] = 1.0
    over = np.array([one.over for one in seen], dtype=np.float64)
    noise = np.array([one.variance for one in seen], dtype=np.float64)
    lasting = sqrt(1 - FRESH) * before
    prior = -(before**2).sum(axis=1) / 2
    mean, covariance = _posterior(prior, lasting, touches, over, noise)
    excess = 1.0
    if seen:
        left = ((over - touches @ mean) ** 2 / noise).sum()
        free = len(seen) - (((touches @ covariance) * touches).sum(axis=1) / noise).sum()
        excess = max(1.0, float(left / free))
        mean, covariance = _posterior(prior, lasting, touches, over, noise * excess)
    covariance += FRESH * before @ before.T
    counts = touches.sum(axis=0).astype(np.int64)
    return Pace(factors, mean, covariance, len(seen), counts, sqrt(excess))


def _root_before(plan: Plan, factors: tuple[Factor, ...]) -> Floats:
    """Return L with L L' the covariance of the logarithms before anything is finished."""
    spreads = {"zone": plan.project.zone_spread, "trade": plan.project.trade_spread}
    spread = np.array([spreads[kind] for kind, _ in factors], dtype=np.float64)
    is_trade = np.array([kind == "trade" for kind, _ in factors], dtype=bool)
    together = np.eye(len(factors))
    together[np.ix_(is_trade, is_trade)] += TRADES_TOGETHER
    together[is_trade, is_trade] = 1.0
    root: Floats = spread[:, None] * np.linalg.cholesky(together)
    return root


def _posterior(
    prior: Floats, before: Floats, touches: Floats, over: Floats, noise: Floats
) -> tuple[Floats, Floats]:
    """
    Return mean and covariance of the factors' logarithms, shapes (k,) and (k, k).

    Parameters
    ----------
    prior, before
        Their mean before, shape (k,), and a root of their covariance, shape (k, k).
    touches
        1 where a task has a factor, shape (n, k).
    over, noise
        Each task's logarithm of actual over estimate, and its variance, shape (n,).
    """
    weighted = touches.T / noise
    inner = np.eye(len(before)) + before.T @ (weighted @ touches) @ before
    covariance: Floats = before @ np.linalg.inv(inner) @ before.T
    covariance = (covariance + covariance.T) / 2
    mean: Floats = prior + covariance @ (weighted @ (over - touches @ prior))
    return mean, covariance


def log_moments(low: float, likely: float, high: float, shape: WorkShape) -> tuple[float, float]:
    """
    Return mean and variance of the logarithm of work, to second order.

    With mean m and variance v of the work itself: log m - v / (2 m^2) and v / m^2 (the
    delta method). PERT: m = (a + 4c + b) / 6, v = (m - a)(b - m) / 7, the variance of the
    beta distribution meant; triangle: m = (a + c + b) / 3, v = (a^2 + c^2 + b^2 - ac - ab -
    cb) / 18.
    """
    if shape is WorkShape.PERT:
        mean = (low + 4 * likely + high) / 6
        variance = (mean - low) * (high - mean) / 7
    else:
        mean = (low + likely + high) / 3
        variance = ((likely - low) ** 2 + (high - likely) * (high - low)) / 18
    relative = variance / mean**2
    return log(mean) - relative / 2, relative


def _factors(plan: Plan) -> tuple[Factor, ...]:
    """Return all zones and trades that tasks name: zones first, each by id."""
    found = {factor for task in plan.tasks for factor in _factors_of(task)}
    return tuple(sorted(found, key=lambda factor: (factor[0] == "trade", factor[1])))


def _factors_of(task: Task) -> Iterator[Factor]:
    """Yield the factors that a task has."""
    if task.zone is not None:
        yield "zone", task.zone
    if task.trade is not None:
        yield "trade", task.trade


@dataclass(frozen=True, slots=True)
class _Finished:
    """A finished task: log(actual) - E log(draw), and the variance of that."""

    task: Task
    over: float
    variance: float


def _finished(plan: Plan, prepared: Prepared) -> Iterator[_Finished]:
    """
    Yield the finished tasks that tell something.

    An actual start counts from the start of its date and a finish to the end of its date,
    but where a linked task has finished (or begun) on the same date, the date is shared:
    half of it is counted, and of a single date never less than a third, the mean distance
    of two instants in it. Either way an end is known to its date only, which adds a
    twelfth of its square to the variance of the actual work.
    """
    hidden = hidden_zones(plan, prepared)
    tasks = [task for task in plan.tasks if _is_telling(task) and task.id not in hidden]
    if not tasks:
        return
    network = prepared.network
    on = network.on[np.array([prepared.rank(task.id) for task in tasks], dtype=np.int64)]

    def worked_before(instants: list[int]) -> Ints:
        return network.tables.work_before(on, np.array(instants, dtype=np.int64) - network.origin)

    began = [task.status.started or plan.project.start for task in tasks]
    ended = [task.status.finished or plan.project.as_of for task in tasks]
    start = worked_before([start_of(day) for day in began])
    end = worked_before([end_of(day) for day in ended])
    first = worked_before([end_of(day) for day in began]) - start
    last = end - worked_before([start_of(day) for day in ended])
    shared_first, shared_last = _shared_dates(plan)
    for number, task in enumerate(tasks):
        counted = float(end[number] - start[number])
        if counted <= 0:
            continue
        shared = first[number] * (task.id in shared_first) + last[number] * (task.id in shared_last)
        spent = max(counted - shared / 2, counted / 3)
        rounding = float(first[number] ** 2 + last[number] ** 2) / 12
        expected, own = _expected(task, plan.project.work_shape)
        yield _Finished(task, log(spent) - expected, own + rounding / spent**2)


def _is_telling(task: Task) -> bool:
    """Return whether a task's dates tell how long it took against its estimate."""
    status = task.status
    dated = status.started is not None and status.finished is not None
    long_enough = task.duration >= SHORTEST and task.milestone is None
    named = task.zone is not None or task.trade is not None
    return status.state is State.DONE and dated and long_enough and named


def _expected(task: Task, shape: WorkShape) -> tuple[float, float]:
    """Return mean and variance of the logarithm of a task's estimate."""
    if task.duration_range is None or task.duration_range[2] == 0:
        return log(task.duration), UNRANGED_NOISE**2
    mean, variance = log_moments(*task.duration_range, shape)
    return mean, max(variance, LEAST_NOISE**2)


def _shared_dates(plan: Plan) -> tuple[set[str], set[str]]:
    """Return the tasks that began on the date a linked one finished, and the latter."""
    status = {task.id: task.status for task in plan.tasks}
    shared = [
        link
        for link in plan.links
        if status[link.before].finished is not None
        and status[link.before].finished == status[link.after].started
    ]
    return {link.after for link in shared}, {link.before for link in shared}
