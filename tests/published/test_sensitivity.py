"""Which task matters: a network small enough to list all its cases, against the simulation.

SEN-1, derived, no printed source: A takes 2 (.6) or 6 (.4), B 4 or 5 (.5), C 3 (.7) or 5
(.3), D 1 or 4 (.5), independent; A precedes C and D, B precedes D. Expected values are
sums over the sixteen cases in exact fractions. The criticality index is that of Williams
(J. Operational Research Society 43(4), 1992), ties counting for every path that is
longest; the rank correlation is Spearman's with mid-ranks; the gain is E(T) less E(T)
given that the activity takes what is planned.

Everything sampled must lie within three standard errors. Those of a figure f of the
sixteen probabilities p, from N runs, are sqrt(sum p g^2 - (sum p g)^2) / sqrt(N) with g
the derivative of f by p (the delta method for a multinomial: Agresti, Categorical Data
Analysis, chapter 16; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import product
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from ribstitch.planning.uncertainty import Cause, find_causes
from ribstitch.planning.uncertainty.causes import rank_causes
from ribstitch.planning.uncertainty.courses import Source
from tests.core.making_uncertain import follow, plain_days, ranged
from tests.published.drawn_networks import FINE, Drawn, Floats, Network, discrete
from tests.published.sampling import SEEDS, check_no_bias
from tests.published.three_point import beta_of

RUNS = 40_000
ERRORS = 3.0

CHANCES: dict[str, dict[float, float]] = {
    "A": {2: 0.6, 6: 0.4},
    "B": {4: 0.5, 5: 0.5},
    "C": {3: 0.7, 5: 0.3},
    "D": {1: 0.5, 4: 0.5},
}
NETWORK = Network({"A": "", "B": "", "C": "A", "D": "AB"})
SHAPES = {name: discrete(chances) for name, chances in CHANCES.items()}

PRINTED_FLOATS = {
    (2, 4, 3, 1): (5, 0, 0, 0, 0), (2, 4, 3, 4): (8, 2, 0, 3, 0),
    (2, 4, 5, 1): (7, 0, 2, 0, 2), (2, 4, 5, 4): (8, 1, 0, 1, 0),
    (2, 5, 3, 1): (6, 1, 0, 1, 0), (2, 5, 3, 4): (9, 3, 0, 4, 0),
    (2, 5, 5, 1): (7, 0, 1, 0, 1), (2, 5, 5, 4): (9, 2, 0, 2, 0),
    (6, 4, 3, 1): (9, 0, 4, 0, 2), (6, 4, 3, 4): (10, 0, 2, 1, 0),
    (6, 4, 5, 1): (11, 0, 6, 0, 4), (6, 4, 5, 4): (11, 0, 3, 0, 1),
    (6, 5, 3, 1): (9, 0, 3, 0, 2), (6, 5, 3, 4): (10, 0, 1, 1, 0),
    (6, 5, 5, 1): (11, 0, 5, 0, 4), (6, 5, 5, 4): (11, 0, 2, 0, 1),
}  # fmt: skip
"""A, B, C, D: length of the project, total floats of the four."""
CHANCES_OF_LENGTH = {5: 0.105, 6: 0.105, 7: 0.09, 8: 0.15, 9: 0.29, 10: 0.14, 11: 0.12}


@dataclass(frozen=True)
class Printed:
    """What is printed of one activity."""

    criticality: Fraction
    rank_correlation: float
    conditional_means: dict[float, float]
    """E(T) given each of its values."""


PRINTED = {
    "A": Printed(Fraction(119, 200), 0.788313, {2: 7.225, 6: 9.95}),
    "B": Printed(Fraction(51, 100), 0.155271, {4: 8.06, 5: 8.57}),
    "C": Printed(Fraction(91, 200), 0.226270, {3: 8.00, 5: 9.05}),
    "D": Printed(Fraction(13, 20), 0.460610, {1: 7.41, 4: 9.22}),
}
MEAN_LENGTH = 8.315

CASES: Floats = np.array(list(product(*CHANCES.values())), dtype=float)
WEIGHTS: Floats = np.array(
    [np.prod([CHANCES[name][v] for name, v in zip("ABCD", case, strict=True)]) for case in CASES]
)
A, B, C, D = CASES.T
LENGTH: Floats = np.maximum(A + C, np.maximum(A, B) + D)

Figure = Callable[[Floats], float]
"""A figure as a function of the probabilities of the sixteen cases."""


def standard_error(figure: Figure, runs: int) -> float:
    """Return the standard error of a figure found from so many runs, by the delta method."""
    slopes = []
    for place in range(WEIGHTS.size):
        more = WEIGHTS.copy()
        more[place] += 1e-6
        slopes.append((figure(more) - figure(WEIGHTS)) / 1e-6)
    slope = np.array(slopes)
    return sqrt(float(WEIGHTS @ slope**2 - (WEIGHTS @ slope) ** 2) / runs)


def rank_correlation(values: Floats, weights: Floats) -> float:
    """Return Spearman's correlation with the length, mid-ranks, of weighted cases."""

    def mid(of: Floats) -> Floats:
        return np.array([weights[of < one].sum() + weights[of == one].sum() / 2 for one in of])

    x, y = mid(values), mid(LENGTH)
    total = weights.sum()
    x, y = x - weights @ x / total, y - weights @ y / total
    return float(weights @ (x * y) / sqrt(float(weights @ x**2) * float(weights @ y**2)))


def mean_given(values: Floats, value: float) -> Figure:
    """Return the mean length given a value, as a figure."""
    chosen = values == value
    return lambda weights: float(weights[chosen] @ LENGTH[chosen] / weights[chosen].sum())


@cache
def enumerated() -> Drawn:
    """Return the sixteen cases, each run once."""
    return NETWORK.enumerated(dict(zip("ABCD", CASES.T, strict=True)))


@cache
def drawn() -> Drawn:
    """Return the cases as drawn."""
    return NETWORK.drawn(SHAPES, RUNS, seed=1)


def test_sixteen_cases_come_out_as_listed() -> None:
    """Length and which activities have no total float, in every case."""
    found = enumerated()
    for place, case in enumerate(CASES):
        length, *floats = PRINTED_FLOATS[tuple(case.astype(int).tolist())]
        assert found.length[place] == LENGTH[place] == length
        assert [bool(found.critical[name][place]) for name in "ABCD"] == [
            one == 0 for one in floats
        ]


def test_enumerated_figures_are_the_printed_ones() -> None:
    """The core's walk over all cases, weighted: nothing is sampled."""
    found = enumerated()
    assert WEIGHTS @ found.length == pytest.approx(MEAN_LENGTH)
    assert WEIGHTS @ found.length**2 - MEAN_LENGTH**2 == pytest.approx(131431 / 40000)
    for length, chance in CHANCES_OF_LENGTH.items():
        assert WEIGHTS[found.length == length].sum() == pytest.approx(chance)
    for values, (name, printed) in zip(CASES.T, PRINTED.items(), strict=True):
        assert WEIGHTS[found.critical[name]].sum() == pytest.approx(float(printed.criticality))
        assert rank_correlation(values, WEIGHTS) == pytest.approx(
            printed.rank_correlation, abs=1e-6
        )
        for value, mean in printed.conditional_means.items():
            assert mean_given(values, value)(WEIGHTS) == pytest.approx(mean)


@pytest.mark.parametrize("name", PRINTED)
def test_drawn_criticality_is_the_enumerated_one(name: str) -> None:
    critical = enumerated().critical[name]
    exact = float(PRINTED[name].criticality)
    error = standard_error(lambda weights: float(weights[critical].sum()), RUNS)
    assert error == pytest.approx(sqrt(exact * (1 - exact) / RUNS), rel=1e-3)
    assert abs(float(drawn().critical[name].mean()) - exact) <= ERRORS * error


@pytest.mark.parametrize("name", PRINTED)
def test_drawn_conditional_means_are_the_enumerated_ones(name: str) -> None:
    values = dict(zip("ABCD", CASES.T, strict=True))[name]
    for value, mean in PRINTED[name].conditional_means.items():
        found = drawn().length[drawn().work[name] == value].mean()
        assert abs(found - mean) <= ERRORS * standard_error(mean_given(values, value), RUNS)


def test_lengths_drawn_have_the_enumerated_probabilities() -> None:
    """P50 is 9 and P80 is 10: quantiles of steps, so the probabilities are compared."""
    length = drawn().length
    for value, chance in CHANCES_OF_LENGTH.items():
        error = sqrt(chance * (1 - chance) / RUNS)
        assert abs(float((length == value).mean()) - chance) <= ERRORS * error
    assert np.quantile(length, [0.5, 0.8], method="inverted_cdf").tolist() == [9, 10]


PLANNED = {"A": 2, "B": 5, "C": 3, "D": 4}
"""What each activity is planned to take: one of its two values."""


@cache
def causes(seed: int, runs: int) -> dict[str, Cause]:
    """Rank the four activities by the core, each against its planned value."""
    model = NETWORK.model(SHAPES)
    steps = [
        replace(step, work=FINE * PLANNED[name])
        for name, step in zip("ABCD", model.steps, strict=True)
    ]
    sources = [
        Source("task", name, {number: replace(step, draw=None)}, drawn=number)
        for number, (name, step) in enumerate(zip("ABCD", steps, strict=True))
    ]
    model = replace(model, steps=tuple(steps))
    found = rank_causes(model, sources, runs=runs, seed=seed, horizon_days=700)
    assert [one.gain_days for one in found] == sorted(one.gain_days for one in found)[::-1]
    return {one.id: one for one in found}


def in_units(days: float) -> float:
    """Turn the core's days into units of the source: a grain is a tick here."""
    return days * 1440 / FINE


def gain(name: str) -> tuple[float, float]:
    """Return mean and variance of what is gained run by run, over all sixteen cases."""
    cases = dict(zip("ABCD", CASES.T, strict=True))
    cases[name] = np.full(WEIGHTS.size, float(PLANNED[name]))
    planned = np.maximum(cases["A"] + cases["C"], np.maximum(cases["A"], cases["B"]) + cases["D"])
    gained = LENGTH - planned
    mean = float(WEIGHTS @ gained)
    return mean, float(WEIGHTS @ gained**2) - mean**2


@pytest.mark.parametrize("name", PRINTED)
def test_gain_is_the_mean_less_the_mean_given_what_is_planned(name: str) -> None:
    """E(T) - E(T | as planned) by enumeration; negative where the plan is the longer value."""
    mean, variance = gain(name)
    given = PRINTED[name].conditional_means[PLANNED[name]]
    assert mean == pytest.approx(MEAN_LENGTH - given)
    cause, error = causes(1, RUNS)[name], sqrt(variance / RUNS)
    assert abs(in_units(cause.gain_days) - mean) <= ERRORS * error
    assert in_units(cause.standard_error_days) == pytest.approx(error, rel=0.05)


@pytest.mark.parametrize("name", PRINTED)
def test_rank_correlation_and_criticality_of_causes_are_the_enumerated_ones(name: str) -> None:
    values, printed = dict(zip("ABCD", CASES.T, strict=True))[name], PRINTED[name]
    cause = causes(1, RUNS)[name]
    error = standard_error(lambda weights: rank_correlation(values, weights), RUNS)
    assert cause.rank_correlation is not None
    assert abs(cause.rank_correlation - printed.rank_correlation) <= ERRORS * error
    exact = float(printed.criticality)
    assert abs(cause.criticality - exact) <= ERRORS * sqrt(exact * (1 - exact) / RUNS)


def test_rank_correlation_is_scipys_to_the_last_digit() -> None:
    """scipy.stats.spearmanr over the very same draws, ties at mid-rank."""
    found = NETWORK.drawn(SHAPES, 3_000, seed=7)
    for name, cause in causes(7, 3_000).items():
        expected = stats.spearmanr(found.work[name], found.length).statistic
        assert cause.rank_correlation == pytest.approx(expected, abs=1e-12)


def test_many_seeds_show_no_bias_of_gains() -> None:
    """Gains of A over 25 seeds: a lucky seed hides nothing here."""
    mean, variance = gain("A")
    means = [in_units(causes(seed, 4_000)["A"].gain_days) for seed in SEEDS]
    check_no_bias(means, mean, variance, 4_000)


def test_gains_through_the_plan_are_those_of_plain_runs() -> None:
    """
    A before B, beside C, by `find_causes`, against a million plain runs (scipy's beta).

    Ranges in days: A 2, 4, 12; B 1, 5, 6; C 6, 10, 14; each planned at its likely work. The
    mean over 25 seeds, so that the error is that of 100,000 runs.
    """
    ranges = {"A": (2.0, 4.0, 12.0), "B": (1.0, 5.0, 6.0), "C": (6.0, 10.0, 14.0)}
    made = plain_days([ranged(name, *of) for name, of in ranges.items()], follow("A-B"))
    found = [{one.id: one for one in find_causes(made, runs=4_000, seed=seed)} for seed in SEEDS]
    plain = 1_000_000
    draw = np.random.default_rng(1)
    work = {
        name: np.asarray(beta_of(*of).rvs(size=plain, random_state=draw))
        for name, of in ranges.items()
    }
    length = np.maximum(work["A"] + work["B"], work["C"])
    both = sqrt(1 / (4_000 * len(found)) + 1 / plain)
    for name, (_, likely, _) in ranges.items():
        planned = {**work, name: np.full(plain, likely)}
        gained = length - np.maximum(planned["A"] + planned["B"], planned["C"])
        gains = [one[name].gain_days for one in found]
        assert abs(np.mean(gains) - gained.mean()) <= ERRORS * gained.std() * both, name
        ranks = [one[name].rank_correlation or 0.0 for one in found]
        exact = stats.spearmanr(work[name][:200_000], length[:200_000]).statistic
        # each side's standard error is at most about 1 / sqrt(N)
        assert abs(np.mean(ranks) - exact) <= ERRORS * sqrt(1 / 100_000 + 1 / 200_000), name
