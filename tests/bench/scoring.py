"""How good forecasts were, once the truth is known.

The continuous ranked probability score (CRPS) is in the unit of what is forecast and is
the absolute error where the forecast is a single value, so that a date and a spread of
dates can be compared (T. Gneiting and A. Raftery, "Strictly Proper Scoring Rules,
Prediction, and Estimation", JASA 102, 2007).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import erf, exp, pi, sqrt
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Forecast(Protocol):
    """A forecast of one number."""

    @property
    def middle(self) -> float:
        """The value that is as likely passed as not."""
        ...

    def at(self, percent: float) -> float:
        """Return the value not passed with a chance of `percent` in 100."""
        ...

    def crps(self, truth: float) -> float:
        """Return the continuous ranked probability score, 0 for a perfect forecast."""
        ...


@dataclass(frozen=True, slots=True)
class Point:
    """A single value said as if it were certain."""

    middle: float

    def at(self, percent: float) -> float:  # noqa: ARG002 - the same at every level
        """Return the value, whatever the chance."""
        return self.middle

    def crps(self, truth: float) -> float:
        """Return the absolute error."""
        return abs(self.middle - truth)


@dataclass(frozen=True, slots=True)
class Normal:
    """A normal distribution; without spread it is a point."""

    middle: float
    spread: float

    def at(self, percent: float) -> float:
        """Return a quantile."""
        from scipy.stats import norm

        return float(self.middle + self.spread * norm.ppf(percent / 100))

    def crps(self, truth: float) -> float:
        """Return s (z (2 Phi(z) - 1) + 2 phi(z) - 1/sqrt(pi)) with z = (truth - mean)/s."""
        if self.spread == 0:
            return abs(truth - self.middle)
        z = (truth - self.middle) / self.spread
        density = exp(-z * z / 2) / sqrt(2 * pi)
        return self.spread * (z * erf(z / sqrt(2)) + 2 * density - 1 / sqrt(pi))


class Sample:
    """Equally likely values."""

    def __init__(self, values: Iterable[float] | Floats) -> None:
        self.values: Floats = np.sort(np.asarray(values, dtype=np.float64))

    @property
    def middle(self) -> float:
        """The median."""
        return self.at(50)

    def at(self, percent: float) -> float:
        """Return the least value that `percent` of 100 values do not pass."""
        place = int(np.ceil(percent / 100 * self.values.size)) - 1
        return float(self.values[min(max(place, 0), self.values.size - 1)])

    def crps(self, truth: float) -> float:
        """Return E|X - truth| - E|X - X'| / 2, both over the sample itself."""
        size = self.values.size
        weights = 2 * np.arange(1, size + 1) - size - 1
        apart = 2 * float(weights @ self.values) / size**2
        return float(np.abs(self.values - truth).mean()) - apart / 2

    def rank(self, truth: float) -> float:
        """Return the share of values before the truth, ties by half (the PIT value)."""
        before = np.searchsorted(self.values, truth, side="left")
        until = np.searchsorted(self.values, truth, side="right")
        return float(before + until) / 2 / self.values.size


@dataclass(frozen=True, slots=True)
class Score:
    """One forecast against the truth; errors in the unit of the forecast."""

    error: float
    """Middle minus truth: positive is too late."""
    crps: float
    within_50: bool
    """Between the 25 and 75 in 100 values."""
    within_80: bool
    """Between the 10 and 90 in 100 values."""
    by_80: bool
    """Not after the 80 in 100 value."""
    width_80: float
    """From the 10 to the 90 in 100 value."""


def score(forecast: Forecast, truth: float) -> Score:
    """Hold a forecast against the truth."""
    low, first, third, high = (forecast.at(percent) for percent in (10, 25, 75, 90))
    return Score(
        error=forecast.middle - truth,
        crps=forecast.crps(truth),
        within_50=first <= truth <= third,
        within_80=low <= truth <= high,
        by_80=truth <= forecast.at(80),
        width_80=high - low,
    )


@dataclass(frozen=True, slots=True)
class Share:
    """A share of forecasts with its standard error."""

    share: float
    standard_error: float

    def __str__(self) -> str:
        """Write both in per cent."""
        return f"{100 * self.share:5.1f} ± {100 * self.standard_error:3.1f} %"


def share_by_cluster(hits: Floats, cluster: NDArray[np.int64]) -> Share:
    """
    Return the share of hits; forecasts of one cluster stand and fall together.

    The standard error is that of a ratio of cluster totals (linearised), so that thirty
    forecasts of one restoration do not count as thirty pieces of evidence.
    """
    share = float(hits.mean())
    names, inverse = np.unique(cluster, return_inverse=True)
    count = names.size
    if count < 2:
        return Share(share, float("nan"))
    residual = np.bincount(inverse, weights=hits - share)
    return Share(share, sqrt(float(residual @ residual) * count / (count - 1)) / hits.size)
