"""How far sources swing the finish: printed conditional means, sums known by hand, plain numpy.

The discrete network and its printed conditional means are those of `test_sensitivity`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from ribstitch.planning.model import Risk, Zone
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty import Swing, find_swings, simulate
from ribstitch.planning.uncertainty.courses import Source
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.swings import lowest_tenth, swings_of
from tests.core.making import plan, task, ticks
from tests.core.making_uncertain import follow, plain_days, ranged
from tests.published.drawn_networks import FINE, Drawn, Network, Quantile, uniform
from tests.published.test_sensitivity import CHANCES, MEAN_LENGTH, NETWORK, PRINTED, in_units
from tests.published.test_sensitivity import SHAPES as DISCRETE

RUNS = 40_000


def swings(network: Network, shapes: Mapping[str, Quantile]) -> tuple[dict[str, Swing], Drawn]:
    """Return the swings of a network's activities by name, and what was drawn."""
    model = network.model(shapes)
    luck, drawn = Luck(model.factors, 1, RUNS), network.drawn(shapes, RUNS, seed=1)
    sources = [
        Source("task", name, {number: step}, drawn=number)
        for number, (name, step) in enumerate(zip(network.names, model.steps, strict=True))
    ]
    days = (drawn.length - drawn.length.mean()) * FINE / TICKS_PER_DAY
    return {one.id: one for one in swings_of(sources, model, luck, days)}, drawn


@cache
def printed_swings() -> dict[str, Swing]:
    """Return the swings of the printed network."""
    return swings(NETWORK, DISCRETE)[0]


@pytest.mark.parametrize("name", PRINTED)
def test_the_ends_are_the_printed_means_given_the_least_and_the_most(name: str) -> None:
    """Each value has more than a tenth of the chances, so each end has one value alone."""
    low, high = CHANCES[name]
    swing, given = printed_swings()[name], PRINTED[name].conditional_means
    error = in_units(swing.standard_error_days)
    assert abs(in_units(swing.best_days) - (given[low] - MEAN_LENGTH)) <= 3 * error
    assert abs(in_units(swing.worst_days) - (given[high] - MEAN_LENGTH)) <= 3 * error


ROW = Network({"A": "", "B": "A", "C": "B"})
"""One after another, so that works add up."""
WIDTHS = {"A": 10.0, "B": 4.0, "C": 1.0}
SHAPES = {name: uniform(0.5, 0.5 + width) for name, width in WIDTHS.items()}


def test_where_works_add_up_each_swings_by_nine_twentieths_of_its_width() -> None:
    """
    The lowest tenth of a uniform work lies 0.45 widths below its mean, the highest above.

    By hand; the error is that of the two other works, uniform as well, over 4,000 runs.
    """
    found, drawn = swings(ROW, SHAPES)
    length, tenth = drawn.length - drawn.length.mean(), RUNS // 10
    for name, swing in found.items():
        others = sum(width**2 / 12 for other, width in WIDTHS.items() if other != name)
        error = 3 * sqrt((others + WIDTHS[name] ** 2 / 1200) / tenth)
        assert in_units(swing.best_days) == pytest.approx(-0.45 * WIDTHS[name], abs=error)
        assert in_units(swing.worst_days) == pytest.approx(0.45 * WIDTHS[name], abs=error)
        # Plain numpy on the draws themselves: the very same runs, so hardly any error.
        order = np.argsort(drawn.work[name], kind="stable")
        best, worst = order[:tenth], order[-tenth:]
        assert in_units(swing.best_days) == pytest.approx(length[best].mean(), abs=0.02)
        assert in_units(swing.worst_days) == pytest.approx(length[worst].mean(), abs=0.02)
        more = drawn.work[name][worst].mean() - 1 / FINE
        assert in_units(swing.worst_more or 0.0) == pytest.approx(more, abs=0.02)


def test_a_risk_is_held_as_runs_with_it_against_runs_without() -> None:
    """Three elapsed days more or none: the ends lie three days apart, whatever was drawn."""
    made = plan(
        [task("A", 5, calendar="elapsed")],
        risks=[Risk("R", task="A", probability=0.03, impact=ticks(3))],
    )
    (swing,) = find_swings(simulate(made, runs=2_000))
    assert swing.worst_days - swing.best_days == pytest.approx(3)
    assert swing.best_days == pytest.approx(-0.09, abs=0.04)
    assert swing.worst_more is None
    assert swing.standard_error_days == pytest.approx(0, abs=1e-9)


def test_a_zone_swings_all_its_work_together() -> None:
    """
    Two works of one zone in a row: the finish is 20 days times the zone's factor.

    Of a lognormal factor of spread s, the mean of the highest tenth is Phi(s - z) / 0.1 times
    the mean of all, and that of the lowest Phi(-z - s) / 0.1, z the normal quantile at 0.9.
    """
    spread, z = 0.3, stats.norm.ppf(0.9)
    high, low = stats.norm.cdf(spread - z) / 0.1, stats.norm.cdf(-z - spread) / 0.1
    made = plain_days(
        [ranged(name, 9.99, 10, 10.01, zone="wing") for name in "AB"],
        follow("A-B"),
        zone_spread=spread,
        zones=[Zone("wing")],
    )
    swing = next(one for one in find_swings(simulate(made, runs=8_000)) if one.kind == "zone")
    assert swing.worst_more is not None
    assert swing.worst_days / -swing.best_days == pytest.approx((high - 1) / (1 - low), rel=0.06)
    assert swing.worst_days == pytest.approx(20 * (1 + swing.worst_more) * (1 - 1 / high), rel=0.06)


def test_runs_that_tie_across_the_edge_of_a_tenth_share_it() -> None:
    """Ten of forty runs have the least: a tenth is four of them, so each counts as 0.1."""
    measure = np.array([1.0] * 10 + [2.0] * 30)
    assert lowest_tenth(measure).tolist() == pytest.approx([0.1] * 10 + [0.0] * 30)
    assert lowest_tenth(-measure).tolist() == pytest.approx([0.0] * 10 + [1 / 30] * 30)
    assert lowest_tenth(np.array([3.0, 1.0, 2.0] * 10))[:3].tolist() == pytest.approx([0, 0.1, 0])
