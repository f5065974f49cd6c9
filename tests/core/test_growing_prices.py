"""What prices may still grow by: in the ledger, in the courses, on its date."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from scipy import integrate, stats

from ribstitch.money import Bucket, cost_runs, forecast_of, joint_chance, missing_for_cost
from ribstitch.money.cash import cash_need
from ribstitch.money.entries import Origin
from ribstitch.money.exposure import exposures
from ribstitch.money.ledger import ledger_of
from ribstitch.planning.model import (
    Cost,
    Due,
    DueAt,
    Plan,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from ribstitch.planning.uncertainty import simulate
from tests.core.costed import AS_OF, booked, costed, line, paid
from tests.core.making import ticks

ENGINE = SendOut("S1", "V1", kind="engine", intake=ticks(5), approval=ticks(5), lead=ticks(20),
                 accept=ticks(1))  # fmt: skip
KIND = SendOutKind("engine", 1.35, 2.2, growth_median=1.2, growth_p90=1.6)
T = stats.t(8, np.log(1.2), (np.log(1.6) - np.log(1.2)) / stats.t.ppf(0.9, 8))
"""The logarithm of final over first price where only the kind is known: t of 2 x 4 degrees."""
MEAN = float(np.minimum(np.exp(T.ppf((np.arange(1024) + 0.5) / 1024)), 3).mean())
"""Its mean over 1,024 equal slices of chance, nothing above 3."""


def order(amount: str = "1000", **fields: Any) -> Cost:
    """Return the order of the engine, in pounds."""
    given = {"id": "engine", "kind": "vendor", "send_out": "S1", "state": "ordered", **fields}
    return line(amount, given.pop("currency", "GBP"), **given)


def away(*costs: Cost, item: SendOut = ENGINE, **more: Any) -> Plan:
    """Return a plan whose engine is away."""
    return costed(*costs, kinds=[KIND], vendors=[Vendor("V1")], send_outs=[item], **more)


def growth(made: Plan) -> list[tuple[str, int, int]]:
    """Return what prices grow by: line, minor units of its currency, their worth."""
    entries = booked(made).entries
    return [(one.of, one.amount, one.worth) for one in entries if one.origin is Origin.GROWTH]


def test_an_open_price_grows_by_the_mean_of_what_such_prices_came_to() -> None:
    """1,000 GBP at 1.14; half of it is paid, and all of it grows. The mean by scipy's integral."""
    exact, _ = integrate.quad(lambda x: min(np.exp(x), 3) * T.pdf(x), -12, 12, limit=200)
    assert pytest.approx(exact, abs=2e-4) == MEAN
    made = away(order(payments=paid((date(2026, 1, 20), "500")), chapter="85"))
    more = round(100_000 * (MEAN - 1))
    assert growth(made) == [("engine", more, round(more * 1.14))]
    ledger = booked(made)
    (one,) = (one for one in ledger.entries if one.origin is Origin.GROWTH)
    assert (one.bucket, one.kind, one.on, one.chapter, one.vendor, one.send_out) == (
        Bucket.EXPECTED, "vendor", AS_OF, "85", "V1", "S1",
    )  # fmt: skip
    whole = forecast_of(made, ledger).whole
    assert (whole.price_growth, whole.expected, whole.allowance) == (one.worth, one.worth, 0)
    assert whole.committed == 57_000


@pytest.mark.parametrize(
    ("fields", "grows"),
    [
        ({"state": "estimate"}, True),
        ({"state": "quoted"}, True),
        ({"state": "ordered"}, True),
        ({"state": "invoiced"}, False),
        ({"state": "paid"}, False),
        ({"kind": "freight"}, False),
        ({"amount": "-1000"}, False),
        ({"send_out": None}, False),
        ({"amount": "0.01"}, False),
    ],
)
def test_only_a_vendors_price_that_nobody_has_billed_grows(
    fields: dict[str, Any], grows: bool
) -> None:
    """Of a penny it is a quarter, which cannot be paid."""
    assert bool(growth(away(order(**fields)))) == grows


@pytest.mark.parametrize(
    "known",
    [
        {"status": SendOutStatus(quoted=AS_OF)},
        {"source": Source.EXCHANGE},
        {"source": Source.IN_HAND, "intake": 0, "approval": 0, "lead": 0, "accept": 0},
        {"dropped": True},
    ],
)
def test_with_the_teardown_quote_the_price_stands(known: dict[str, Any]) -> None:
    made = away(order(), item=replace(ENGINE, **known))
    assert growth(made) == []
    costs = cost_runs(made, simulate(made, runs=30, seed=3))
    assert costs is not None
    assert set(costs.cost.tolist()) == {booked(made).total()}


def test_growth_in_a_currency_without_a_rate_is_named_and_open() -> None:
    ledger = booked(away(order(currency="CZK")))
    more = round(100_000 * (MEAN - 1))
    assert [(one.origin, one.amount, one.worth) for one in ledger.without_rate] == [
        (Origin.LINE, 100_000, 0),
        (Origin.GROWTH, more, 0),
    ]
    (one,) = exposures(ledger)
    assert (one.currency, one.open, one.worth) == ("CZK", 100_000 + more, None)


def test_the_courses_draw_the_whole_distribution() -> None:
    """The engine's price alone varies: percentiles against scipy, within four standard errors."""
    made = away(order(), line("200", id="paint"))
    runs = simulate(made, runs=40_000, seed=5)
    costs = cost_runs(made, runs)
    assert costs is not None
    ratios = (costs.cost / 100 - 200) / 1140
    for level in (0.1, 0.5, 0.8, 0.9):
        value = T.ppf(level)
        error = np.sqrt(level * (1 - level) / 40_000) / T.pdf(value)
        found = np.log(np.quantile(ratios, level))
        assert found == pytest.approx(value, abs=4 * error + 1e-3)
    assert ratios.max() <= 3
    error = costs.cost.std() / 200
    assert costs.cost.mean() == pytest.approx(booked(made).total(), abs=4 * error)
    assert costs.certain == Decimal(1340)


def test_a_price_moves_no_date_and_the_same_seed_draws_the_same_prices() -> None:
    made, settled = away(order()), away(order(state="invoiced"))
    first, again, without = (simulate(one, runs=500, seed=9) for one in (made, made, settled))
    assert (first.finish == without.finish).all()
    one, same = cost_runs(made, first), cost_runs(made, again)
    assert one is not None
    assert same is not None
    assert (one.cost == same.cost).all()
    other = cost_runs(made, simulate(made, runs=500, seed=10))
    assert other is not None
    assert (one.cost != other.cost).any()


def test_the_joint_chance_counts_dear_and_late_courses_of_prices_too() -> None:
    made = away(order())
    runs = simulate(made, runs=4_000, seed=2)
    costs = cost_runs(made, runs)
    assert costs is not None
    by, amount = runs.finish_at(50), costs.percentile(80)
    both = joint_chance(runs, costs, by, amount).probability
    counted = runs.finished_by(by) & (costs.cost <= int(100 * amount))
    assert both == counted.mean()
    in_time, within = runs.chance_by(by).probability, costs.chance_within(amount).probability
    assert max(0, in_time + within - 1) < both < min(in_time, within)


def test_growth_is_needed_with_the_last_part_of_its_line() -> None:
    """The balance, ten dates after the item is accepted; all but a penny is paid by then."""
    dues = (Due(Decimal(30), DueAt.ORDER), Due(Decimal(70), DueAt.ACCEPTED, days=10))
    for payments in ((), paid((date(2026, 1, 20), "1000"))):
        dated = schedule(away(order(dues=dues, payments=payments)))
        accepted = dated.finish_on_of(dated.number("S1/accept"))
        found = cash_need(dated, ledger_of(dated))
        (one,) = (one for one in found.needs if one.entry.origin is Origin.GROWTH)
        assert one.when.moves
        assert (one.when.on - accepted).days == 10
        assert one.worth == one.entry.worth


def test_prices_that_may_grow_beyond_what_can_be_counted_are_said_to_be_too_much() -> None:
    """Three times 2 x 10^16 do not fit any more."""
    big = order(str(2 * 10**16), currency="EUR")
    assert missing_for_cost(away(big)) is not None
    assert missing_for_cost(away(replace(big, state="invoiced"))) is None
