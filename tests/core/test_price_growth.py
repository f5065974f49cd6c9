"""Prices that may grow: which ones, by how much, and how they are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from math import exp, log
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from ribstitch.planning.model import (
    Cost,
    CostStep,
    PastJob,
    Plan,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    Vendor,
)
from ribstitch.planning.prepared import prepare
from ribstitch.planning.uncertainty.price_growth import (
    MOST_GROWN,
    PriceGrowth,
    drawn_ratios,
    is_price_open,
    price_growths,
)
from ribstitch.planning.uncertainty.streams import Streams
from ribstitch.planning.uncertainty.vendor_record import GROWTH_MEDIAN, GROWTH_P90
from tests.core.making import MONDAY, plan, task, ticks
from tests.property.settings import examples

ENGINE = SendOutKind("engine", 1.35, 2.2, growth_median=1.2, growth_p90=1.6)
RADIO = SendOutKind("radio", 1.1, 1.5, growth_median=1.1, growth_p90=1.3)
OPEN = SendOut("S1", "V1", kind="engine", intake=ticks(5), lead=ticks(20))


def job(ratio: float, kind: str = "engine", **fields: Any) -> PastJob:
    """Return a job first priced at 100,000."""
    final = Decimal(round(100_000 * ratio))
    return PastJob(kind, 40, 50, quoted_price=Decimal(100_000), final_price=final, **fields)


def made(
    *send_outs: SendOut,
    histories: Sequence[Sequence[PastJob]] = ((),),
    kinds: Sequence[SendOutKind] = (ENGINE, RADIO),
    costs: Sequence[Cost] = (),
    **fields: Any,
) -> Plan:
    """Return a plan with an engine of V1 that nobody has looked into."""
    vendors = [Vendor(f"V{n}", history=tuple(jobs)) for n, jobs in enumerate(histories, start=1)]
    return plan([task("A")], vendors=vendors, kinds=kinds, send_outs=(OPEN, *send_outs),
                costs=costs, **fields)  # fmt: skip


def growth(of: Plan, name: str = "S1") -> PriceGrowth:
    """Return what is known of one price."""
    return price_growths(prepare(of))[name]


def predicted(one: PriceGrowth) -> list[float]:
    """Return median and P90 of final over first price."""
    return [exp(one.posterior.quantile(level)) for level in (0.5, 0.9)]


# --- What is known -----------------------------------------------------------------------


def test_without_history_the_kind_is_the_forecast_and_without_a_kind_the_trade() -> None:
    assert predicted(growth(made())) == pytest.approx([1.2, 1.6])
    assert predicted(growth(made(kinds=()))) == pytest.approx([GROWTH_MEDIAN, GROWTH_P90])
    silent = replace(ENGINE, growth_median=None, growth_p90=None)
    assert predicted(growth(made(kinds=[silent]))) == pytest.approx([GROWTH_MEDIAN, GROWTH_P90])


def test_one_job_moves_the_middle_by_a_quarter_of_the_way() -> None:
    """Three jobs' worth of the kind and one of its own: (3 log 1.2 + log 1.8) / 4."""
    one = growth(made(histories=[[job(1.8)]]))
    assert one.median == pytest.approx(1.2 ** (3 / 4) * 1.8 ** (1 / 4))
    assert (one.jobs, one.kind_jobs) == (1, 0)


def test_prices_and_times_are_learned_apart() -> None:
    dear = growth(made(histories=[[job(1.8)]]))
    late = growth(made(histories=[[replace(job(1.8), actual_days=400)]]))
    assert dear == late
    without = PastJob("engine", 40, 50)
    assert growth(made(histories=[[without]])).posterior == growth(made()).posterior


def test_the_price_of_a_job_sent_back_counts() -> None:
    back = growth(made(histories=[[job(1.8, trips=2)]]))
    assert back.posterior == growth(made(histories=[[job(1.8)]])).posterior


SETTLED = SendOutStatus(arrived=MONDAY, quoted=MONDAY, received=MONDAY, accepted=MONDAY)


def order(amount: str, *earlier: str, **fields: Any) -> Cost:
    """Return the order of S0 with what it was before."""
    steps = tuple(CostStep("estimate", Decimal(one)) for one in earlier)
    given = {"currency": "GBP", "state": "ordered", "kind": "vendor", **fields}
    return Cost(id=f"C{amount}", amount=Decimal(amount), send_out="S0", earlier=steps, **given)


@pytest.mark.parametrize(
    ("costs", "ratio"),
    [
        ([order("150000", "100000", "120000")], 1.5),
        ([order("150000", "100000"), order("50000", "100000")], 1.0),
        ([order("150000", "100000"), order("7")], 1.5),
        ([order("150000")], None),
        ([order("150000", "100000"), order("5", "4", currency="USD")], None),
        ([order("150000", "100000", kind="freight")], None),
        ([order("-150000", "100000")], None),
        ([], None),
    ],
)
def test_the_plans_own_accepted_items_tell_first_and_last_price(
    costs: list[Cost], ratio: float | None
) -> None:
    done = replace(OPEN, id="S0", status=SETTLED)
    rates = {"exchange_rates": ()}
    one = growth(made(done, costs=costs, **rates))
    seen = made(histories=[[] if ratio is None else [job(ratio)]])
    assert one.posterior.mean == pytest.approx(growth(seen).posterior.mean)
    assert one.posterior.weight == growth(seen).posterior.weight


def test_an_item_under_way_tells_its_price_once_it_is_paid() -> None:
    away = replace(OPEN, id="S0", status=replace(SETTLED, received=None, accepted=None))
    open_order, paid_order = (
        order("150000", "100000", state=state) for state in ("ordered", "paid")
    )
    assert growth(made(away, costs=[open_order])).jobs == 0
    assert growth(made(away, costs=[paid_order])).jobs == 1
    bought = replace(away, source=Source.EXCHANGE)
    assert growth(made(bought, costs=[paid_order])).jobs == 0


# --- Which prices are open ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("fields", "is_open"),
    [
        ({}, True),
        ({"source": Source.PATTERN}, True),
        ({"source": Source.EXCHANGE}, False),
        ({"source": Source.IN_HAND}, False),
        ({"dropped": True}, False),
        ({"trip_of": "S0"}, False),
        ({"intake": 0}, False),
        ({"status": SendOutStatus(shipped=MONDAY, arrived=MONDAY)}, True),
        ({"status": SendOutStatus(promised=MONDAY)}, True),
        ({"status": SendOutStatus(quoted=MONDAY)}, False),
        ({"status": SendOutStatus(approved=MONDAY)}, False),
        ({"status": SendOutStatus(left_vendor=MONDAY)}, False),
        ({"status": SendOutStatus(accepted=MONDAY)}, False),
        ({"status": SendOutStatus(rejected=MONDAY)}, False),
    ],
)
def test_a_price_is_open_until_the_vendor_has_looked_inside(
    fields: dict[str, Any], is_open: bool
) -> None:
    assert is_price_open(replace(OPEN, **fields)) == is_open


# --- How they are drawn ------------------------------------------------------------------

RATIOS = st.floats(0.4, 4)


@given(st.lists(RATIOS, max_size=6), st.lists(RATIOS, max_size=3))
@examples(25)
def test_table_and_mean_are_those_of_the_t_cut_off_above(
    own: list[float], others: list[float]
) -> None:
    """
    Against the update written out again with scipy's t, level by level.

    Kind: 6 jobs' worth and shape 4 at log 1.2 and log 1.6; the n jobs of one other vendor count
    for n / (1 + (n - 1) / 4). Vendor: 3 jobs' worth, shape 4, at the kind's median and P90.
    """

    def law(weight: float, shape: float, rate: float, mean: float) -> Any:
        return stats.t(2 * shape, mean, np.sqrt(rate * (weight + 1) / (shape * weight)))

    def learned(median: float, p90: float, weight: float, values: list[float], worth: float) -> Any:
        scale = (p90 - median) / stats.t.ppf(0.9, 8)
        rate, logs = scale**2 * 4 * weight / (weight + 1), np.log(values)
        count = worth * len(values)
        if not values:
            return law(weight, 4, rate, median)
        rate += worth * ((logs - logs.mean()) ** 2).sum() / 2
        rate += weight * count * (logs.mean() - median) ** 2 / (2 * (weight + count))
        mean = (weight * median + count * logs.mean()) / (weight + count)
        return law(weight + count, 4 + count / 2, rate, mean)

    own, others = (
        [float(job(one).final_price or 0) / 1e5 for one in jobs] for jobs in (own, others)
    )
    worth = 1 / (1 + (len(others) - 1) / 4)
    kind = learned(log(1.2), log(1.6), 6, others, worth)
    t = learned(kind.ppf(0.5), kind.ppf(0.9), 3, own, 1)
    levels = (np.arange(1024) + 0.5) / 1024
    expected = np.minimum(np.exp(t.ppf(levels)), 3)
    one = growth(made(histories=[[job(r) for r in own], [job(r) for r in others]]))
    assert one.table == pytest.approx(expected, abs=1e-6)
    assert float(one.mean) == pytest.approx(expected.mean(), abs=1e-6)


def test_no_price_grows_beyond_its_limit_whatever_the_record() -> None:
    one = growth(made(histories=[[job(40.0)] * 50]))
    assert one.median > 20
    assert one.table.max() == MOST_GROWN
    assert MOST_GROWN - 0.01 < one.mean < MOST_GROWN


def test_two_prices_of_one_vendor_are_related_and_those_of_two_are_not() -> None:
    """Rank correlation of a Gaussian copula: 6 / pi asin(share / 2)."""
    of = made(
        replace(OPEN, id="S2"), replace(OPEN, id="S3", vendor="V2"), histories=[[job(1.4)], []]
    )
    known, streams = price_growths(prepare(of)), Streams(7, 40_000)
    one, same, other = (drawn_ratios(known[name], streams) for name in ("S1", "S2", "S3"))
    share = 1 / (3 + 1 + 1)
    assert known["S1"].posterior.likeness == share
    expected = 6 / np.pi * np.arcsin(share / 2)
    assert stats.spearmanr(one, same).statistic == pytest.approx(expected, abs=0.015)
    assert abs(stats.spearmanr(one, other).statistic) < 0.015
    assert one.mean() == pytest.approx(float(known["S1"].mean), abs=4 * one.std() / 200)


def test_another_price_changes_no_draw_and_more_runs_begin_with_the_same() -> None:
    more = price_growths(prepare(made(replace(OPEN, id="S0"))))["S1"]
    one = growth(made())
    few, many = (drawn_ratios(one, Streams(3, runs)) for runs in (50, 400))
    assert (drawn_ratios(more, Streams(3, 50)) == few).all()
    assert (many[:50] == few).all()
    assert (drawn_ratios(one, Streams(4, 50)) != few).any()
