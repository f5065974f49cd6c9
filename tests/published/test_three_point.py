"""Low, likely, high: what is drawn from three estimates, alone, in a chain, in a network.

The shapes are compared with scipy's beta and triangular distributions. Of the classic
PERT method (Malcolm, Roseboom, Clark & Fazar, Operations Research 7(5), 1959) the means
(a + 4m + b) / 6 must come out. Its variance ((b - a) / 6)^2 must not: a beta distribution
with that mean has (mean - a)(b - mean) / 7. Nor must its normal end: a chain of tasks is
compared with the exact sum of betas, found by convolution, and a network with a million
runs drawn the plain way, because a network's mean is later than that of its longest path.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from ribstitch.planning.model import Link, Plan, Task, WorkShape
from ribstitch.planning.schedule import schedule
from ribstitch.planning.uncertainty import Simulation, simulate
from tests.core.making import ticks
from tests.core.making_uncertain import follow, lengths, plain_days, ranged
from tests.published.sampling import (
    ERRORS,
    SEEDS,
    check_mean,
    check_no_bias,
    check_quantile,
    check_share,
    check_variance,
)
from tests.published.three_point import (
    PERT_1,
    PERT_2,
    PERT_3,
    REFERENCE_RUNS,
    ManyRuns,
    ThreePoint,
    beta_of,
    many_runs,
    sum_of,
)

RUNS = 20_000
UNIT = 10
"""Elapsed days that stand for one unit of time of the source, so that rounding drawn work
to a part of a day is far finer than what is compared."""

Range = tuple[float, float, float]

PERT_SHAPES: dict[Range, tuple[float, ...]] = {
    (1, 2, 9): (3, 12 / 7, 1.478469, 2.768959, 4.102761, 4.871226),
    (10, 20, 60): (25, 75, 14.495107, 23.833613, 32.512931, 37.266703),
    (4, 4, 10): (5, 5 / 7, 4.125110, 4.776697, 5.651322, 6.214256),
    (3, 9, 9): (8, 5 / 7, 6.785744, 8.223303, 8.738115, 8.874890),
    (2, 5, 8): (5, 9 / 7, 3.479819, 5, 6.040412, 6.520181),
}
"""PERT-4. Mean, variance, P10, P50, P80, P90 of the modified beta; from scipy.stats.beta."""

TRIANGLES: dict[Range, tuple[float, ...]] = {
    (1, 2, 9): (4, 19 / 6, 1.894427, 3.708497, 5.653360, 6.633568),
    (10, 20, 60): (30, 350 / 3, 17.071068, 28.377223, 40, 45.857864),
    (0, 0, 3): (1, 0.5, 0.153950, 0.878680, 1.658359, 2.051317),
    (2, 5, 8): (5, 1.5, 3.341641, 5, 6.102633, 6.658359),
}
"""PERT-5. The same of the triangle, by its closed form."""


def one_task(of: Range, shape: WorkShape = WorkShape.PERT) -> Plan:
    """Return a plan of a single task; a unit of the estimate is ten elapsed days."""
    low, likely, high = (UNIT * one for one in of)
    task = ranged("A", low, likely, high)
    if likely == 0:  # a task planned without duration would be a milestone
        task = replace(task, duration=ticks(high))
    return plain_days([task], shape=shape)


def network_plan(network: ThreePoint) -> Plan:
    """Return a printed network as a plan."""
    tasks = [
        ranged(name, UNIT * low, UNIT * likely, UNIT * high)
        for name, (low, likely, high) in network.estimates.items()
    ]
    links = [Link(one, name) for name, before in network.before.items() for one in before]
    return plain_days(tasks, links)


def chain_plan(network: ThreePoint, path: str) -> Plan:
    """Return one path of a network as a plan of its own."""
    tasks = [ranged(name, *(UNIT * one for one in network.estimates[name])) for name in path]
    return plain_days(tasks, [Link(a, b) for a, b in pairwise(path)])


def mean_of(of: Range) -> float:
    """Return the classic mean."""
    low, likely, high = of
    return (low + 4 * likely + high) / 6


def variance_of(of: Range) -> float:
    """Return the variance of the modified beta."""
    low, _, high = of
    return (mean_of(of) - low) * (high - mean_of(of)) / 7


@pytest.mark.parametrize("of", PERT_SHAPES)
def test_printed_moments_and_quantiles_are_those_of_scipys_beta(of: Range) -> None:
    """The reference itself, before anything is compared with it."""
    mean, variance, *quantiles = PERT_SHAPES[of]
    exact = beta_of(*of)
    assert (exact.mean(), exact.var()) == pytest.approx((mean, variance), rel=1e-12)
    assert (mean_of(of), variance_of(of)) == pytest.approx((mean, variance), rel=1e-12)
    assert exact.ppf([0.1, 0.5, 0.8, 0.9]) == pytest.approx(quantiles, abs=1e-6)


@pytest.mark.parametrize("of", PERT_SHAPES)
def test_drawn_work_is_a_modified_beta(of: Range) -> None:
    """PERT-4 within four standard errors, and at no quantile anything else."""
    mean, variance, *quantiles = PERT_SHAPES[of]
    exact = beta_of(*of)
    drawn = lengths(simulate(one_task(of), runs=RUNS, seed=4)) / UNIT
    check_mean(drawn, mean, variance)
    check_variance(drawn, variance, float(exact.stats("k")) + 3)
    for p, quantile in zip((0.1, 0.5, 0.8, 0.9), quantiles, strict=True):
        check_quantile(drawn, p, quantile, float(exact.pdf(quantile)))
    assert drawn.min() >= of[0]
    assert drawn.max() <= of[2]


@pytest.mark.parametrize("of", TRIANGLES)
def test_drawn_work_is_a_triangle_where_the_project_says_so(of: Range) -> None:
    """PERT-5 within four standard errors."""
    mean, variance, *quantiles = TRIANGLES[of]
    low, likely, high = of
    exact = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
    assert exact.ppf([0.1, 0.5, 0.8, 0.9]) == pytest.approx(quantiles, abs=1e-6)
    drawn = lengths(simulate(one_task(of, WorkShape.TRIANGULAR), runs=RUNS, seed=5)) / UNIT
    check_mean(drawn, mean, variance)
    check_variance(drawn, variance, 2.4)  # of every triangle
    for p, quantile in zip((0.1, 0.5, 0.8, 0.9), quantiles, strict=True):
        check_quantile(drawn, p, quantile, float(exact.pdf(quantile)))
    assert drawn.min() >= low
    assert drawn.max() <= high


@pytest.mark.parametrize("of", [(1, 2, 9), (10, 20, 60), (4, 4, 10), (3, 9, 9)])
def test_variance_is_not_that_of_the_classic_formula(of: Range) -> None:
    """PERT-4: ((b - a) / 6)^2 lies outside eight standard errors of what is drawn."""
    low, _, high = of
    classic = ((high - low) / 6) ** 2
    drawn = lengths(simulate(one_task(of), runs=200_000, seed=6)) / UNIT
    kurtosis = float(beta_of(*of).stats("k")) + 3
    check_variance(drawn, variance_of(of), kurtosis)
    error = variance_of(of) * sqrt((kurtosis - 1) / drawn.size)
    assert abs(drawn.var() - classic) > 2 * ERRORS * error


@pytest.mark.parametrize("shape", WorkShape)
def test_many_seeds_show_no_bias_and_the_scatter_that_theory_asks_for(shape: WorkShape) -> None:
    """Means of 25 seeds of a skewed task: a lucky seed hides nothing here."""
    of = (1, 2, 9)
    figures = PERT_SHAPES if shape is WorkShape.PERT else TRIANGLES
    mean, variance = figures[of][:2]
    made = one_task(of, shape)
    means = [float(lengths(simulate(made, runs=4_000, seed=seed)).mean()) / UNIT for seed in SEEDS]
    check_no_bias(means, mean, variance, 4_000)


PATHS = {
    "PERT-1": (PERT_1, "ABCEFJLN", 44.0, 47.0),
    "PERT-1, through D": (PERT_1, "ABCDGHM", 40.0, 47.0),
    "PERT-2": (PERT_2, "ACEGH", 15.0, 16.0),
    "PERT-3": (PERT_3, "ACDGHIL", 260.0, 270.0),
}
"""Network, path, its printed mean, the date of the printed probability."""


@pytest.mark.parametrize("name", PATHS)
def test_chain_of_tasks_is_the_sum_of_its_betas(name: str) -> None:
    """
    The printed mean of the path comes out; the chance of the printed date is the exact one.

    The chance in print (0.84, 0.7157, 0.7123) is that of a normal with classic variance;
    the exact sum of betas is another number, by up to 0.02, and that is what must come out.
    """
    network, path, printed_mean, day = PATHS[name]
    estimates = [network.estimates[one] for one in path]
    variance = sum(variance_of(one) for one in estimates)
    assert sum(mean_of(one) for one in estimates) == pytest.approx(printed_mean)
    drawn = lengths(simulate(chain_plan(network, path), runs=RUNS, seed=1)) / UNIT
    check_mean(drawn, printed_mean, variance)
    check_variance(drawn, variance, 3.0)
    check_share(float((drawn <= day).sum()), RUNS, sum_of(estimates).chance_by(day))


NETWORKS = {
    "PERT-1": (PERT_1, 47.0),
    "PERT-2": (PERT_2, 16.0),
    "PERT-3": (PERT_3, 270.0),
}
"""Network, the date of the printed probability."""


@cache
def reference(name: str) -> ManyRuns:
    """Return the plain million runs of a network, drawn once."""
    return many_runs(NETWORKS[name][0], seed=20_26)


@cache
def simulated(name: str) -> Simulation:
    """Return the simulation of a network."""
    return simulate(network_plan(NETWORKS[name][0]), runs=RUNS, seed=1)


@pytest.mark.parametrize("name", NETWORKS)
def test_network_agrees_with_a_million_plain_runs(name: str) -> None:
    """Mean, variance, percentiles and the printed date; both sides' sampling errors allowed."""
    network, day = NETWORKS[name]
    found, exact = lengths(simulated(name)) / UNIT, reference(name)
    both = sqrt(1 + RUNS / REFERENCE_RUNS)
    variance = float(exact.length.var())
    check_mean(found, float(exact.length.mean()), variance, ERRORS * both)
    check_variance(found, variance, exact.kurtosis)
    for p in (0.1, 0.5, 0.8, 0.9):
        quantile = float(np.quantile(exact.length, p))
        check_quantile(found, p, quantile, exact.density_at(p) / both)
    chance = float((exact.length <= day).mean())
    check_share(float((found <= day).sum()), RUNS, chance, ERRORS * both)
    assert network.estimates.keys() == simulated(name).prepared.number.keys()


@pytest.mark.parametrize("name", NETWORKS)
def test_network_is_later_than_its_longest_path(name: str) -> None:
    """
    On the same draws no run ends before the path does, and their mean is later.

    The printed methods leave this merge bias out; here it is told from zero by more than
    four standard errors of the difference.
    """
    network, path, _, _ = PATHS[name]
    whole = lengths(simulated(name))
    later = whole - lengths(simulate(chain_plan(network, path), runs=RUNS, seed=1))
    assert later.min() >= 0
    assert later.mean() > ERRORS * later.std() / sqrt(RUNS)


@pytest.mark.parametrize("name", NETWORKS)
def test_criticality_agrees_with_total_floats_of_a_million_plain_runs(name: str) -> None:
    """Within three standard errors of both; the reference counts runs without total float."""
    result, exact = simulated(name), reference(name)
    both = sqrt(1 + RUNS / REFERENCE_RUNS)
    for activity, share in exact.criticality.items():
        index = float(result.criticality[result.prepared.number[activity]])
        error = sqrt(max(share * (1 - share), 1 / RUNS) / RUNS)
        assert abs(index - share) <= 3 * both * error, (activity, index, share)


def test_every_run_lies_between_the_optimistic_and_the_pessimistic_path() -> None:
    """PERT-1: 26 weeks if all goes best, 70 if all goes worst (through D-G-H-M)."""
    found = lengths(simulated("PERT-1")) / UNIT
    assert 26 < found.min() < found.max() < 70
    for side, weeks in ((0, 26), (2, 70)):
        estimates = {name: (one[side],) * 3 for name, one in PERT_1.estimates.items()}
        made = network_plan(ThreePoint(estimates, PERT_1.before))
        assert (lengths(simulate(made, runs=50)) == UNIT * weeks).all()


def test_estimate_whose_three_values_are_equal_is_certain() -> None:
    """PERT-1's K (4, 4, 4); in a plan of certain tasks every run is the schedule."""
    made = plain_days([ranged("K", 4, 4, 4), Task("L", 1440)], follow("K-L"))
    result = simulate(made, runs=100)
    assert (result.finish == schedule(made).project_finish).all()
