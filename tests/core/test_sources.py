"""What of a plan is drawn: each source of uncertainty switched on alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from ribstitch.planning.activities import floor_of
from ribstitch.planning.model import (
    Link,
    Plan,
    Risk,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    Task,
    Vendor,
    WorkShape,
    Zone,
)
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty import find_causes, simulate
from ribstitch.planning.uncertainty.courses import CourseModel, Step
from ribstitch.planning.uncertainty.sources import LEG_P90, model_of
from tests.core.making import MONDAY, link, plan, status, task, ticks

STILL = {"zone_spread": 0.0, "trade_spread": 0.0}
"""No factor that zones or trades share."""


def ranged(name: str, low: float, likely: float, high: float, **fields: object) -> Task:
    """Return a task with a range, in days."""
    return task(name, likely, duration_range=(ticks(low), ticks(likely), ticks(high)), **fields)


def elapsed(*tasks: Task, **fields: object) -> Plan:
    """Return a plan on elapsed time, so that days are plain."""
    return plan(tasks, calendar="elapsed", calendars=(), project=STILL, **fields)  # type: ignore[arg-type]


def days(one: Plan, *, runs: int = 4_000, seed: int = 3) -> np.ndarray:
    """Return the length of each run in days from the as-of date."""
    result = simulate(one, runs=runs, seed=seed)
    found: np.ndarray = (result.finish - floor_of(one)) / TICKS_PER_DAY
    return found


def step_of(model: CourseModel, one: Plan, name: str) -> Step:
    """Return the step of an activity."""
    number = schedule(one).number(name)
    return next(step for step in model.steps if step.activity == number)


def test_task_without_a_range_is_as_written() -> None:
    assert set(days(elapsed(task("A", 3)))) == {3.0}


def test_three_equal_values_are_certain() -> None:
    assert set(days(elapsed(ranged("A", 3, 3, 3)))) == {3.0}


def test_drawn_work_keeps_within_its_range() -> None:
    found = days(elapsed(ranged("A", 2, 3, 7)))
    assert found.min() >= 2
    assert found.max() <= 7
    assert found.std() > 0.5


def test_triangular_work_is_wider_than_pert() -> None:
    one = elapsed(ranged("A", 2, 3, 10))
    other = replace(one, project=replace(one.project, work_shape=WorkShape.TRIANGULAR))
    assert days(other).std() > 1.2 * days(one).std()
    assert days(other).mean() == pytest.approx((2 + 3 + 10) / 3, abs=0.1)


def test_done_work_is_certain() -> None:
    done = ranged("A", 2, 3, 7, status=status("done", started=MONDAY, finished=date(2026, 1, 8)))
    one = elapsed(done, as_of=date(2026, 2, 1))
    result = simulate(one, runs=50)
    assert set(result.finish.tolist()) == {schedule(one).project_finish}
    assert result.criticality.tolist() == [0.0]


def test_work_begun_draws_what_remains_in_proportion() -> None:
    begun = ranged("A", 4, 8, 16, status=status("in_work", 2, started=MONDAY))
    found = days(elapsed(begun, as_of=date(2026, 1, 8)))
    assert found.min() >= 1
    assert found.max() <= 4
    assert found.mean() == pytest.approx((4 + 4 * 8 + 16) / 6 / 4, abs=0.05)


def test_tasks_of_one_trade_run_over_together() -> None:
    tasks = [ranged(name, 9, 10, 11, trade="wood") for name in "ABCDEFGH"]
    links = [link(a, b) for a, b in zip("ABCDEFG", "BCDEFGH", strict=True)]
    one = elapsed(*tasks, links=links)
    together = replace(one, project=replace(one.project, trade_spread=0.2))
    assert days(one).std() < 2
    assert days(together).std() == pytest.approx(80 * 0.2, rel=0.1)
    assert days(together).mean() == pytest.approx(80, abs=1)


def test_hidden_work_adds_its_share_until_the_zone_is_opened() -> None:
    opening = task("open", 1, zone="hull")
    repair = task("repair", 10, zone="hull")
    other = task("other", 1, zone="tail")
    zones = (Zone("hull", hidden_work_percent=40, opened_by="open"), Zone("tail"))
    links = [link("open", "repair"), link("repair", "other")]
    one = elapsed(opening, repair, other, links=links, zones=zones)
    found = days(one, runs=20_000)
    assert found.min() >= 12
    assert found.mean() == pytest.approx(12 + 4, abs=0.1)
    opened = replace(opening, status=status("done", started=MONDAY, finished=MONDAY))
    after = elapsed(opened, repair, other, links=links, zones=zones, as_of=date(2026, 1, 6))
    assert set(days(after)) == {11.0}


def test_zone_whose_opening_is_dropped_hides_as_much_as_before() -> None:
    """To skip the inspection is no way to gain time."""
    opening = task("open", 1, zone="hull", status=status("dropped"))
    zones = (Zone("hull", hidden_work_percent=40, opened_by="open"),)
    one = elapsed(opening, task("repair", 10, zone="hull"), zones=zones)
    assert days(one, runs=20_000).mean() == pytest.approx(14, abs=0.1)


def test_hidden_work_spares_what_comes_before_the_opening() -> None:
    tasks = [task(name, 4, zone="hull") for name in ("strip", "open", "repair")]
    zones = (Zone("hull", hidden_work_percent=50, opened_by="open"),)
    one = elapsed(*tasks, links=[link("strip", "open"), link("open", "repair")], zones=zones)
    model = model_of(schedule(one))
    assert step_of(model, one, "strip").draw is None
    assert step_of(model, one, "open").draw is None
    assert step_of(model, one, "repair").draw is not None


def test_risk_strikes_as_often_as_it_says() -> None:
    risk = Risk("R1", task="A", probability=0.3, impact=ticks(5))
    found = days(elapsed(task("A", 2), risks=[risk]), runs=20_000)
    assert set(found) == {2.0, 7.0}
    assert (found == 7).mean() == pytest.approx(0.3, abs=0.015)


@pytest.mark.parametrize("change", [{"closed": True}, {"probability": 0.0}])
def test_risk_that_is_closed_or_impossible_never_strikes(change: dict[str, object]) -> None:
    risk = replace(Risk("R1", task="A", probability=0.9, impact=ticks(5)), **change)  # type: ignore[arg-type]
    assert set(days(elapsed(task("A", 2), risks=[risk]))) == {2.0}


def test_certain_risk_always_strikes_within_its_range() -> None:
    span = (ticks(1), ticks(2), ticks(6))
    risk = Risk("R1", task="A", probability=1, impact=ticks(2), impact_range=span)
    found = days(elapsed(task("A", 2), risks=[risk]))
    assert found.min() >= 3
    assert found.max() <= 8
    assert found.mean() == pytest.approx(2 + (1 + 8 + 6) / 6, abs=0.06)


def away(**fields: object) -> Plan:
    """Return a plan with one item at a vendor that works every day."""
    item = {"vendor": "V", "kind": "casting", "lead": ticks(20), **fields}
    return plan(
        [task("before", 1), task("after", 1)],
        calendar="elapsed",
        calendars=(),
        vendors=[Vendor("V")],
        kinds=[SendOutKind("casting", 1.5, 2.0, rejected=0.0)],
        send_outs=[SendOut("S", after=("before",), before=("after",), **item)],  # type: ignore[arg-type]
        project=STILL,
    )


def test_vendor_without_record_takes_what_its_kind_takes() -> None:
    found = days(away(), runs=20_000)
    assert np.median(found) == pytest.approx(1 + 20 * 1.5 + 1, rel=0.02)
    assert np.quantile(found, 0.9) == pytest.approx(1 + 20 * 2.0 + 1, rel=0.03)


def test_leg_on_the_road_has_its_planned_days_in_the_middle() -> None:
    one = away(lead=0, ship_out=ticks(10), accept=ticks(0))
    found = days(one, runs=20_000) - 2
    assert np.median(found) == pytest.approx(10, rel=0.02)
    assert np.quantile(found, 0.9) == pytest.approx(10 * LEG_P90["ship_out"], rel=0.03)


def test_job_that_has_been_out_long_cannot_be_back_already() -> None:
    status_ = SendOutStatus(approved=date(2026, 1, 10))
    one = away(status=status_)
    late = replace(one, project=replace(one.project, as_of=date(2026, 3, 21)))
    done = replace(one.tasks[0], status=status("done", started=MONDAY, finished=date(2026, 1, 5)))
    late = replace(late, tasks=(done, late.tasks[1]))
    found = days(late)
    assert found.min() > 1, "70 days are gone and nothing has come: some are left"
    assert np.median(found) > 5


def test_rejected_item_goes_round_again() -> None:
    kinds = [SendOutKind("casting", 1.0, 1.0001, rejected=0.4)]
    one = replace(away(ship_out=ticks(4), ship_back=ticks(4)), kinds=tuple(kinds))
    found = days(one, runs=10_000)
    model = model_of(schedule(one))
    trip = step_of(model, one, "S/ship_back").second_trip
    assert trip is not None
    share = float((found > np.median(found) * 1.4).mean())
    assert share == pytest.approx(trip.probability, abs=0.05)
    assert [leg for leg, _ in trip.legs] == [0, 0, 0]


@pytest.mark.parametrize("fields", [{"trip_of": "S0"}, {"source": Source.IN_HAND, "accept": 1440}])
def test_second_trip_and_part_in_hand_are_not_rejected(fields: dict[str, object]) -> None:
    one = away(**{"accept": ticks(1), **fields})
    if "trip_of" in fields:
        first = SendOut(
            "S0",
            "V",
            kind="casting",
            lead=ticks(5),
            status=SendOutStatus(left_vendor=MONDAY, rejected=MONDAY),
        )
        one = replace(one, send_outs=(first, *one.send_outs))
    one = replace(one, kinds=(SendOutKind("casting", 1.5, 2.0, rejected=0.9),))
    assert all(step.second_trip is None for step in model_of(schedule(one)).steps)


def test_promise_is_evidence_and_no_certainty() -> None:
    known = SendOutStatus(approved=date(2026, 1, 6), promised=date(2026, 2, 4))
    done = task("before", 1, status=status("done", started=MONDAY, finished=MONDAY))
    one = away(status=known)
    one = replace(
        one,
        tasks=(done, one.tasks[1]),
        project=replace(one.project, as_of=date(2026, 1, 15)),
    )
    result = simulate(one, runs=4_000)
    assert result.planned.finish_on_of(result.planned.number("S/vendor_work")) == date(2026, 2, 4)
    spread = result.spread_of("S/vendor_work")
    assert spread.p10 < spread.p50 < spread.p90
    assert abs((spread.p50 - date(2026, 2, 4)).days) <= 5


def test_order_of_crew_is_respected_in_every_run() -> None:
    """Links that give people their order hold in the runs as in the schedule."""
    tasks = [ranged(name, 2, 4, 9, trade="fabric") for name in "ABC"]
    free, queued = elapsed(*tasks), elapsed(*tasks, links=[Link("A", "B"), Link("B", "C")])
    assert days(queued).mean() == pytest.approx(3 * 4.5, abs=0.2)
    assert days(free).mean() < 7


def test_delay_comes_on_top_of_what_is_drawn() -> None:
    one = elapsed(ranged("A", 2, 3, 7))
    plain = simulate(one, runs=500, seed=9)
    late = simulate(one, runs=500, seed=9, delays={"A": ticks(10)})
    moved = (late.finish - plain.finish) / TICKS_PER_DAY
    assert np.allclose(moved, 10)


def test_cause_names_what_would_gain_most() -> None:
    wide, narrow = ranged("wide", 5, 6, 30), ranged("narrow", 5, 6, 7)
    risk = Risk("R1", task="narrow", probability=0.5, impact=ticks(4))
    one = elapsed(wide, narrow, links=[link("wide", "narrow")], risks=[risk])
    causes = {(cause.kind, cause.id): cause for cause in find_causes(one, runs=8_000)}
    assert next(iter(causes)) == ("task", "wide")
    assert causes["task", "wide"].gain_days == pytest.approx((5 + 24 + 30) / 6 - 6, abs=0.2)
    assert causes["risk", "R1"].gain_days == pytest.approx(2.0, abs=0.1)
    assert causes["task", "narrow"].gain_days == pytest.approx(0, abs=0.05)


def test_source_off_the_path_gains_nothing_and_is_not_listed() -> None:
    one = elapsed(task("long", 100), ranged("short", 1, 2, 5))
    assert find_causes(one) == ()


def test_progress_is_told_and_can_end_the_simulation() -> None:
    told: list[float] = []
    one = elapsed(*(ranged(f"T{n}", 1, 2, 3) for n in range(200)))
    simulate(one, runs=10_100, on_progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 4

    class StopError(Exception):
        pass

    def stop(share: float) -> None:
        if share > 0.3:
            raise StopError

    with pytest.raises(StopError):
        simulate(one, runs=10_100, on_progress=stop)


def test_no_run_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one run"):
        simulate(elapsed(task("A")), runs=0)


def test_empty_plan_ends_where_it_starts() -> None:
    one = plan()
    result = simulate(one, runs=5)
    assert set(result.finish.tolist()) == {schedule(one).project_finish}
    assert result.finish_spread.p90 == schedule(one).finish_on
