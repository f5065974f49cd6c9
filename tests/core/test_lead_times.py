"""Lead times: whose record counts for what, what today adds, and where nothing is known."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from datetime import date, timedelta
from math import exp, inf, log
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from ribstitch.planning.model import (
    Calendar,
    PastJob,
    Plan,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Vendor,
)
from ribstitch.planning.prepared import prepare
from ribstitch.planning.uncertainty.lead_times import (
    GIVEN_UP,
    GIVEN_UP_LATE,
    LEAST_PROMISED,
    PROMISE_BEATEN,
    Basis,
    LeadTime,
    Stay,
    lead_times,
)
from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma
from ribstitch.planning.uncertainty.pace import Pace
from ribstitch.planning.uncertainty.price_growth import PriceGrowth
from ribstitch.planning.uncertainty.vendor_record import (
    LEAST_SPREAD,
    OTHER_KIND_WORTH,
    PROMISE_MEDIAN,
    PROMISE_P90,
    REJECTION_WEIGHT,
    TRADE_MEDIAN,
    TRADE_P90,
    TRADE_REJECTED,
    VENDOR_SHAPE,
    VENDOR_WEIGHT,
    VendorRecord,
)
from tests.core.making import MONDAY, SHOP, plan, task, ticks

LEVELS = (0.1, 0.5, 0.8, 0.9)
ENGINE = SendOutKind("engine", over_median=1.35, over_p90=2.2, rejected=0.1)
RADIO = SendOutKind("radio", over_median=1.1, over_p90=1.5)
CLOSED = Calendar(id="closed", closed=((date(2026, 1, 12), date(2026, 1, 18)),))
DAYS_OF_A_YEAR = st.integers(0, 365).map(lambda days: date(2026, 1, 1) + timedelta(days))
RATIOS = st.floats(0.3, 5)


def job(ratio: float, kind: str = "engine", **fields: Any) -> PastJob:
    """Return a job that was quoted 40 days."""
    return PastJob(kind, 40, 40 * ratio, **fields)


def engine(name: str = "S1", vendor: str = "V1", days: float = 20, **fields: Any) -> SendOut:
    """Return an engine at a vendor, quoted 20 days."""
    return SendOut(name, vendor, kind=fields.pop("kind", "engine"), lead=ticks(days), **fields)


def at_work(**dates: date) -> SendOutStatus:
    """Return the status of a job whose work began on the Monday the plan starts with."""
    return SendOutStatus(approved=MONDAY - timedelta(1), **dates)


def made(
    *send_outs: SendOut,
    own: tuple[PastJob, ...] = (),
    others: tuple[tuple[PastJob, ...], ...] = (),
    kinds: tuple[SendOutKind, ...] = (ENGINE, RADIO),
    **fields: Any,
) -> Plan:
    """Return a plan with these send-outs; V1 has a history, V2, V3, ... have others."""
    vendors = [Vendor(f"V{n}", history=jobs) for n, jobs in enumerate((own, *others), start=1)]
    return plan([task("A")], vendors=fields.pop("vendors", vendors), kinds=kinds,
                send_outs=send_outs or (engine(),), **fields)  # fmt: skip


def lead(of: Plan, name: str = "S1") -> LeadTime:
    """Return one lead time."""
    return lead_times(of, prepare(of))[name]


def predicted(one: LeadTime) -> list[float]:
    """Return median and P90 of the ratio, before what is known today."""
    return [exp(one.posterior.quantile(level)) for level in (0.5, 0.9)]


# --- Whose record counts for what ----------------------------------------------------------


def test_without_any_history_the_kind_is_the_forecast() -> None:
    one = lead(made())
    assert predicted(one) == pytest.approx([1.35, 2.2])
    assert one.total_quantiles([0.5])[0] == pytest.approx(1.35 * ticks(20), rel=1e-3)
    assert (one.jobs, one.kind_jobs, one.basis, one.elapsed_ticks) == (0, 0, Basis.QUOTE, 0)
    assert one.reference_ticks == ticks(20)


def test_a_kind_the_plan_does_not_list_falls_back_to_the_trade() -> None:
    assert predicted(lead(made(kinds=()))) == pytest.approx([TRADE_MEDIAN, TRADE_P90])
    assert lead(made(kinds=())).rejected == TRADE_REJECTED


def test_one_row_of_history_is_the_formula_of_one_value() -> None:
    """k0 = 3, a0 = 4, the rate from the kind's P90 by scipy's t."""
    one = lead(made(own=(job(2.0),)))
    scale = (log(2.2) - log(1.35)) / stats.t.ppf(0.9, 2 * VENDOR_SHAPE)
    rate = scale**2 * VENDOR_SHAPE * VENDOR_WEIGHT / (VENDOR_WEIGHT + 1)
    mean = (VENDOR_WEIGHT * log(1.35) + log(2)) / (VENDOR_WEIGHT + 1)
    rate += VENDOR_WEIGHT * (log(2) - log(1.35)) ** 2 / (2 * (VENDOR_WEIGHT + 1))
    assert one.posterior.mean == pytest.approx(mean)
    assert one.posterior.rate == pytest.approx(rate)
    assert one.shared_share == pytest.approx(1 / (VENDOR_WEIGHT + 2))
    assert one.jobs == 1


def test_other_vendors_tell_of_the_kind_and_many_jobs_of_one_tell_little_more() -> None:
    base = lead(made()).ratio
    once = lead(made(others=((job(2.5),),)))
    often = lead(made(others=((job(2.5),) * 50,)))
    spread = lead(made(others=((job(2.5),),) * 50))
    assert base < once.ratio < often.ratio < spread.ratio < 2.5
    assert log(often.ratio / base) < 4 * log(once.ratio / base)
    assert (once.jobs, once.kind_jobs, often.kind_jobs) == (0, 1, 50)


def test_other_vendors_work_of_another_kind_tells_nothing() -> None:
    assert lead(made(others=((job(3, "radio"),),))).posterior == lead(made()).posterior


def test_a_vendor_as_slow_as_usual_in_another_kind_is_as_slow_as_usual_in_this() -> None:
    usual = lead(made(own=(job(1.1, "radio"),)))
    assert usual.ratio == pytest.approx(1.35)
    assert usual.posterior.weight == VENDOR_WEIGHT + OTHER_KIND_WORTH
    late = lead(made(own=(job(2.2, "radio"),)))
    assert log(late.ratio / 1.35) == pytest.approx(log(2) * 0.5 / (VENDOR_WEIGHT + 0.5))


def test_a_second_trip_tells_of_rejection_and_not_of_time() -> None:
    once, twice = lead(made(own=(job(1.2),))), lead(made(own=(job(1.2), job(3, trips=2))))
    assert once.posterior == twice.posterior
    assert once.jobs == twice.jobs == 1
    law = stats.beta(0.1 * REJECTION_WEIGHT + 1, 0.9 * REJECTION_WEIGHT + 1)
    assert twice.rejected == pytest.approx(law.mean())
    assert once.rejected == pytest.approx(
        stats.beta(0.1 * REJECTION_WEIGHT, 0.9 * REJECTION_WEIGHT + 1).mean()
    )


def test_a_second_trip_is_not_expected_to_be_turned_down_again() -> None:
    gone = SendOutStatus(approved=MONDAY, left_vendor=MONDAY, received=MONDAY, rejected=MONDAY)
    trips = (engine(status=gone), engine("S1/2", trip_of="S1"))
    again = lead(made(*trips, as_of=date(2026, 2, 2)), "S1/2")
    assert again.rejected == 0
    assert lead(made(*trips, engine("S2"), as_of=date(2026, 2, 2)), "S2").rejected > 0.1


def test_passing_on_a_second_trip_says_nothing_of_first_trips() -> None:
    gone = SendOutStatus(approved=MONDAY, left_vendor=MONDAY, received=MONDAY, rejected=MONDAY)
    passed = replace(gone, rejected=None, accepted=MONDAY)
    later, open_item = date(2026, 2, 2), engine("S2")
    open_trip, passed_trip = (engine("S1/2", trip_of="S1", status=status) for status in
                              (SendOutStatus(), passed))  # fmt: skip
    once = lead(made(engine(status=gone), open_trip, open_item, as_of=later), "S2")
    both = lead(made(engine(status=gone), passed_trip, open_item, as_of=later), "S2")
    assert once.rejected == both.rejected > 0.1
    assert (once.jobs, both.jobs) == (1, 2)


def test_the_plans_own_finished_send_outs_are_evidence_in_the_vendors_days() -> None:
    """Six weeks from the Monday after approval to a Friday: 30 days by numpy, quoted 20."""
    left = date(2026, 2, 13)
    begun = MONDAY - timedelta(1)
    worked = int(np.busday_count(MONDAY, left + timedelta(1)))
    done = engine("S0", status=at_work(left_vendor=left, promised=date(2026, 1, 30)))
    one = lead(made(done, engine(), as_of=date(2026, 3, 2), start=begun))
    same = lead(made(own=(PastJob("engine", 20, worked, promised_days=20),), start=begun))
    assert worked == 30
    assert one.posterior == same.posterior
    promised = engine(days=0, accept=ticks(1), status=at_work(promised=date(2026, 5, 1)))
    kept = lead(made(done, promised, as_of=date(2026, 3, 2), start=begun))
    assert (kept.basis, kept.jobs) == (Basis.PROMISE, 1)
    scale = PROMISE_MEDIAN ** (VENDOR_WEIGHT / (VENDOR_WEIGHT + 1))
    assert kept.ratio == pytest.approx(scale * 1.5 ** (1 / (VENDOR_WEIGHT + 1)))


def test_work_without_a_date_of_beginning_is_no_evidence() -> None:
    done = engine("S0", approval=ticks(3), status=SendOutStatus(left_vendor=date(2026, 2, 13)))
    assert lead(made(done, engine(), as_of=date(2026, 3, 2))).jobs == 0


def test_a_job_over_on_the_day_it_began_is_half_a_day() -> None:
    """Approved on a Saturday, gone on that Saturday: no working time at all."""
    saturday = date(2026, 1, 10)
    done = engine("S0", status=SendOutStatus(approved=saturday, left_vendor=saturday))
    one = lead(made(done, engine(), as_of=date(2026, 2, 2)))
    assert one.posterior == lead(made(own=(PastJob("engine", 20, 0.5),))).posterior


def test_a_kind_without_any_spread_still_has_a_little() -> None:
    exact = (SendOutKind("engine", 1.0, 1.0),)
    assert predicted(lead(made(kinds=exact))) == pytest.approx([1.0, LEAST_SPREAD])


# --- What is known today -------------------------------------------------------------------


def test_a_job_out_for_t_days_is_drawn_from_above_t() -> None:
    """Against scipy's t, cut off below at 26 days out of 20 and above where it is given up."""
    as_of = date(2026, 2, 10)
    one = lead(made(engine(status=at_work()), as_of=as_of))
    assert one.elapsed_ticks == ticks(int(np.busday_count(MONDAY, as_of))) == ticks(26)
    law = stats.t(one.posterior.degrees, one.posterior.mean, one.posterior.scale)
    low, high = law.cdf(log(26 / 20)), law.cdf(log(GIVEN_UP))
    expected = 20 * np.exp(law.ppf(low + np.array(LEVELS) * (high - low)))
    assert one.total_quantiles(LEVELS) / 1440 == pytest.approx(expected)
    assert one.remaining_quantiles(LEVELS) / 1440 == pytest.approx(expected - 26)


def test_time_in_which_the_vendor_is_closed_does_not_count() -> None:
    vendors = [Vendor("V1", calendar="closed")]
    calendars = (SHOP, CLOSED)
    one = lead(made(engine(status=at_work()), vendors=vendors, calendars=calendars,
                    as_of=date(2026, 1, 26)))  # fmt: skip
    assert one.elapsed_ticks == ticks(10)


@pytest.mark.parametrize("history", [0, 1, 40, 2_000])
def test_twenty_times_the_quote_is_still_a_sensible_forecast(history: int) -> None:
    """400 days out of 20; with 2,000 regular jobs behind, far beyond what a double can hold."""
    regular = tuple(job(1.3 + 0.02 * (n % 3)) for n in range(history))
    as_of = np.busday_offset(MONDAY, 400, roll="forward").astype(date)
    one = lead(made(engine(status=at_work()), own=regular, as_of=as_of))
    assert one.elapsed_ticks == ticks(400)
    left = one.remaining_quantiles(np.linspace(0.0005, 0.9995, 200)) / 1440
    assert (left > 0).all()
    assert (np.diff(left) > 0).all()
    assert left.max() < (GIVEN_UP_LATE - 1) * 400
    assert (one.posterior.survival(log(20)) == 0) == (history == 2_000)


@pytest.mark.parametrize("degrees", [6, 100, 1_000, 4_000])
@pytest.mark.parametrize("distance", [5.0, 30.0, 90.0])
def test_quantiles_far_out_agree_with_integrating_the_density(
    degrees: float, distance: float
) -> None:
    """S(q) / S(low) = 1 - p, both by quadrature of scipy's density over its value at low."""
    prior = NormalInverseGamma(0, 1, degrees / 2, degrees / 4)
    assert prior.scale == 1
    law = stats.t(degrees)
    base = law.logpdf(distance)
    per_step = -(law.logpdf(distance + 1e-4) - base) / 1e-4

    def tail(start: float) -> float:
        def density(steps: float) -> float:
            return float(np.exp(law.logpdf(start + steps / per_step) - base))

        return float(integrate.quad(density, 0, inf, epsabs=0, limit=200)[0])

    for p, found in zip(LEVELS, prior.quantiles_between(LEVELS, low=distance), strict=True):
        assert tail(float(found)) / tail(distance) == pytest.approx(1 - p, rel=1e-6)


# --- Promises ------------------------------------------------------------------------------


def test_a_promise_tells_the_earliest_and_the_quote_how_late() -> None:
    """From Monday 5 January to Friday 27 February: 40 days, twice what was quoted."""
    promised = engine(status=at_work(promised=date(2026, 2, 27)))
    one, plain = (lead(made(item, as_of=date(2026, 1, 19))) for item in (promised, engine()))
    assert (one.basis, one.reference_ticks, one.promised_ticks) == (
        Basis.QUOTE, ticks(20), ticks(40),
    )  # fmt: skip
    assert one.posterior == plain.posterior
    kept = NormalInverseGamma.with_quantiles(
        log(PROMISE_MEDIAN), log(PROMISE_P90), VENDOR_WEIGHT, VENDOR_SHAPE
    )
    assert one.least_ticks == pytest.approx(ticks(40) * exp(kept.quantile(PROMISE_BEATEN)), abs=1)
    law = stats.t(one.posterior.degrees, one.posterior.mean, one.posterior.scale)
    low, high = law.cdf(log(one.least_ticks / ticks(20))), law.cdf(log(GIVEN_UP))
    expected = 20 * np.exp(law.ppf(low + np.array(LEVELS) * (high - low)))
    assert one.total_quantiles(LEVELS) / 1440 == pytest.approx(expected)


def test_a_vendor_who_delivers_long_before_the_promise_is_believed_less() -> None:
    waiting = engine(status=at_work(promised=date(2026, 2, 27)))
    early = (PastJob("radio", 40, 15, promised_days=30),) * 4
    plain, slack = lead(made(waiting)), lead(made(waiting, own=early))
    assert slack.least_ticks < plain.least_ticks < ticks(40)


def test_a_promise_sooner_than_the_quote_hardly_moves_what_the_record_says() -> None:
    soon = engine(status=at_work(promised=date(2026, 1, 9)))
    one, plain = lead(made(soon)), lead(made(engine()))
    assert one.promised_ticks == ticks(5)
    assert one.total_quantiles((0.5,)) == pytest.approx(plain.total_quantiles((0.5,)), rel=0.02)


def test_a_promise_in_the_past_leads_to_dates_after_today() -> None:
    as_of = date(2026, 4, 6)
    one = lead(made(engine(status=at_work(promised=date(2026, 1, 16))), as_of=as_of))
    assert one.promised_ticks == ticks(10)
    assert one.elapsed_ticks == ticks(int(np.busday_count(MONDAY, as_of)))
    left = one.remaining_quantiles(LEVELS)
    assert left[0] > 0
    assert (np.diff(left) > 0).all()


def test_a_promise_before_the_work_began_counts_from_when_it_can_begin() -> None:
    """Intake of 5 days from Monday on, then 35 days to the end of Friday 27 February."""
    waiting = engine(intake=ticks(5), status=SendOutStatus(promised=date(2026, 2, 27)))
    one = lead(made(waiting))
    assert (one.promised_ticks, one.elapsed_ticks) == (ticks(35), 0)
    assert one.intake is not None
    assert one.intake.reference_ticks == ticks(5)
    assert one.intake.ratio == pytest.approx(1.35)


def test_a_promise_for_a_date_before_the_work_leaves_the_quote() -> None:
    late = engine(status=SendOutStatus(approved=date(2026, 2, 6), promised=date(2026, 2, 2)))
    one = lead(made(late, as_of=date(2026, 2, 16)))
    assert (one.basis, one.reference_ticks, one.elapsed_ticks) == (
        Basis.QUOTE, ticks(20), ticks(5),
    )  # fmt: skip
    unquoted = lead(made(replace(late, lead=0, accept=ticks(1)), as_of=date(2026, 2, 16)))
    assert (unquoted.basis, unquoted.reference_ticks) == (Basis.PROMISE, LEAST_PROMISED)
    assert (unquoted.remaining_quantiles(LEVELS) > 0).all()


def test_with_nothing_quoted_the_intake_is_the_lead_time() -> None:
    only = engine(days=0, intake=ticks(4), status=SendOutStatus(arrived=MONDAY - timedelta(3)))
    one = lead(made(only, as_of=date(2026, 1, 7)))
    assert one.leg == "S1/intake"
    assert (one.reference_ticks, one.quoted_ticks, one.elapsed_ticks) == (
        ticks(4), ticks(4), ticks(2),
    )  # fmt: skip
    assert one.intake is None


def test_only_items_whose_vendor_has_work_to_finish_have_a_lead_time() -> None:
    gone = engine("S2", ship_back=ticks(5), status=at_work(left_vendor=MONDAY))
    dropped = engine("S3", dropped=True)
    found = made(engine(), gone, dropped, as_of=date(2026, 1, 7))
    assert set(lead_times(found, prepare(found))) == {"S1"}


# --- Whatever comes ------------------------------------------------------------------------


@given(
    own=st.lists(st.tuples(RATIOS, st.sampled_from(["engine", "radio", "glazing"])), max_size=6),
    days=st.sampled_from([0, 0.125, 20, 300]),
    intake=st.sampled_from([0, 5]),
    approved=st.none() | DAYS_OF_A_YEAR,
    promised=st.none() | DAYS_OF_A_YEAR,
    wait=st.integers(0, 2_000),
)
def test_quantiles_rise_and_lie_after_today(
    own: list[tuple[float, str]], days: float, intake: float, approved: date | None,
    promised: date | None, wait: int,
) -> None:  # fmt: skip
    as_of = (approved or MONDAY) + timedelta(wait)
    item = engine(days=days, intake=ticks(intake), accept=ticks(1),
                  status=SendOutStatus(approved=approved, promised=promised))  # fmt: skip
    history = tuple(job(ratio, kind) for ratio, kind in own)
    found = made(item, own=history, start=min(approved or MONDAY, MONDAY), as_of=as_of)
    for one in lead_times(found, prepare(found)).values():
        for stay in (one, *filter(None, [one.intake])):
            left = stay.remaining_quantiles(np.linspace(0.001, 0.999, 50))
            assert np.isfinite(left).all()
            assert left[0] >= 1
            assert (np.diff(left) >= 0).all()
            assert left[-1] > left[0]
            assert stay.total_quantiles(LEVELS)[0] > stay.elapsed_ticks
        assert 0 <= one.rejected <= 1
        assert 0 < one.shared_share <= 1 / (VENDOR_WEIGHT + 1)


@given(own=st.lists(RATIOS, max_size=8), worse=st.floats(1.01, 4))
def test_one_more_job_that_was_later_than_expected_makes_the_forecast_later(
    own: list[float], worse: float
) -> None:
    history = tuple(map(job, own))
    before = lead(made(own=history))
    late = exp(before.posterior.quantile(0.95)) * worse
    after = lead(made(own=(*history, job(late))))
    assert (after.total_quantiles((0.5, 0.8, 0.9)) > before.total_quantiles((0.5, 0.8, 0.9))).all()


@given(
    rows=st.lists(
        st.tuples(
            st.sampled_from(["V1", "V2", "V3"]), RATIOS, st.sampled_from(["engine", "radio"])
        ),
        max_size=12,
    ),
    luck=st.randoms(use_true_random=False),
)
def test_order_and_names_do_not_matter(rows: list[tuple[str, float, str]], luck: Any) -> None:
    def vendors(listed: list[tuple[str, float, str]], names: dict[str, str]) -> list[Vendor]:
        history: dict[str, list[PastJob]] = {"V1": [], "V2": [], "V3": []}
        for vendor, ratio, kind in listed:
            history[vendor].append(job(ratio, kind, promised_days=30))
        found = [Vendor(names[name], history=tuple(jobs)) for name, jobs in history.items()]
        return found if names["V1"] == "V1" else found[::-1]

    mixed = luck.sample(rows, len(rows))
    one = lead(made(vendors=vendors(rows, {"V1": "V1", "V2": "V2", "V3": "V3"})))
    renamed = vendors(mixed, {"V1": "Z", "V2": "A", "V3": "B"})
    assert lead(made(engine(vendor="Z"), vendors=renamed)) == one


@given(
    median=st.floats(-3, 3), over=st.floats(0.01, 3), weight=st.floats(0.5, 50),
    shape=st.floats(0.6, 500),
)  # fmt: skip
def test_a_prior_predicts_the_median_and_p90_it_was_made_from(
    median: float, over: float, weight: float, shape: float
) -> None:
    prior = NormalInverseGamma.with_quantiles(median, median + over, weight, shape)
    law = stats.t(2 * shape, prior.mean, prior.scale)
    assert (law.ppf(0.5), law.ppf(0.9)) == pytest.approx((median, median + over))
    assert prior.survival(median + over) == pytest.approx(0.1)


@given(first=st.lists(RATIOS, max_size=5), second=st.lists(RATIOS, max_size=5))
def test_updating_in_two_steps_is_updating_at_once(first: list[float], second: list[float]) -> None:
    prior = NormalInverseGamma(1, 2, 3, 0.5)
    steps, once = prior.updated(first).updated(second), prior.updated([*first, *second])
    assert (steps.mean, steps.weight, steps.shape, steps.rate) == pytest.approx(
        (once.mean, once.weight, once.shape, once.rate)
    )


def test_a_value_of_worth_two_counts_like_two_values() -> None:
    prior = NormalInverseGamma(1, 2, 3, 0.5)
    assert prior.updated([1.5, 3], [2, 1]) == prior.updated([1.5, 1.5, 3])


def test_a_prior_needs_some_spread() -> None:
    with pytest.raises(ValueError, match="not above the median"):
        NormalInverseGamma.with_quantiles(1, 1, 3, 4)


# --- Words ---------------------------------------------------------------------------------


def test_sentence_of_a_vendor_with_a_record() -> None:
    one = lead(made(own=(job(1.3),) * 4))
    figures = one.figures
    assert figures.sentence == (
        f"Quoted 20 days; jobs of this vendor take 1.3 times the quote (4 jobs seen); "
        f"8 chances in 10 to be done within {figures.p80_days} days."
    )
    within = one.total_quantiles([0.8])[0] / 1440
    assert figures.p80_days - 1 < within <= figures.p80_days
    assert figures.p10_days < figures.p50_days < figures.p80_days < figures.p90_days


@pytest.mark.parametrize(
    ("found", "part"),
    [
        (made(), "such jobs usually take 1.4 times the quote (none of this vendor seen yet)"),
        (
            made(others=((job(1.35),),)),
            "jobs of this kind take 1.4 times the quote (1 job of others seen)",
        ),
        (
            made(engine(status=at_work(promised=date(2026, 2, 27))), as_of=date(2026, 1, 19)),
            "Quoted 20 days, promised within 40 days; such jobs usually take 1.4 times the quote",
        ),
        (made(engine(status=at_work()), as_of=date(2026, 1, 19)), " days, 10 of them gone."),
        (made(engine(days=1)), "Quoted 1 day;"),
    ],
)
def test_sentence_says_what_it_rests_on(found: Plan, part: str) -> None:
    assert part in lead(found).figures.sentence


def test_page_lists_every_constant_with_its_value() -> None:
    page = Path(__file__).parents[2] / "docs" / "reference" / "lead-times.md"
    rows = re.findall(r"^\| `([A-Z0-9_]+)` \| ([0-9.]+) \|", page.read_text("utf-8"), re.MULTILINE)
    listed = {name: float(value) for name, value in rows}
    in_code = {
        name: float(value)
        for of_module in (VendorRecord, LeadTime, Pace, PriceGrowth)
        for name, value in vars(sys.modules[of_module.__module__]).items()
        if re.fullmatch("[A-Z][A-Z0-9_]+", name)
        and isinstance(value, int | float)
        and name != "TICKS_PER_DAY"
    }
    in_ticks = {"LEAST_ACTUAL", "LEAST_PROMISED", "SHORTEST"}
    assert listed == {
        name: value / 1440 if name in in_ticks else value for name, value in in_code.items()
    }


def test_stay_of_the_intake_has_the_ratio_of_the_work() -> None:
    one = lead(made(engine(intake=ticks(5)), own=(job(2),)))
    assert one.intake == Stay(one.posterior, ticks(5), 0)
