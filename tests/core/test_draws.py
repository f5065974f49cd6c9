"""Tables, streams, grains and results: the parts of which a simulation is made."""

from __future__ import annotations

from datetime import date
from hashlib import blake2b
from math import gcd

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from ribstitch.planning.calendars import WorkTables
from ribstitch.planning.model import ELAPSED, Calendar
from ribstitch.planning.uncertainty import Chance, compare_runs, simulate
from ribstitch.planning.uncertainty.answers import _cuts
from ribstitch.planning.uncertainty.grains import ByDate, ByGrain, GrainTables, grain_of
from ribstitch.planning.uncertainty.shapes import (
    LEVELS_OF_POINTS,
    hidden_work_table,
    lognormal_table,
    normal_table,
    pert_table,
    widened,
)
from ribstitch.planning.uncertainty.streams import Streams
from tests.core.making import SHOP, plan, task, ticks

FIRST = date(2026, 1, 1).toordinal()
ODD = Calendar("odd", day_hours=8, week_hours=(0, 6, 0, 0, 8, 4, 0), holidays="IE",
               closed=((date(2026, 3, 2), date(2026, 3, 13)),))  # fmt: skip
SATURDAYS = Calendar("saturdays", day_hours=7, week_hours=(0, 0, 7, 7, 0, 4, 0))
"""Four of seven hours are no whole number of ticks: 823, and the grain is a single tick."""


@given(st.floats(0, 1))
def test_pert_table_is_the_beta_distribution(mode: float) -> None:
    """Against scipy's beta, to a five-hundredth of the range at every level."""
    exact = stats.beta.ppf(LEVELS_OF_POINTS, 1 + 4 * mode, 5 - 4 * mode)
    table = pert_table(10.0, 10.0 + 100 * mode, 110.0)
    assert np.abs((table - 10) / 100 - exact).max() < 0.002
    assert table.mean() == pytest.approx(10 + 100 * (1 + 4 * mode) / 6, abs=0.05)
    assert (np.diff(table) >= 0).all()


@given(st.floats(1.01, 5), st.floats(0, 40))
def test_lognormal_given_what_is_gone_is_the_truncated_one(ratio: float, gone: float) -> None:
    """Against scipy's lognormal, its survival function inverted."""
    known = stats.lognorm(np.log(ratio) / stats.norm.ppf(0.9), scale=10)
    table = lognormal_table(10, 10 * ratio, above=gone)
    survived = known.sf(gone)
    if survived > 1e-9:
        assert table == pytest.approx(known.isf(survived * (1 - LEVELS_OF_POINTS)), rel=1e-4)
    assert (table >= gone).all()


def test_lognormal_long_after_any_quantile_still_lies_ahead() -> None:
    table = lognormal_table(10, 12, above=400)
    assert np.isfinite(table).all()
    assert (table >= 400).all()


def test_hidden_work_and_normal_tables_have_their_moments() -> None:
    assert hidden_work_table().mean() == pytest.approx(1, abs=0.002)
    assert hidden_work_table().var() == pytest.approx(1, abs=0.02)
    assert normal_table().mean() == pytest.approx(0, abs=1e-9)
    assert normal_table().var() == pytest.approx(1, abs=0.01)


@given(st.floats(1, 3), st.floats(0.05, 1))
def test_widened_work_scatters_as_much_more_about_the_same_mean(by: float, mode: float) -> None:
    table = pert_table(2.0, 2 + 6 * mode, 8.0)
    wide = widened(table, by)
    assert wide.mean() == pytest.approx(table.mean(), rel=1e-6)
    assert np.log(wide).std() == pytest.approx(by * np.log(table).std(), rel=1e-4)
    assert (np.diff(wide) >= 0).all()


def test_work_that_can_be_none_stays_none_when_widened() -> None:
    assert widened(pert_table(0.0, 0.0, 0.0), 2.0).tolist() == [0.0] * 1024


def test_streams_are_uniform_and_of_their_own() -> None:
    streams = Streams(1, 100_000)
    first, second = streams.indices("A"), streams.indices("B")
    assert stats.chisquare(np.bincount(first, minlength=1024)).pvalue > 0.001
    assert abs(np.corrcoef(first, second)[0, 1]) < 4 / np.sqrt(first.size)
    assert (streams.indices("A") == first).all()


def test_longer_stream_begins_with_the_shorter_one() -> None:
    assert (Streams(1, 10_001).indices("A")[:7] == Streams(1, 7).indices("A")).all()


def _sfc64(state: bytes, count: int) -> list[int]:
    """Return 64-bit words of SFC64 (C. Doty-Humphrey, PractRand), in plain integers."""
    a, b, c = (int.from_bytes(state[at : at + 8], "little") for at in (0, 8, 16))
    counter, words, mask = 1, [], (1 << 64) - 1
    for _ in range(count):
        word = (a + b + counter) & mask
        counter += 1
        a, b = b ^ (b >> 11), (c + (c << 3)) & mask
        c = (((c << 24) | (c >> 40)) + word) & mask
        words.append(word)
    return words


def test_stream_is_the_same_on_every_machine() -> None:
    """Against the generator written out in plain integers."""
    digest = blake2b(b"7/task/T010", digest_size=24).digest()
    halves = [(word >> shift) & 0xFFFF for word in _sfc64(digest, 3) for shift in (0, 16, 32, 48)]
    assert Streams(7, 10).indices("task/T010").tolist() == [one >> 6 for one in halves[:10]]


def test_related_draws_keep_their_shape_and_go_together() -> None:
    streams = Streams(4, 50_000)
    first = streams.related_indices("A", "vendor", 0.6)
    second = streams.related_indices("B", "vendor", 0.6)
    assert stats.chisquare(np.bincount(first, minlength=1024)).pvalue > 0.001
    scores = np.array([normal_table().take(one) for one in (first, second)])
    assert np.corrcoef(scores)[0, 1] == pytest.approx(0.6, abs=0.02)


@given(st.floats(0, 1))
def test_what_strikes_strikes_as_often_as_it_says(probability: float) -> None:
    struck = Streams(2, 20_000).struck("R", probability)
    allowed = 5 * np.sqrt(probability * (1 - probability) / 20_000) + 2e-5
    assert abs(struck.size / 20_000 - probability) <= allowed


def test_grain_divides_all_that_is_counted() -> None:
    amounts = [180, 4320, 1395]
    grain = grain_of([SHOP, ODD, ELAPSED], amounts)
    assert all(amount % grain == 0 for amount in amounts)
    assert grain == gcd(60, 180, 4320, 1395, 1080, 720)


@pytest.mark.parametrize("calendar", [SHOP, ODD, ELAPSED, SATURDAYS])
@pytest.mark.parametrize("fine", [True, False])
def test_grain_tables_are_the_work_tables(calendar: Calendar, *, fine: bool) -> None:
    """Instant to work and back, against the tables of the schedule's own passes."""
    days = 120 if fine else 400
    grain = grain_of([calendar], []) if fine else 1
    tables = GrainTables([calendar], FIRST, days, grain)
    expected = type(None) if calendar.elapsed else ByGrain if fine else ByDate
    assert isinstance(tables._tables[0], expected)
    exact = WorkTables([calendar], FIRST, days)
    instants = np.arange(0, days * 1440 + 1, grain, dtype=np.int64)
    on = exact.on(np.zeros(instants.size, dtype=np.int64))
    done = tables.done_before(0, (instants // grain).astype(np.int32))
    assert (done.astype(np.int64) * grain == exact.work_before(on, instants)).all()
    work = np.arange(1, int(done[-1]), dtype=np.int32)
    on = exact.on(np.zeros(work.size, dtype=np.int64))
    first, last = tables.first_instant(0, work), tables.last_instant(0, work)
    assert (first.astype(np.int64) * grain == exact.earliest(on, work * np.int64(grain))).all()
    assert (last.astype(np.int64) * grain == exact.latest(on, work * np.int64(grain))).all()


@given(st.lists(st.integers(0, 24), min_size=1, max_size=40).filter(any))
def test_both_layouts_of_a_calendar_agree_everywhere(worked: list[int]) -> None:
    """Also before the first date, after the last, and with out= given."""
    amounts = np.array(worked, dtype=np.int64)
    by_grain, by_date = ByGrain(amounts, 24), ByDate(amounts, 24)
    instants = np.arange(-30, 24 * len(worked) + 60, dtype=np.int32)
    done = np.arange(-30, int(amounts.sum()) + 60, dtype=np.int32)
    into = np.empty_like(instants)
    assert (by_date.done_before(instants, into) == by_grain.done_before(instants)).all()
    into = np.empty_like(done)
    assert (by_date.first_instant(done, into) == by_grain.first_instant(done)).all()
    assert (into == by_grain.first_instant(done)).all()


def test_what_runs_over_the_end_of_the_tables_is_seen() -> None:
    fine = GrainTables([SHOP], FIRST, 10, 60)
    beyond = fine.first_instant(0, np.array([10_000], dtype=np.int32))
    assert beyond[0] > fine.limit


@given(
    st.lists(st.integers(-50, 50), min_size=1, max_size=60),
    st.lists(st.integers(0, 59), min_size=1, max_size=5),
)
def test_places_hold_what_sorting_would_put_there(values: list[int], places: list[int]) -> None:
    wanted = sorted(min(place, len(values) - 1) for place in places)
    found = np.array(values, dtype=np.int32)
    for first, last, place in _cuts(0, found.size, wanted):
        found[first:last].partition(place - first)
    assert found[wanted].tolist() == [sorted(values)[place] for place in wanted]


def test_never_and_always_are_not_taken_for_certain() -> None:
    assert Chance.of(0, 100).probability == 0
    assert Chance.of(0, 100).standard_error > 0
    assert Chance.of(50, 100).standard_error == pytest.approx(0.05, rel=0.01)


def test_sampling_error_of_a_percentile_is_what_repeats_scatter() -> None:
    """The error that one simulation states, against the scatter of many seeds."""
    one = plan([task("A", 20, duration_range=(ticks(10), ticks(20), ticks(60)))])
    results = [simulate(one, runs=400, seed=seed) for seed in range(60)]
    for percent in (10, 50, 80, 90):
        place = int(np.ceil(percent / 100 * 400)) - 1
        found = np.array([result.ordered_finish[place] / 1440 for result in results])
        stated = np.mean([result.standard_error_days(percent) for result in results])
        assert stated == pytest.approx(found.std(ddof=1), rel=0.35), percent


def test_unlike_simulations_are_not_paired() -> None:
    one = plan([task("A")])
    with pytest.raises(ValueError, match="one seed"):
        compare_runs(simulate(one, runs=10, seed=1), simulate(one, runs=10, seed=2))


def test_case_is_compared_without_noise() -> None:
    """A case that adds two days to what is drawn is two days later in every run."""
    one = plan([task("A", 5, duration_range=(ticks(1), ticks(5), ticks(20)))],
               calendar="elapsed", calendars=())  # fmt: skip
    moved = compare_runs(simulate(one, runs=300), simulate(one, runs=300, delays={"A": ticks(2)}))
    assert (moved.mean_days, moved.standard_error_days) == (2.0, 0.0)
    assert moved.later.probability == 1.0


def test_finer_grain_of_a_case_changes_no_draw() -> None:
    """A tenth of a day where it cannot matter: the grain is finer, and nothing moves."""
    tasks = [task("A", 20, duration_range=(ticks(10), ticks(20), ticks(60))), task("B", 1)]
    one = plan(tasks)
    moved = compare_runs(simulate(one, runs=500), simulate(one, runs=500, delays={"B": 144 + 7}))
    assert (moved.mean_days, moved.later.probability) == (0.0, 0.0)
