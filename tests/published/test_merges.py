"""Merges whose distribution is known: the latest of several, simulated and exact.

The reference is a formula or an enumeration; derived where no source is named. A discrete
result has steps for quantiles, so there the probabilities of its values are compared.
"""

from __future__ import annotations

from itertools import product
from math import log, sqrt

import numpy as np
import pytest

from tests.published.drawn_networks import Floats, Network, discrete, uniform
from tests.published.sampling import (
    SEEDS,
    check_mean,
    check_no_bias,
    check_quantile,
    check_share,
    check_variance,
)

RUNS = 40_000


def merging(count: int) -> Network:
    """Return so many activities side by side, named A, B, C."""
    return Network(dict.fromkeys("ABC"[:count], ""))


LATEST_OF_UNIFORMS = {
    1: (15.0, 15.0, 18.0, 19.0),
    2: (16.6667, 17.0711, 18.9443, 19.4868),
    3: (17.5, 17.9370, 19.2832, 19.6549),
}
"""MRG-1. Mean, P50, P80, P90 of the latest of n uniforms on [10, 20]: order statistics of
the uniform distribution (David & Nagaraja, Order Statistics; from memory)."""


@pytest.mark.parametrize("count", LATEST_OF_UNIFORMS)
def test_latest_of_equal_uniforms(count: int) -> None:
    """MRG-1: mean n / (n + 1), variance n / ((n + 1)^2 (n + 2)), quantile p^(1/n)."""
    mean, *quantiles = LATEST_OF_UNIFORMS[count]
    assert 10 + 10 * count / (count + 1) == pytest.approx(mean, abs=5e-5)
    variance = 100 * count / ((count + 1) ** 2 * (count + 2))
    shapes = dict.fromkeys("ABC"[:count], uniform(10, 20))
    found = merging(count).drawn(shapes, RUNS, seed=1).length
    check_mean(found, mean, variance)
    check_variance(found, variance, 3.0)
    for p, quantile in zip((0.5, 0.8, 0.9), quantiles, strict=True):
        share = p ** (1 / count)
        assert 10 + 10 * share == pytest.approx(quantile, abs=5e-5)
        check_quantile(found, p, quantile, count * share ** (count - 1) / 10)


def test_many_seeds_of_a_merge_show_no_bias() -> None:
    """MRG-1 with three activities, 25 seeds."""
    shapes = dict.fromkeys("ABC", uniform(10, 20))
    network = merging(3)
    means = [float(network.drawn(shapes, 4_000, seed).length.mean()) for seed in SEEDS]
    check_no_bias(means, 17.5, 3.75, 4_000)


def test_latest_of_three_unlike_uniforms() -> None:
    """MRG-2: mean 9.641667, P50 9.405125, and P80 exactly 10.8, set by the widest alone."""
    shapes = {"A": uniform(5, 10), "B": uniform(6, 12), "C": uniform(8, 9)}
    drawn = merging(3).drawn(shapes, RUNS, seed=2)
    check_mean(drawn.length, 9.641667, 1.3154)
    check_quantile(drawn.length, 0.8, 10.8, 1 / 6)
    median = 9.405125
    density = (2 * median - 11) / 30  # of (t - 5) / 5 x (t - 6) / 6, from 9 to 10
    assert (median - 5) * (median - 6) / 30 == pytest.approx(0.5, abs=1e-6)
    check_quantile(drawn.length, 0.5, median, density)
    later = float(((drawn.length > 10) & ~drawn.critical["B"]).sum())
    assert later == 0


CHANCES_OF_THE_MERGE = {5: 0.15, 6: 0.09, 7: 0.10, 8: 0.31, 9: 0.21, 11: 0.04, 12: 0.10}
"""MRG-3. T = max(A, B) + C: probability of each value; mean 8, variance 3.98."""
MERGE = Network({"A": "", "B": "", "C": "AB"})
MERGE_CHANCES: dict[str, dict[float, float]] = {
    "A": {3: 0.5, 7: 0.5},
    "B": {4: 0.6, 6: 0.4},
    "C": {1: 0.5, 2: 0.3, 5: 0.2},
}


def test_discrete_merge_enumerated_is_exact() -> None:
    """MRG-3: each of the twelve cases once, weighted; the printed probabilities come out."""
    cases = list(product(*(one.items() for one in MERGE_CHANCES.values())))
    weights = np.array([a[1] * b[1] * c[1] for a, b, c in cases])
    works = {
        name: np.array([case[place][0] for case in cases])
        for place, name in enumerate(MERGE_CHANCES)
    }
    length = MERGE.enumerated(works).length
    found = {value: weights[length == value].sum() for value in np.unique(length)}
    assert found == pytest.approx(CHANCES_OF_THE_MERGE)
    assert weights @ length == pytest.approx(8)
    assert weights @ length**2 - 64 == pytest.approx(3.98)


def test_discrete_merge_drawn_has_the_exact_probabilities() -> None:
    """MRG-3 sampled: each probability within four standard errors, P50 8 and P80 9."""
    shapes = {name: discrete(chances) for name, chances in MERGE_CHANCES.items()}
    length = MERGE.drawn(shapes, RUNS, seed=3).length
    assert set(np.unique(length)) == CHANCES_OF_THE_MERGE.keys()
    for value, chance in CHANCES_OF_THE_MERGE.items():
        check_share(float((length == value).sum()), RUNS, chance)
    check_mean(length, 8, 3.98)
    assert np.quantile(length, [0.5, 0.8], method="inverted_cdf").tolist() == [8, 9]


def test_series_against_parallel() -> None:
    """MRG-4: A then B, each U(0, 10), beside C of U(0, 20)."""
    network = Network({"A": "", "B": "A", "C": ""})
    shapes = {"A": uniform(0, 10), "B": uniform(0, 10), "C": uniform(0, 20)}
    found = network.drawn(shapes, RUNS, seed=4).length
    at = np.linspace(0, 20, 200_001)
    below = np.where(at < 10, at**2 / 200, 1 - (20 - at) ** 2 / 200) * at / 20
    assert float(np.interp(0.5, below, at)) == pytest.approx(13.111078, abs=1e-4)
    mean = float(20 - np.trapezoid(below, at))
    assert mean == pytest.approx(12.916667, abs=1e-4)
    check_mean(found, mean, float(400 - 2 * np.trapezoid(at * below, at)) - mean**2)
    for p, quantile in ((0.5, 13.111078), (0.8, 16.840531), (0.9, 18.272615)):
        low, high = np.interp([quantile - 0.01, quantile + 0.01], at, below)
        check_quantile(found, p, quantile, float(high - low) / 0.02)


def test_two_uniforms_one_after_the_other() -> None:
    """MRG-4: the sum of two U(0, 1) has P50 1 and P80 2 - sqrt(0.4)."""
    shapes = dict.fromkeys("AB", uniform(0, 1))
    found = Network({"A": "", "B": "A"}).drawn(shapes, RUNS, seed=5).length
    check_mean(found, 1, 1 / 6)
    check_quantile(found, 0.5, 1, 1)
    check_quantile(found, 0.8, 2 - sqrt(0.4), sqrt(0.4))


def test_latest_of_three_exponentials() -> None:
    """
    MRG-5: mean 11/6, variance 1 + 1/4 + 1/9, P50 1.578426, P80 2.635512.

    The table ends at the middle of the last 1,024th, so its mean is 0.0003 short.
    """
    shapes = dict.fromkeys("ABC", lambda p: -np.log1p(-p))
    found = merging(3).drawn(shapes, RUNS, seed=6).length
    check_mean(found, 11 / 6, 49 / 36)
    for p, quantile in ((0.5, 1.578426), (0.8, 2.635512)):
        share = p ** (1 / 3)
        assert -log(1 - share) == pytest.approx(quantile, abs=1e-6)
        check_quantile(found, p, quantile, 3 * share**2 * (1 - share))


DICE = (1, 7, 19, 37, 61, 91)
"""MRG-6. Of 216 throws of three dice, how many have each number as their largest."""


def test_largest_of_three_dice_enumerated_is_exact() -> None:
    throws: Floats = np.array(list(product(range(1, 7), repeat=3)), dtype=float)
    cases = dict(zip("ABC", throws.T, strict=True))
    length = merging(3).enumerated(cases).length
    assert tuple(int((length == number).sum()) for number in range(1, 7)) == DICE


def test_largest_of_three_dice_drawn_has_the_exact_probabilities() -> None:
    die = discrete({float(number): 1 / 6 for number in range(1, 7)})
    length = merging(3).drawn(dict.fromkeys("ABC", die), RUNS, seed=7).length
    for number, ways in enumerate(DICE, start=1):
        check_share(float((length == number).sum()), RUNS, ways / 216)
