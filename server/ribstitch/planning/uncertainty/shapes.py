"""Distributions as tables of equally likely values.

A table holds the values at the middles of `POINTS` equal slices of
probability, so that a draw is one look-up with an index from 0 to POINTS - 1. Against
the exact distribution, a table keeps the mean, and loses what lies beyond one chance in
2 * POINTS at either end. Values are in whatever unit goes in.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma

Floats = NDArray[np.float64]

POINTS = 1024
LEVELS_OF_POINTS: Floats = (np.arange(POINTS) + 0.5) / POINTS
"""The probabilities at which a table holds the quantiles."""

_SHAPES = 65
"""Positions of the mode, 0 to 1, for which PERT-beta quantiles are computed; between
them they are interpolated."""
_FINENESS = 1 << 24
"""Library functions may differ in the last digit from one machine to another, so their
results are rounded to this fraction: the same seed gives the same dates everywhere."""


def pert_table(low: float, likely: float, high: float) -> Floats:
    """
    Return the PERT-beta table of low <= likely <= high, shape (POINTS,).

    Notes
    -----
    alpha = 1 + 4 m and beta = 5 - 4 m with m = (likely - low) / (high - low), so that
    the mean is (low + 4 likely + high) / 6 and the variance (mean - low)(high - mean) / 7.

    References
    ----------
    .. [1] Malcolm, Roseboom, Clark, Fazar, Operations Research 7(5), 1959, for the
       estimate; checked in tests/published/test_three_point.py.
    """
    width = high - low
    if width == 0:
        return np.full(POINTS, low)
    place = (_SHAPES - 1) * (likely - low) / width
    below = min(int(place), _SHAPES - 2)
    share = place - below
    unit = _pert_shapes()
    table: Floats = unit[below] * (width * (1 - share))
    table += unit[below + 1] * (width * share)
    table += low
    return table


def triangular_table(low: float, likely: float, high: float) -> Floats:
    """
    Return the triangular table of low <= likely <= high, shape (POINTS,).

    The quantile is low + sqrt(p (high - low)(likely - low)) up to the mode, and
    high - sqrt((1 - p)(high - low)(high - likely)) from there on.
    """
    width = high - low
    if width == 0:
        return np.full(POINTS, low)
    p, mode = LEVELS_OF_POINTS, (likely - low) / width
    rising = low + np.sqrt(p * (width * (likely - low)))
    falling = high - np.sqrt((1 - p) * (width * (high - likely)))
    return np.where(p <= mode, rising, falling)


def widened(table: Floats, by: float) -> Floats:
    """
    Return a table of positive values with `by` times the spread of its logarithm.

    The mean stays. Values of 0 stay 0.
    """
    median = float(table[POINTS // 2])
    if median <= 0:
        return table
    wide = median * _settled((table / median) ** by)
    return np.asarray(wide * (table.mean() / wide.mean()))


def lognormal_table(median: float, p90: float, *, above: float = 0.0) -> Floats:
    """
    Return the table of a lognormal given that it is larger than `above`, shape (POINTS,).

    Parameters
    ----------
    median, p90
        Median and 90th percentile before it is known that the value is above anything.
    above
        What has gone by already, in the same unit.
    """
    if p90 <= median:
        return np.full(POINTS, max(median, above))
    from scipy.special import ndtr, ndtri

    deviation = np.log(p90 / median) / ndtri(0.9)
    survived = 1.0 if above <= 0 else float(ndtr((np.log(median) - np.log(above)) / deviation))
    scores = -ndtri(np.maximum(survived * (1 - LEVELS_OF_POINTS), np.finfo(float).tiny))
    return np.maximum(median * _settled(np.exp(deviation * scores)), above)


def ratio_table(posterior: NormalInverseGamma, most: float) -> Floats:
    """
    Return the table of a ratio whose logarithm a posterior predicts, shape (POINTS,).

    Values above `most` are taken for `most`: such a distribution has no mean without.
    """
    logarithms = posterior.quantiles_between(LEVELS_OF_POINTS)
    return _settled(np.exp(np.minimum(logarithms, np.log(most))))


@lru_cache(maxsize=1)
def hidden_work_table() -> Floats:
    """
    Return the table of hidden work with mean 1: an exponential distribution.

    Most zones hide less than the mean and a few hide far more. Of all distributions of a
    known mean it assumes the least; the choice is our own, no source.
    """
    return _settled(-np.log1p(-LEVELS_OF_POINTS))


@lru_cache(maxsize=1)
def normal_table() -> Floats:
    """Return the table of the standard normal distribution."""
    from scipy.special import ndtri

    return _settled(ndtri(LEVELS_OF_POINTS))


@lru_cache(maxsize=1)
def normal_edges() -> Floats:
    """Return the bounds between the slices of the standard normal, shape (POINTS - 1,)."""
    from scipy.special import ndtri

    return _settled(ndtri(np.arange(1, POINTS) / POINTS))


@lru_cache(maxsize=1)
def _pert_shapes() -> Floats:
    """Return PERT-beta quantiles on [0, 1] by position of the mode, (_SHAPES, POINTS)."""
    from scipy.special import betaincinv

    mode = np.linspace(0, 1, _SHAPES)[: _SHAPES // 2 + 1, None]
    lower = betaincinv(1 + 4 * mode, 5 - 4 * mode, LEVELS_OF_POINTS[None, :])
    upper = 1 - lower[-2::-1, ::-1]
    return _settled(np.concatenate([lower, upper]))


def _settled(values: Floats) -> Floats:
    """Round off the digits in which machines may differ."""
    result: Floats = np.rint(values * _FINENESS) / _FINENESS
    return result
