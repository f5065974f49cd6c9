"""Money against published figures and exact decimal arithmetic."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from ribstitch.money.earned_schedule import earned_schedule
from ribstitch.money.earned_value import EarnedValue
from ribstitch.money.minor_units import from_minor_units, in_minor_units, share_out, spread_evenly

# BAC, PV, EV, AC, CV, SV, CPI, SPI, EAC by cost, as budgeted, by both, weighted, ETC, VAC, TCPI.
# EV-1: printed in a tutorial on earned value (0.89, 0.80, 112.5, 67.5, -12.5, 129, 1.09); EV-2:
# inputs of a university course deck; EV-3, EV-4: posted exercises, planned value own; EV-5 own,
# exact fractions by hand. Definitions: ANSI/EIA-748, ISO 21508:2018.
EARNED = {
    "EV-1": "100 50 40 45 -5 -10 0.888889 0.8 112.5 105 129.375 113.877551 67.5 -12.5 1.090909",
    "EV-2": "100000 55000 50000 45000 5000 -5000 1.111111 0.909091 90000 95000 94500 91698.113208 "
    "45000 10000 0.909091",
    "EV-3": "500000 150000 150000 162000 -12000 0 0.925926 1 540000 512000 540000 534047.244094 "
    "378000 -40000 1.035503",
    "EV-4": "5000000 1500000 1500000 1800000 -300000 0 0.833333 1 6000000 5300000 6000000 "
    "5838461.538462 4200000 -1000000 1.09375",
    "EV-5": "80000 32000 26000 30500 -4500 -6000 0.852459 0.8125 93846.153846 84500 "
    "108464.497041 94445.644261 63346.153846 -13846.153846 1.090909",
}

# Planned value at months 1 to 8 of a project that takes ten (own example, exact by hand);
# AT, PV, EV, AC, ES, SV(t), SPI(t), IEAC(t), TSPI(t). Formulas: W. Lipke, "Schedule is
# Different", The Measurable News, 2003.
PLANNED = [5, 15, 30, 50, 70, 85, 95, 100]
LATE_PROJECT = """
1 4 0.8 -0.2 0.8 10 1.028571
2 11 1.6 -0.4 0.8 10 1.066667
3 22 2.466667 -0.533333 0.822222 9.729730 1.106667
4 36 3.3 -0.7 0.825 9.696970 1.175
5 50 4 -1 0.8 10 1.333333
6 62 4.6 -1.4 0.766667 10.434783 1.7
7 74 5.266667 -1.733333 0.752381 10.632911 2.733333
8 83 5.866667 -2.133333 0.733333 10.909091 -
9 92 6.7 -2.3 0.744444 10.746269 -
10 100 8 -2 0.8 10 -
"""


def near(found: Fraction | None, printed: str) -> bool:
    """Return whether a figure is the printed one, to the printed digits."""
    if printed == "-":
        return found is None
    assert found is not None
    places = len(printed.partition(".")[2])
    return abs(found - Fraction(printed)) <= Fraction(1, 2 * 10**places)


@pytest.mark.parametrize("name", EARNED)
def test_earned_value_is_the_printed_one(name: str) -> None:
    budget, planned, earned, actual, *printed = EARNED[name].split()
    found = EarnedValue(*(Fraction(one) for one in (budget, planned, earned, actual)))
    computed = [
        found.cost_variance,
        found.schedule_variance,
        found.cost_index,
        found.schedule_index,
        found.estimate_by_cost,
        found.estimate_as_budgeted,
        found.estimate_by_both,
        found.estimate_weighted,
        found.to_spend,
        found.variance_at_completion,
        found.index_to_budget,
    ]
    for value, text in zip(computed, printed, strict=True):
        assert near(value, text)
    assert found.estimate_by_cost is not None
    assert found.index_to(found.estimate_by_cost) == found.cost_index


def test_indices_without_a_divisor_are_not_yet() -> None:
    begun = EarnedValue(Fraction(100), Fraction(0), Fraction(0), Fraction(0))
    assert begun.cost_index is None
    assert begun.schedule_index is None
    assert begun.estimate_by_cost is None
    assert begun.estimate_by_both is None
    assert begun.estimate_weighted is None
    assert begun.to_spend is None
    assert begun.index_to_budget == 1
    spent = EarnedValue(Fraction(100), Fraction(90), Fraction(80), Fraction(100))
    assert spent.index_to_budget is None
    beyond = EarnedValue(Fraction(100), Fraction(90), Fraction(80), Fraction(110))
    assert beyond.index_to_budget == -2


def test_earned_schedule_of_the_picture_case() -> None:
    """Seven months gone, earned what was planned for month five: Lipke's picture."""
    found = earned_schedule([Fraction(one) for one in PLANNED], Fraction(70), Fraction(7))
    assert found.earned == 5
    assert found.variance == -2
    assert found.index == Fraction(5, 7)


@pytest.mark.parametrize("row", LATE_PROJECT.strip().splitlines())
def test_earned_schedule_of_a_late_project(row: str) -> None:
    time, earned, *printed = row.split()
    found = earned_schedule([Fraction(one) for one in PLANNED], Fraction(earned), Fraction(time))
    computed = [found.earned, found.variance, found.index, found.estimate, found.index_to_plan]
    assert found.duration == 8
    for value, text in zip(computed, printed, strict=True):
        assert near(value, text)


def test_stretches_without_planned_work_are_stepped_over() -> None:
    flat = [Fraction(one) for one in (10, 10, 10, 20, 20)]
    assert earned_schedule(flat, Fraction(10), Fraction(5)).earned == 3
    assert earned_schedule(flat, Fraction(15), Fraction(5)).earned == Fraction(7, 2)
    assert earned_schedule(flat, Fraction(20), Fraction(5)).earned == 4


@pytest.mark.parametrize(
    ("planned", "earned", "sentence"),
    [
        ([], 0, "nothing is planned"),
        ([0, 0], 0, "nothing is planned"),
        ([5, 4], 1, "the cumulative planned value falls"),
        ([5], 6, "6 earned is not between nothing and 5"),
    ],
)
def test_plans_that_earn_nothing_are_refused(
    planned: list[int], earned: int, sentence: str
) -> None:
    with pytest.raises(ValueError, match=sentence):
        earned_schedule([Fraction(one) for one in planned], Fraction(earned), Fraction(1))


@pytest.mark.parametrize(
    ("amount", "cents"),
    [("2.675", 268), ("2.665", 267), ("0.125", 13), ("0.135", 14), ("1.005", 101),
     ("-2.665", -267), ("2.685", 269), ("0.004", 0), ("-0.005", -1)],
)  # fmt: skip
def test_halves_are_rounded_away_from_zero(amount: str, cents: int) -> None:
    """As Python's decimal arithmetic rounds with ROUND_HALF_UP; binary floats do not."""
    assert in_minor_units(Decimal(amount), "EUR") == cents
    assert in_minor_units(Fraction(amount), "EUR") == cents


@pytest.mark.parametrize(
    ("amount", "currency", "weights", "parts"),
    [
        ("100.00", "EUR", (1, 1, 1), "33.34 33.33 33.33"),
        ("100.00", "EUR", (1,) * 7, "14.29 14.29 14.29 14.29 14.28 14.28 14.28"),
        ("5.00", "EUR", (3, 7), "1.50 3.50"),
        ("0.01", "EUR", (1, 1, 1), "0.01 0.00 0.00"),
        ("1234.57", "EUR", (5, 3, 2), "617.29 370.37 246.91"),
        ("100", "JPY", (1, 2, 3, 1), "14 29 43 14"),
        ("-0.01", "EUR", (1, 1), "-0.01 0.00"),
    ],
)
def test_shares_by_largest_remainder(
    amount: str, currency: str, weights: tuple[int, ...], parts: str
) -> None:
    """By hand, with exact decimals; ties go to the earlier."""
    found = share_out(in_minor_units(Decimal(amount), currency), weights)
    assert [from_minor_units(one, currency) for one in found] == [
        Decimal(one) for one in parts.split()
    ]
    assert sum(found) == in_minor_units(Decimal(amount), currency)


@pytest.mark.parametrize("weights", [(0, 0), (1, -1, 3)])
def test_weights_that_share_nothing_out_are_refused(weights: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="share nothing out"):
        share_out(100, weights)


@pytest.mark.parametrize(
    ("cents", "periods", "parts"),
    [
        (100000, 3, [33333, 33334, 33333]),
        (10000, 7, [1429, 1428, 1429, 1428, 1429, 1428, 1429]),
        (1000, 6, [167, 166, 167, 167, 166, 167]),
    ],
)
def test_even_spread_rounds_the_running_total(cents: int, periods: int, parts: list[int]) -> None:
    """By hand, with exact decimals."""
    assert list(spread_evenly(cents, [Fraction(1, periods)] * periods)) == parts


def test_spread_needs_the_whole() -> None:
    with pytest.raises(ValueError, match="do not add up to one"):
        spread_evenly(100, [Fraction(1, 3)])
