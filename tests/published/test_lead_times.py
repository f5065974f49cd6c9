"""Published and recomputed values of lead-time statistics."""

from __future__ import annotations

from math import exp, inf, log, sqrt

import numpy as np
import pytest
from scipy import integrate, stats

from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma

SURE = 1e12
"""A shape at which Student's t is the normal to all digits given."""
NOTHING = NormalInverseGamma(mean=0, weight=0, shape=-0.5, rate=0)


def lognormal(median: float, p90: float) -> NormalInverseGamma:
    """Return the logarithm of a lognormal as the limit of a predictive t."""
    return NormalInverseGamma.with_quantiles(log(median), log(p90), 1, SURE)


@pytest.mark.parametrize(
    ("median", "p90", "mu", "sigma", "mean", "p80", "p95"),
    [
        (30, 60, 3.401197, 0.540866, 34.725184, 47.294848, 73.027944),
        (45, 120, 3.806662, 0.765345, 60.312482, 85.694891, 158.466499),
        (10, 12, 2.302585, 0.142266, 10.101712, 11.271973, 12.636536),
    ],
)
def test_lognormal_from_median_and_p90(
    median: float, p90: float, mu: float, sigma: float, mean: float, p80: float, p95: float
) -> None:
    """Closed forms of the lognormal (scipy.stats.lognorm agrees); the mean by integrating S."""
    found = lognormal(median, p90)
    assert found.mean == pytest.approx(mu, abs=5e-7)
    assert found.scale == pytest.approx(sigma, abs=5e-7)
    assert exp(found.quantile(0.8)) == pytest.approx(p80, abs=5e-7)
    assert exp(found.quantile(0.95)) == pytest.approx(p95, abs=5e-7)
    assert mean_beyond(found, 0) == pytest.approx(mean, abs=5e-6)
    law = stats.lognorm(s=log(p90 / median) / stats.norm.ppf(0.9), scale=median)
    assert found.survival(log(2 * median)) == pytest.approx(law.sf(2 * median), rel=1e-6)


@pytest.mark.parametrize(
    ("median", "p90", "out", "survival", "p50", "p80", "total_p90", "mean_left"),
    [
        (30, 60, 30, 0.5, 43.2071, 60, 73.0279, 19.0111),
        (30, 60, 60, 0.1, 73.0279, 91.1038, 105.5768, 19.6741),
        (30, 60, 120, 0.005187, 136.0490, 158.6482, 176.8556, 24.4416),
        (45, 120, 45, 0.5, 75.4055, 120, 158.4665, 48.8422),
        (45, 120, 120, 0.1, 158.4665, 216.6947, 266.9661, 62.6594),
        (45, 120, 240, 0.014363, 293.0264, 372.6072, 440.6236, 85.5602),
        (10, 12, 12, 0.1, 12.6365, 13.3934, 13.9231, 0.8587),
    ],
)
def test_residual_life_of_an_overdue_item(
    median: float, p90: float, out: float, survival: float, p50: float, p80: float,
    total_p90: float, mean_left: float,
) -> None:  # fmt: skip
    """Total time given none by day `out`: closed form of the truncated lognormal."""
    found = lognormal(median, p90)
    assert found.survival(log(out)) == pytest.approx(survival, abs=5e-7)
    totals = np.exp(found.quantiles_between((0.5, 0.8, 0.9), low=log(out)))
    assert totals == pytest.approx([p50, p80, total_p90], abs=5.1e-5)
    assert mean_beyond(found, out) == pytest.approx(mean_left, abs=5.1e-5)


def mean_beyond(found: NormalInverseGamma, out: float) -> float:
    """Integrate the chance of still being out over what comes after day `out`."""
    gone = found.survival(log(out)) if out else 1.0

    def still_out(days: float) -> float:
        return found.survival(log(days)) / gone if days else 1.0

    whole, _ = integrate.quad(still_out, out, out + 400, limit=400, epsabs=1e-9)
    rest, _ = integrate.quad(still_out, out + 400, inf, limit=400, epsabs=1e-9)
    return float(whole + rest)


def test_learning_from_four_values() -> None:
    """Formulas: K. Murphy, Conjugate Bayesian analysis of the Gaussian distribution, 2007;
    Gelman et al., Bayesian Data Analysis, ch. 3. Figures recomputed."""
    found = NormalInverseGamma(11, 1, 2, 4).updated([10, 12, 14, 16])
    assert (found.mean, found.weight, found.shape, found.rate) == pytest.approx((12.6, 5, 4, 15.6))
    assert found.degrees == 8
    assert found.scale == pytest.approx(2.163331, abs=5e-7)
    quantiles = [found.quantile(level) for level in (0.1, 0.5, 0.8, 0.9)]
    assert quantiles == pytest.approx([9.578226, 12.6, 14.522962, 15.621774], abs=5e-7)
    assert 1 - found.survival(15) == pytest.approx(0.850255, abs=5e-7)


def test_learning_from_six_lead_times_on_the_logarithmic_scale() -> None:
    """As above; days 21, 28, 35, 30, 44, 26."""
    prior = NormalInverseGamma(log(30), 2, 3, 0.25)
    before = [exp(prior.quantile(level)) for level in (0.5, 0.8, 0.9)]
    assert before == pytest.approx([30, 41.322694, 49.910326], abs=5e-7)
    found = prior.updated([log(days) for days in (21, 28, 35, 30, 44, 26)])
    assert (found.weight, found.shape) == (8, 6)
    assert (found.mean, found.rate) == pytest.approx((3.397244, 0.411388), abs=5e-7)
    assert found.scale == pytest.approx(0.277732, abs=5e-7)
    days = [exp(found.quantile(level)) for level in (0.5, 0.8, 0.9)]
    assert days == pytest.approx([29.881638, 38.076446, 43.549988], abs=5e-7)
    assert 1 - found.survival(log(45)) == pytest.approx(0.916907, abs=5e-7)


def test_learning_from_knowing_nothing() -> None:
    """The flat prior of the same sources: t with 3 degrees of freedom. The last digit of the
    P90 is cut, not rounded."""
    found = NOTHING.updated([10, 12, 14, 16])
    assert (found.degrees, found.mean) == (3, 13)
    assert found.scale == pytest.approx(2.581989 * sqrt(1.25), abs=1e-6)
    quantiles = [found.quantile(level) for level in (0.1, 0.8, 0.9)]
    assert quantiles == pytest.approx([8.272239, 15.824606, 17.727760], abs=1e-6)


SPEED_OF_LIGHT = """
28 26 33 24 34 -44 27 16 40 -2 29 22 24 21 25 30 23 29 31 19 24 20 36 32 36 28 25 21 28 29 37 25
28 26 30 32 36 26 30 22 36 23 27 27 28 27 31 27 26 33 26 32 32 24 39 28 24 25 32 25 29 27 28 29
16 23
"""


def test_speed_of_light() -> None:
    """Newcomb's 66 readings: S. Stigler, Annals of Statistics 5, 1977; Gelman et al., section
    3.2, gives mean 26.2, s 10.8, 95 % interval [23.6, 28.8]; recomputed to more digits.

    The interval for the mean has the predictive t's shape, sqrt(n + 1) times narrower.
    """
    readings = [float(word) for word in SPEED_OF_LIGHT.split()]
    found = NOTHING.updated(readings)
    assert found.weight == 66
    assert found.degrees == 65
    assert found.mean == pytest.approx(26.212121, abs=5e-7)
    assert sqrt(found.rate / found.shape) == pytest.approx(10.745325, abs=5e-7)
    reach = (found.quantile(0.975) - found.mean) / sqrt(67)
    interval = [found.mean - reach, found.mean + reach]
    assert interval == pytest.approx([23.570591, 28.853652], abs=5e-7)
