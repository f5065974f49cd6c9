"""The normal-inverse-gamma distribution: what is known of a normal quantity of unknown mean
and variance, and what that says of its next value.

With mean m, weight k, shape a and rate b: the variance is inverse gamma (a, b); given the
variance v, the mean is normal (m, v / k); the next value is Student's t with 2a degrees of
freedom about m, of scale sqrt(b (k + 1) / (a k)). (K. Murphy, "Conjugate Bayesian analysis of
the Gaussian distribution", 2007; Gelman et al., Bayesian Data Analysis, chapter 3.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, inf, log, sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_SMALLEST = 1e-290
"""Tail probabilities below are computed by their logarithm, before they underflow."""
_STEPS = 12
"""Newton steps for a quantile far out in the tail; five are usually enough."""


@dataclass(frozen=True, slots=True)
class NormalInverseGamma:
    """
    What is known of a normal quantity.

    `weight` is how many values the mean is worth, `2 * shape` how many the variance is
    worth. Weight 0, shape -1/2 and rate 0 stand for knowing nothing: proper once two
    different values have been seen.
    """

    mean: float
    weight: float
    shape: float
    rate: float

    @staticmethod
    def with_quantiles(
        median: float, p90: float, weight: float, shape: float
    ) -> NormalInverseGamma:
        """
        Return what predicts a next value with this median and this 90 % quantile, exactly.

        The scale of the predictive t is (p90 - median) / t, with t the 90 % quantile of
        Student's t with 2 * shape degrees of freedom; the rate follows from the scale.

        Raises
        ------
        ValueError
            If `p90` is not above `median`.
        """
        if not p90 > median:
            raise ValueError(f"the 90 % quantile {p90} is not above the median {median}")
        from scipy.special import stdtrit

        scale = (p90 - median) / float(stdtrit(2 * shape, 0.9))
        return NormalInverseGamma(median, weight, shape, scale**2 * shape * weight / (weight + 1))

    @property
    def degrees(self) -> float:
        """Degrees of freedom of the predictive t."""
        return 2 * self.shape

    @property
    def scale(self) -> float:
        """Scale of the predictive t."""
        return sqrt(self.rate * (self.weight + 1) / (self.shape * self.weight))

    @property
    def likeness(self) -> float:
        """
        Correlation of two further values.

        Of the predictive variance v (1 + 1/k) the part v / k is about the mean.
        """
        return 1 / (self.weight + 1)

    def updated(
        self, values: Sequence[float], worths: Sequence[float] | None = None
    ) -> NormalInverseGamma:
        """
        Return what is known after these values, whatever their order.

        Parameters
        ----------
        values
            What was seen.
        worths
            For how many values each one counts (all for one, if None). A value of worth
            w counts as in a likelihood raised to the power w.
        """
        counts = [1.0] * len(values) if worths is None else worths
        count = fsum(counts)
        if count == 0:
            return self
        average = fsum(w * x for w, x in zip(counts, values, strict=True)) / count
        squares = fsum(w * (x - average) ** 2 for w, x in zip(counts, values, strict=True))
        weight = self.weight + count
        between = self.weight * count * (average - self.mean) ** 2 / weight
        return NormalInverseGamma(
            (self.weight * self.mean + count * average) / weight,
            weight,
            self.shape + count / 2,
            self.rate + (squares + between) / 2,
        )

    def survival(self, value: float) -> float:
        """Return the chance that the next value is greater."""
        from scipy.special import stdtr

        return float(stdtr(self.degrees, (self.mean - value) / self.scale))

    def quantile(self, level: float) -> float:
        """Return what the next value keeps below with a chance of `level`."""
        from scipy.special import stdtrit

        return self.mean + self.scale * float(stdtrit(self.degrees, level))

    def quantiles_between(
        self, levels: Floats | Sequence[float], low: float = -inf, high: float = inf
    ) -> Floats:
        """
        Return quantiles of the next value, known to lie between `low` and `high`.

        With S the survival function, the p-quantile is S^-1(S(low) - p (S(low) - S(high))).
        The upper tail is used throughout, by logarithms where it would underflow, so that
        the result is right however far out `low` is.

        Parameters
        ----------
        levels
            Chances strictly between 0 and 1, any shape.
        """
        chances = np.asarray(levels, dtype=np.float64)
        above_low = self._log_survival(low)
        passed = -np.expm1(self._log_survival(high) - above_low)
        return self.mean + self.scale * self._upper(above_low + np.log1p(-chances * passed))

    def _log_survival(self, value: float) -> float:
        """Return the logarithm of the chance that the next value is greater."""
        if value == -inf:
            return 0.0
        if value == inf:
            return -inf
        chance = self.survival(value)
        if chance > _SMALLEST:
            return log(chance)
        return float(_log_tail(np.array((value - self.mean) / self.scale), self.degrees))

    def _upper(self, log_chances: Floats) -> Floats:
        """Return the standard t quantiles with these logarithms of upper tail probability."""
        from scipy.special import stdtrit

        far = log_chances < log(_SMALLEST)
        near: Floats = -stdtrit(self.degrees, np.exp(np.where(far, -1.0, log_chances)))
        if not far.any():
            return near
        return np.where(far, _far_quantiles(log_chances, self.degrees), near)


def _log_tail(z: Floats, degrees: float) -> Floats:
    """
    Return the logarithm of the upper tail of Student's t, for large positive z.

    The tail is I_x(a, 1/2) / 2 with a = degrees / 2, x = degrees / (degrees + z^2); with
    I_x(a, b) = x^a (1 - x)^b F(a + b, 1; a + 1; x) / (a B(a, b)), F the hypergeometric
    function. (NIST Digital Library of Mathematical Functions, 8.17.8.)
    """
    from scipy.special import betaln, hyp2f1

    half = degrees / 2
    ratio = z * z / degrees
    x = 1 / (1 + ratio)
    series = hyp2f1(half + 0.5, 1.0, half + 1.0, x)
    front = -half * np.log1p(ratio) + 0.5 * np.log(ratio * x) - np.log(2 * half)
    result: Floats = front - betaln(half, 0.5) + np.log(series)
    return result


def _far_quantiles(log_chances: Floats, degrees: float) -> Floats:
    """
    Return z with these logarithms of upper tail probability, all of them very low.

    Newton's method on log z, where the logarithm of the tail is concave and nearly
    straight: from the second step on it closes in from above.
    """
    from scipy.special import gammaln

    front = gammaln((degrees + 1) / 2) - gammaln(degrees / 2) - 0.5 * log(np.pi * degrees)
    target = np.minimum(log_chances, log(_SMALLEST))
    z = np.full_like(target, sqrt(degrees) + 40.0)
    for _ in range(_STEPS):
        tail = _log_tail(z, degrees)
        density = front - (degrees + 1) / 2 * np.log1p(z * z / degrees)
        slope = -z * np.exp(density - tail)
        z = z * np.exp((target - tail) / slope)
    return z
