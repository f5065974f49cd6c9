"""How far a figure found by drawing may be from an exact one: four standard errors.

With N independent runs the standard error of a mean is s / sqrt(N), of a variance
sqrt((k - 1) / N) times itself (k the fourth standardised moment), of a probability
sqrt(p (1 - p) / N), of a quantile that over the density there (Cramer, Mathematical
Methods of Statistics, chapters 27 and 28; from memory). Seeds are fixed, so that a test
either passes always or never. Four errors leave a right figure outside in 1 of 16,000
checks; tests over several seeds narrow the gap that one seed leaves.

A table of 1,024 equally likely values stands for each distribution. What it loses beyond
the ends is less than a fiftieth of these errors at 20,000 runs, so nothing is added.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ERRORS = 4.0
SEEDS = range(1, 26)
"""Seeds of the tests that look for a bias too small for one seed."""


def check_mean(drawn: Floats, mean: float, variance: float, errors: float = ERRORS) -> None:
    """Compare a mean with the exact one."""
    assert abs(drawn.mean() - mean) <= errors * sqrt(variance / drawn.size), (drawn.mean(), mean)


def check_variance(drawn: Floats, variance: float, kurtosis: float) -> None:
    """Compare a variance with the exact one; `kurtosis` is 3 for a normal distribution."""
    error = variance * sqrt((kurtosis - 1) / drawn.size)
    assert abs(drawn.var() - variance) <= ERRORS * error, (drawn.var(), variance, error)


def check_share(hits: float, runs: int, chance: float, errors: float = ERRORS) -> None:
    """Compare the share of runs in which something holds with its probability."""
    error = sqrt(chance * (1 - chance) / runs)
    assert abs(hits / runs - chance) <= errors * error, (hits / runs, chance, error)


def check_quantile(drawn: Floats, p: float, exact: float, density: float) -> None:
    """Compare a quantile with the exact one, where the density is known."""
    error = sqrt(p * (1 - p) / drawn.size) / density
    found = float(np.quantile(drawn, p))
    assert abs(found - exact) <= ERRORS * error, (found, exact, error)


def check_no_bias(means: Sequence[float], mean: float, variance: float, runs: int) -> None:
    """
    Compare the means of several seeds with the exact one, and their scatter with theory.

    Their own mean may be off by four of its (smaller) standard errors; the scatter is a
    sum of squares of standard normals, whose standard error is sqrt(2 / seeds).
    """
    scores = (np.array(means) - mean) / sqrt(variance / runs)
    assert abs(scores.mean()) <= ERRORS / sqrt(scores.size), scores.mean()
    assert abs((scores**2).mean() - 1) <= ERRORS * sqrt(2 / scores.size), scores
