"""The latest of normal paths: Clark's formulas, and where they are only nearly right.

C. E. Clark, The greatest of a finite set of random variables, Operations Research 9(2),
1961: exact mean and variance of the larger of two normals (formulas from memory, checked
here by numerical integration); for three, taken step by step, an approximation. The
simulation is compared with what is exact.

Every activity is moved up by a constant so that none is negative; lengths come out by as
much later, which is taken off again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import pytest
from scipy import integrate, special, stats

from tests.published.drawn_networks import Floats, Network, Quantile
from tests.published.sampling import ERRORS, check_mean, check_share, check_variance

RUNS = 40_000
UP = 40.0


@dataclass(frozen=True)
class Paths:
    """Two normal paths: means, deviations, correlation; the larger one's printed figures."""

    means: tuple[float, float]
    deviations: tuple[float, float]
    correlation: float
    mean: float
    variance: float
    first_is_later: float

    @property
    def shared_variance(self) -> float:
        """Variance of the work that both paths share."""
        return self.correlation * self.deviations[0] * self.deviations[1]


CLARK = {
    "equal": Paths((20, 20), (3, 3), 0, 21.692569, 6.135211, 0.5),
    "unlike": Paths((10, 12), (2, 3), 0, 12.654196, 5.815886, 0.289550),
    "unlike, related": Paths((10, 12), (2, 3), 0.5, 12.343494, 7.070794, 0.224846),
    "PERT-1 as if independent": Paths(
        (44, 40), (3, sqrt(101 / 9)), 0, 44.460388, 7.361753, 0.813133
    ),
    "PERT-1 with its shared A-B-C": Paths(
        (44, 40), (3, sqrt(101 / 9)), (46 / 9) / (3 * sqrt(101 / 9)), 44.155052, 8.584533, 0.897048
    ),
}
"""PERT-6. The last two rows are the two longest paths of PERT-1 with classic variances: what
they share (A-B-C, covariance 46/9) shrinks the merge bias from 0.46 to 0.16 week."""


def clark(paths: Paths) -> tuple[float, float, float]:
    """Return mean and variance of the larger of two normals, and how often it is the first."""
    (m1, m2), (s1, s2) = paths.means, paths.deviations
    a = sqrt(s1**2 + s2**2 - 2 * paths.shared_variance)
    x = (m1 - m2) / a
    over, under, density = special.ndtr(x), special.ndtr(-x), stats.norm.pdf(x)
    mean = m1 * over + m2 * under + a * density
    square = (m1**2 + s1**2) * over + (m2**2 + s2**2) * under + (m1 + m2) * a * density
    return float(mean), float(square - mean**2), float(over)


def normal(mean: float, variance: float) -> Quantile:
    """Return the quantile function of a normal distribution."""
    return lambda p: mean + sqrt(variance) * special.ndtri(p)


@pytest.mark.parametrize("name", CLARK)
def test_formulas_give_the_printed_figures(name: str) -> None:
    """PERT-6, to six digits: the reference before anything is compared with it."""
    paths = CLARK[name]
    printed = (paths.mean, paths.variance, paths.first_is_later)
    assert clark(paths) == pytest.approx(printed, abs=1e-6)


@pytest.mark.parametrize("name", ["equal", "unlike", "PERT-1 as if independent"])
def test_formulas_agree_with_numerical_integration(name: str) -> None:
    """The mean of the larger of two independent normals as an integral (scipy's quadrature)."""
    paths = CLARK[name]
    one, two = (stats.norm(m, s) for m, s in zip(paths.means, paths.deviations, strict=True))
    mean, _ = integrate.quad(
        lambda t: t * (one.pdf(t) * two.cdf(t) + two.pdf(t) * one.cdf(t)), -20, 90, limit=200
    )
    assert mean == pytest.approx(paths.mean, abs=1e-6)


@pytest.mark.parametrize("name", CLARK)
def test_later_of_two_normal_paths_is_as_clark_says(name: str) -> None:
    """PERT-6: what two paths share is one activity before both."""
    paths = CLARK[name]
    shared = paths.shared_variance
    shapes: Mapping[str, Quantile] = {
        "S": normal(UP, shared),
        **{
            path: normal(UP + mean, deviation**2 - shared)
            for path, mean, deviation in zip("AB", paths.means, paths.deviations, strict=True)
        },
    }
    drawn = Network({"S": "", "A": "S", "B": "S"}).drawn(shapes, RUNS, seed=1)
    length = drawn.length - 2 * UP
    check_mean(length, paths.mean, paths.variance)
    check_variance(length, paths.variance, 3.1)
    check_share(float(drawn.critical["A"].sum()), RUNS, paths.first_is_later)


def later_of_three(runs: int) -> Floats:
    """Draw the latest of three standard normal paths."""
    shapes = dict.fromkeys("ABC", normal(UP, 1))
    return Network(dict.fromkeys("ABC", "")).drawn(shapes, runs, seed=3).length - UP


def test_latest_of_three_equal_normals_is_exact_where_clark_is_not() -> None:
    """
    PERT-7: mean 3 / (2 sqrt(pi)) = 0.846284 and variance 0.559467 exactly.

    Clark's step by step gives 0.847647 and 0.547020. With 400,000 runs the simulation
    tells the two variances apart. (Of 1,024 equally likely values in place of each normal
    the variance is 0.557998: nearer to the exact one by a factor of eight.)
    """
    exact_mean, exact_variance = 3 / (2 * sqrt(pi)), 0.559467
    assert exact_mean == pytest.approx(0.846284, abs=1e-6)
    runs = 400_000
    length = later_of_three(runs)
    check_mean(length, exact_mean, exact_variance)
    check_variance(length, exact_variance, 3.1)
    error = exact_variance * sqrt(2.1 / runs)
    assert abs(float(np.var(length)) - 0.547020) > ERRORS * error
