"""The calibration bench is itself right: scores, rivals, and the walk through the truth."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import date, timedelta
from functools import cache
from math import pi, sqrt

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from ribstitch.planning.model import Plan, State
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of
from tests.bench.hidden_truth import Restoration, draw_restoration
from tests.bench.rivals import EarnedSchedule, critical_path, earned_schedule, pert
from tests.bench.scoring import Normal, Point, Sample, score, share_by_cluster
from tests.bench.walker import SOURCES, Walk
from tests.core.making import MONDAY, link, plan, status, task, ticks

SEED = 20260105


@cache
def restoration(number: int) -> Restoration:
    """Return one restoration of the bench."""
    return draw_restoration(SEED, number)


def test_the_score_of_a_point_is_its_absolute_error() -> None:
    assert Point(10).crps(7) == Sample([10]).crps(7) == Normal(10, 0).crps(7) == 3


@pytest.mark.parametrize(
    ("values", "truth", "expected"),
    [([0, 2], 1, 0.5), ([0, 2], 2, 0.5), ([0, 2], 5, 3.5), ([1, 1, 4, 4], 2.5, 0.75)],
)
def test_the_score_of_a_step_is_the_area_between_it_and_the_truth_squared(
    values: list[float], truth: float, expected: float
) -> None:
    """The first: F is 1/2 from 0 to 2, so 1/4 over one day either side of the truth."""
    assert Sample(values).crps(truth) == pytest.approx(expected, abs=1e-12)


def test_the_score_of_a_normal_at_its_middle_is_the_textbook_value() -> None:
    """(sqrt 2 - 1) / sqrt pi times the standard deviation (Gneiting and Raftery, 2007)."""
    assert Normal(5, 3).crps(5) == pytest.approx(3 * (sqrt(2) - 1) / sqrt(pi), rel=1e-12)


@pytest.mark.parametrize("truth", [-4.0, 0.3, 2.5])
def test_the_score_of_a_normal_is_its_integral(truth: float) -> None:
    """Against numerical integration of (F - step)^2, and against 20,000 quantiles."""
    below = quad(lambda x: norm.cdf(x, 1, 2) ** 2, -40, truth)[0]
    above = quad(lambda x: norm.sf(x, 1, 2) ** 2, truth, 40)[0]
    assert Normal(1, 2).crps(truth) == pytest.approx(below + above, rel=1e-7)
    quantiles = norm.ppf((np.arange(20_000) + 0.5) / 20_000, 1, 2)
    assert Sample(quantiles).crps(truth) == pytest.approx(below + above, abs=1e-4)


@pytest.mark.parametrize(
    ("truth", "expected"),
    [
        (9.5, (False, False, True)),
        (10, (False, True, True)),
        (24, (False, True, True)),
        (25, (True, True, True)),
        (75, (True, True, True)),
        (75.5, (False, True, True)),
        (80, (False, True, True)),
        (80.5, (False, True, False)),
        (90.5, (False, False, False)),
    ],
)
def test_bands_hold_their_own_ends(truth: float, expected: tuple[bool, bool, bool]) -> None:
    """A hundred runs that finish on days 1 to 100."""
    found = score(Sample(range(100, 0, -1)), truth)
    assert (found.within_50, found.within_80, found.by_80) == expected
    assert (found.error, found.width_80) == (50 - truth, 80)


def test_the_place_of_the_truth_counts_ties_by_half() -> None:
    assert Sample([1, 2, 2, 3]).rank(2) == 0.5
    assert (Sample([1, 2]).rank(0), Sample([1, 2]).rank(1.5), Sample([1, 2]).rank(9)) == (0, 0.5, 1)


def test_forecasts_of_one_restoration_are_one_piece_of_evidence() -> None:
    """Said once or ten times, the standard error is that of a proportion of eight."""
    hits = np.array([1, 1, 1, 0, 1, 0, 1, 1], dtype=np.float64)
    alone = share_by_cluster(hits, np.arange(8))
    repeated = share_by_cluster(np.repeat(hits, 10), np.repeat(np.arange(8), 10))
    assert alone.share == repeated.share == 0.75
    assert alone.standard_error == pytest.approx(sqrt(0.75 * 0.25 / 7))
    assert repeated.standard_error == pytest.approx(alone.standard_error)


PLANNED_VALUE = np.array([0, 5, 15, 30, 50, 70, 85, 95, 100, 100, 100], dtype=np.float64)


@pytest.mark.parametrize(
    ("earned", "expected"),
    [(4, 0.8), (11, 1.6), (22, 2.466667), (36, 3.3), (50, 4), (62, 4.6), (74, 5.266667),
     (83, 5.866667), (92, 6.7), (100, 8)],
)  # fmt: skip
def test_earned_schedule_is_where_so_much_was_planned_to_be_earned(
    earned: float, expected: float
) -> None:
    """Formula of W. Lipke, "Schedule is Different" (2003); a late project worked by hand."""
    assert earned_schedule(PLANNED_VALUE, earned) == pytest.approx(expected, abs=5e-7)


def test_earned_schedule_steps_past_a_flat_stretch() -> None:
    assert earned_schedule(np.array([0.0, 2, 4, 4, 4, 8]), 4) == 4
    assert earned_schedule(np.array([0.0, 2, 4, 4, 4, 8]), 6) == 4.5


def test_earned_schedule_extrapolates_the_pace_so_far() -> None:
    """Ten tasks of a day each; after ten working days five are done: twenty in all."""
    tasks = [task(f"T{n}", 1) for n in range(10)]
    made = plan(tasks, [link(f"T{n}", f"T{n + 1}") for n in range(9)])
    baseline = EarnedSchedule.of(made)
    assert baseline.forecast(made).middle == critical_path(made).middle
    done = status("done", finished=MONDAY)
    later = replace(
        made,
        project=replace(made.project, as_of=MONDAY + timedelta(days=14)),
        tasks=(*(replace(one, status=done) for one in tasks[:5]), *tasks[5:]),
    )
    assert baseline.forecast(later).middle == (MONDAY + timedelta(days=26)).toordinal()


FOUNDRY = {
    "A": ((1, 2, 3), ""), "B": ((2, 3, 4), ""), "C": ((1, 2, 3), "A"), "D": ((2, 4, 6), "AB"),
    "E": ((1, 4, 7), "C"), "F": ((1, 2, 9), "C"), "G": ((3, 4, 11), "DE"), "H": ((1, 2, 3), "FG"),
}  # fmt: skip


def test_pert_finds_mean_and_variance_of_the_textbook_network() -> None:
    """
    Eight activities of a foundry (Render, Stair and Hanna, Quantitative Analysis for
    Management): 15 weeks, variance 28/9 along A-C-E-G-H, 71.46 % within 16. From memory,
    recomputed. A day of elapsed time stands for a week.
    """
    made = plan(
        [
            task(name, points[1], duration_range=tuple(ticks(one) for one in points))
            for name, (points, _) in FOUNDRY.items()
        ],
        [link(before, name) for name, (_, many) in FOUNDRY.items() for before in many],
        calendar="elapsed",
    )
    found = pert(made)
    assert found.middle - MONDAY.toordinal() == 15
    assert found.spread == pytest.approx(sqrt(28 / 9), abs=1e-12)
    assert norm.cdf(16, 15, found.spread) == pytest.approx(0.714625, abs=5e-7)


@pytest.mark.parametrize("number", [0, 1])
def test_whoever_is_told_everything_forecasts_the_truth_to_the_tick(number: int) -> None:
    """On the first morning, on the last, and between: statuses fit the true course."""
    told = Walk(restoration(number), 1, frozenset(SOURCES))
    days = list(told.dates())
    for day in (days[0], days[len(days) // 2], days[-1]):
        assert schedule(told.plan_on(day)).project_finish == told.finish * TICKS_PER_DAY


@pytest.mark.parametrize("number", [0, 1])
def test_a_walk_ends_where_the_truth_does(number: int) -> None:
    """On the morning after the true finish all is done, and that day is the finish."""
    walk = Walk(restoration(number), 1)
    course = restoration(number).course
    made = walk.plan_on(course.finish_on + timedelta(days=1))
    assert {one.status.state for one in made.tasks} == {State.DONE}
    assert schedule(made).finish_on == course.finish_on


def test_nothing_is_known_before_it_happens() -> None:
    """No date after the morning, no growth of a zone before it is open, no early second trip."""
    walk = Walk(restoration(0), 1)
    days = list(walk.dates())
    first = walk.plan_on(days[0])
    assert [one.duration for one in first.tasks] == [
        one.duration for one in restoration(0).plan.tasks
    ]
    assert len(first.send_outs) == len(restoration(0).plan.send_outs)
    for day in days:
        assert latest_date(walk.plan_on(day)) < day
    assert walk.share_of_time(days[0]) == 0
    assert start_of(days[-1]) < restoration(0).course.project_finish


def latest_date(made: Plan) -> date:
    """Return the latest actual date in any status."""
    known = [day for one in made.tasks for day in (one.status.started, one.status.finished)]
    for item in made.send_outs:
        actual = asdict(replace(item.status, promised=None))
        known += actual.values()
    return max((day for day in known if day is not None), default=date.min)


def test_an_item_that_is_turned_down_goes_out_again() -> None:
    number = next(n for n in range(40) if restoration(n).again)
    walk = Walk(restoration(number), 1)
    made = walk.plan_on(restoration(number).course.finish_on + timedelta(days=1))
    trips = {one.trip_of for one in made.send_outs if one.trip_of}
    assert trips == set(restoration(number).again)
    assert {one.id for one in made.send_outs if one.status.rejected} == trips


def test_the_same_seed_draws_the_same_restoration() -> None:
    assert draw_restoration(5, 3).true_plan == draw_restoration(5, 3).true_plan
    assert draw_restoration(5, 3).plan != draw_restoration(5, 4).plan
