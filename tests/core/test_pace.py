"""Pace: what finished work tells of zones and trades, against brute force and a known truth."""

from __future__ import annotations

from datetime import date, timedelta
from math import exp, log, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from ribstitch.planning.model import Link, Plan, Task, WorkShape
from ribstitch.planning.prepared import prepare
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before, start_of
from ribstitch.planning.uncertainty.pace import (
    FRESH,
    LEAST_NOISE,
    SHORTEST,
    TRADES_TOGETHER,
    UNRANGED_NOISE,
    Pace,
    log_moments,
    pace_of,
)
from tests.core.making import MONDAY, link, plan, status, task, ticks

SPREADS = {"zone_spread": 0.1, "trade_spread": 0.1}
LATER = date(2027, 1, 4)


def pace(of: Plan) -> Pace:
    """Return the pace of a plan."""
    return pace_of(of, prepare(of))


def made(*tasks: Task, links: tuple[Link, ...] = (), **project: Any) -> Plan:
    """Return a plan long after its tasks."""
    return plan(tasks, links, as_of=LATER, project=SPREADS | project)


def done(name: str, days: float, dates: tuple[int, int], **fields: Any) -> Task:
    """Return a task of `days` done from one to another January date, both worked."""
    first, last = (date(2026, 1, number) for number in dates)
    fields = {"zone": "tail", "trade": "wood"} | fields
    return task(name, days, status=status("done", started=first, finished=last), **fields)


def spread(low: float, likely: float, high: float) -> tuple[int, int, int]:
    """Return a range in ticks."""
    return ticks(low), ticks(likely), ticks(high)


def multipliers(found: Pace, normals: np.ndarray) -> np.ndarray:
    """Turn independent standard normals into factors, as the draws do: shape (k, runs)."""
    factors: np.ndarray = np.exp(found.mean[:, None] + found.root @ normals)
    return factors


def ratio(found: Pace, kind: str, name: str) -> float:
    """Return the average factor of a zone or trade."""
    return next(one.ratio for one in found.summary if (one.kind, one.id) == (kind, name))


def test_without_finished_work_factors_are_one_on_average() -> None:
    found = pace(made(task("A", 5, zone="tail", trade="wood"), task("B", 5, zone="bow")))
    assert found.factors == (("zone", "bow"), ("zone", "tail"), ("trade", "wood"))
    assert found.mean == pytest.approx([-0.005] * 3)
    assert found.covariance == pytest.approx(0.01 * np.eye(3))
    assert [one.ratio for one in found.summary] == pytest.approx([1, 1, 1])
    assert (found.tasks_seen, found.scatter) == (0, 1)


def test_two_tasks_against_brute_force() -> None:
    """Prior times likelihood on a grid of zone and trade; figures of the tasks by hand.

    What is of the work to come alone is no part of the grid, and added to what comes out.

    A: PERT 5, 10, 20 has mean 65/6, variance (35/6)(55/6)/7; worked 5 to 19 January, 11
    days. B: as written, 6 days, took 7. Each end is known to its day: variance 2/12.
    """
    tasks = (
        done("A", 10, (5, 19), duration_range=spread(5, 10, 20)),
        done("B", 6, (5, 13), trade="metal"),
    )
    found = pace(made(*tasks, zone_spread=0.2, trade_spread=0.3))
    assert found.scatter == 1
    own = (35 / 6) * (55 / 6) / 7 / (65 / 6) ** 2
    over = [log(11) - log(65 / 6) + own / 2, log(7 / 6)]
    noise = [sqrt(own + 1 / 6 / 11**2), sqrt(UNRANGED_NOISE**2 + 1 / 6 / 7**2)]
    lasting = 1 - FRESH
    edges = [np.linspace(-6 * s, 6 * s, 81) - s * s / 2 for s in (0.2, 0.3, 0.3)]
    tail, metal, wood = np.meshgrid(*edges, indexing="ij")
    weight = stats.norm.pdf(tail, -0.02, 0.2 * sqrt(lasting))
    together = 0.09 * np.array([[1, TRADES_TOGETHER], [TRADES_TOGETHER, 1]])
    trades = stats.multivariate_normal([-0.045, -0.045], lasting * together)
    weight *= trades.pdf(np.stack([metal, wood], axis=-1))
    weight *= stats.norm.pdf(over[0], tail + wood, noise[0])
    weight *= stats.norm.pdf(over[1], tail + metal, noise[1])
    weight /= weight.sum()
    points = np.stack([tail.ravel(), metal.ravel(), wood.ravel()])
    mean = points @ weight.ravel()
    covariance = (points - mean[:, None]) * weight.ravel() @ (points - mean[:, None]).T
    covariance[0, 0] += FRESH * 0.04
    covariance[1:, 1:] += FRESH * together
    assert found.mean == pytest.approx(mean, abs=1e-6)
    assert found.covariance == pytest.approx(covariance, abs=1e-6)


def test_late_work_slows_its_zone_and_trade_and_the_other_trades_a_little() -> None:
    tasks = [done(f"A{n}", 5, (5, 16)) for n in range(4)]
    found = pace(made(*tasks, task("B", 5, zone="bow", trade="metal")))
    assert ratio(found, "zone", "tail") > 1.02
    assert ratio(found, "trade", "wood") == pytest.approx(ratio(found, "zone", "tail"))
    assert ratio(found, "zone", "bow") == pytest.approx(1)
    assert 1 < ratio(found, "trade", "metal") < ratio(found, "trade", "wood"), "one shop"
    assert found.covariance[0, 1] == 0
    assert found.covariance[1, 3] < 0
    assert {(one.id, one.tasks) for one in found.summary} == {
        ("bow", 0), ("tail", 4), ("metal", 0), ("wood", 4),
    }  # fmt: skip


def test_more_late_work_is_believed_more() -> None:
    few, many = (
        pace(made(*[done(f"A{n}", 5, (5, 14)) for n in range(count)])) for count in (2, 20)
    )
    assert 1 < ratio(few, "zone", "tail") < ratio(many, "zone", "tail")
    assert many.covariance[0, 0] < few.covariance[0, 0] < 0.01
    together = exp(float(many.mean.sum()))
    assert 1.2 < together < 8 / 5


@pytest.mark.parametrize("spreads", [(0, 0), (0.2, 0), (0, 0.2)])
def test_a_spread_of_zero_keeps_a_factor_at_one(spreads: tuple[float, float]) -> None:
    tasks = [done(f"A{n}", 5, (5, 14)) for n in range(5)]
    found = pace(made(*tasks, zone_spread=spreads[0], trade_spread=spreads[1]))
    drawn = multipliers(found, np.random.default_rng(1).standard_normal((2, 500)))
    for row, one in enumerate(spreads):
        assert (found.covariance[row, row] == 0) == (one == 0)
        assert (drawn[row] == 1).all() == (one == 0)


def test_dates_that_two_tasks_share_are_counted_half() -> None:
    """A ends and B begins on 9 January: A takes 4.5 days, B 5.5 (5 and 6 as recorded)."""
    tasks = [done("A", 5, (5, 9), trade=None), done("B", 5, (9, 16), zone="bow", trade=None)]
    alone, linked = pace(made(*tasks)), pace(made(*tasks, links=(link("A", "B"),)))
    assert alone.mean != pytest.approx(linked.mean)
    for kind, name, days, plain in [("zone", "tail", 4.5, 5), ("zone", "bow", 5.5, 6)]:
        for found, taken in [(linked, days), (alone, plain)]:
            noise = UNRANGED_NOISE**2 + 1 / 6 / taken**2
            lasting = (1 - FRESH) * 0.01
            gain = lasting / (lasting + noise)
            place = found.factors.index((kind, name))
            assert found.mean[place] == pytest.approx(-0.005 + gain * (log(taken / 5) + 0.005))


def test_what_tells_nothing_is_left_out() -> None:
    short = task("short", (SHORTEST - 180) / 1440, zone="tail",
                 status=status("done", started=MONDAY, finished=MONDAY))  # fmt: skip
    undated = task("undated", 5, zone="tail", status=status("done", finished=MONDAY))
    closed = done("sunday", 5, (11, 11))
    milestone = done("milestone", 0, (5, 5))
    nowhere = done("nowhere", 5, (5, 16), zone=None, trade=None)
    begun = task("begun", 5, zone="tail", status=status("in_work", 2, started=MONDAY))
    found = pace(made(short, undated, closed, milestone, nowhere, begun))
    assert found.tasks_seen == 0
    assert pace(made(nowhere)).factors == ()


def test_one_odd_record_does_not_carry_its_zone_away() -> None:
    """Three tasks on time, one with a month of waiting in its dates: all noise is raised."""
    usual = [done(f"A{n}", 5, (5, 9), duration_range=spread(4, 5, 6)) for n in range(3)]
    odd = done("odd", 5, (5, 30), duration_range=spread(4, 5, 6))
    calm, upset = pace(made(*usual)), pace(made(*usual, odd))
    assert calm.scatter == 1
    assert upset.scatter > 3
    assert 1 < ratio(upset, "zone", "tail") < 1.04


def test_a_range_without_width_is_not_believed_to_the_hour() -> None:
    exact = done("A", 5, (5, 12), duration_range=spread(5, 5, 5))
    noise = LEAST_NOISE**2 + 1 / 6 / 6**2
    found = pace(made(exact, zone_spread=1.0, trade_spread=1.0))
    lasting = 1 - FRESH
    gain = lasting / (2 * lasting + noise)
    assert found.mean == pytest.approx([-0.5 + gain * (log(6 / 5) + 1)] * 2)


@pytest.mark.parametrize("shape", list(WorkShape))
@pytest.mark.parametrize("days", [(5, 10, 20), (8, 10, 14), (10, 10, 15), (0, 1, 2), (3, 3, 3)])
def test_log_moments_against_integration(
    shape: WorkShape, days: tuple[float, float, float]
) -> None:
    """Against scipy's beta and triangle by quadrature; second order, so near and not exact."""
    mean, variance = log_moments(*days, shape)
    low, likely, high = days
    if low == high:
        assert (mean, variance) == (log(low), 0)
        return
    mode = (likely - low) / (high - low)
    law = stats.triang(mode) if shape is WorkShape.TRIANGULAR else stats.beta(
        1 + 4 * mode, 5 - 4 * mode
    )  # fmt: skip

    def moment(power: int, about: float) -> float:
        def integrand(x: float) -> float:
            return float((log(low + (high - low) * x) - about) ** power * law.pdf(x))

        return float(integrate.quad(integrand, 1e-12, 1 - 1e-12, limit=200)[0])

    exact = moment(1, 0)
    assert mean == pytest.approx(exact, abs=0.035)
    assert sqrt(variance) == pytest.approx(sqrt(moment(2, exact)), rel=0.25)


def test_multipliers_have_the_posteriors_mean_and_covariance() -> None:
    tasks = [done(f"A{n}", 5, (5, 14)) for n in range(6)]
    found = pace(made(*tasks, done("B", 8, (5, 14), zone="bow")))
    normals = np.random.default_rng(7).standard_normal((3, 200_000))
    drawn = np.log(multipliers(found, normals))
    assert drawn.mean(axis=1) == pytest.approx(found.mean, abs=1e-3)
    assert np.cov(drawn) == pytest.approx(found.covariance, abs=1e-4)


@given(luck=st.randoms(use_true_random=False))
def test_order_of_tasks_does_not_matter(luck: Any) -> None:
    tasks = [done(f"A{n}", 3 + n, (5, 9 + n), zone=f"z{n % 2}", trade=f"t{n % 3}")
             for n in (0, 3, 4, 5, 6, 7)]  # fmt: skip
    mixed = pace(made(*luck.sample(tasks, len(tasks))))
    plain = pace(made(*tasks))
    assert mixed.factors == plain.factors
    assert mixed.mean == pytest.approx(plain.mean)
    assert mixed.covariance == pytest.approx(plain.covariance)


def test_bands_hold_a_hidden_truth_as_often_as_they_say() -> None:
    """80 projects with hidden factors and PERT work (numpy's beta), recorded by dates only.

    Finished work shows the lasting part of each factor; work to come has a part of its own.
    """
    luck = np.random.default_rng(20260105)
    inside, error, before = [], [], []
    for _ in range(80):
        names = [("zone", f"z{n}") for n in range(3)] + [("trade", f"t{n}") for n in range(2)]
        spread_of_both = 0.2 * np.sqrt([1 - FRESH, FRESH])
        truth = dict(zip(names, luck.normal(-0.02, spread_of_both[0], 5), strict=True))
        found = pace(_project(luck, truth))
        assert found.tasks_seen == 40
        fresh = luck.normal(0, spread_of_both[1], 5)
        actual = np.array([truth[name] for name in found.factors]) + fresh
        sigma = np.sqrt(np.diagonal(found.covariance))
        inside.append(np.abs(actual - found.mean) < stats.norm.ppf(0.9) * sigma)
        error.append((actual - found.mean) ** 2)
        before.append((actual + 0.02) ** 2)
    assert 0.72 < np.mean(inside) < 0.88
    assert np.mean(error) < 0.65 * np.mean(before)


def _project(luck: np.random.Generator, truth: dict[tuple[str, str], float]) -> Plan:
    """Return 40 finished tasks in two chains, on elapsed time, with these log factors."""
    tasks, links = [], []
    instants = [start_of(MONDAY)] * 2
    for number in range(40):
        chain, zone, trade = number % 2, f"z{luck.integers(3)}", f"t{luck.integers(2)}"
        likely = float(luck.integers(16, 120)) / 8
        low, high = likely * 5 / 8, likely * 15 / 8
        work = low + (high - low) * luck.beta(1 + 4 * 0.3, 5 - 4 * 0.3)
        taken = work * exp(truth["zone", zone] + truth["trade", trade])
        begin = instants[chain]
        instants[chain] = begin + max(round(taken * TICKS_PER_DAY), 1)
        tasks.append(task(
            f"A{number}", likely, zone=zone, trade=trade, calendar="elapsed",
            duration_range=spread(low, likely, high),
            status=status("done", started=date_at(begin), finished=date_before(instants[chain])),
        ))  # fmt: skip
        if number > 1:
            links.append(link(f"A{number - 2}", f"A{number}"))
    as_of = date_at(max(instants)) + timedelta(1)
    return plan(tasks, links, as_of=as_of, project={"zone_spread": 0.2, "trade_spread": 0.2})
