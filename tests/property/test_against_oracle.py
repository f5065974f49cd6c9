"""Random plans against the slow oracle: start, finish, floats and grace, to the tick.

Small plans have their floats searched for by the oracle; in large ones (up to 60
activities) each float that the core gives is put to the test: it must be harmless, and
one tick more must not.
"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import event, given

from ribstitch.planning.grace import late_curve, send_out_grace, vendor_grace
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import date_before
from tests.core.making import link, plan, task
from tests.property.oracle import Oracle
from tests.property.settings import examples
from tests.property.strategies import LARGEST, plans

pytestmark = pytest.mark.timeout(600)
DAY = 1440


def check_dates(result: Schedule, oracle: Oracle) -> None:
    """Compare starts, beginnings and finishes of all activities, and the project finish."""
    found = {
        one.id: (int(result.start[at]), int(result.begin[at]), int(result.finish[at]))
        for at, one in enumerate(result.activities)
    }
    assert found == {name: (one.start, one.begin, one.finish) for name, one in oracle.dates.items()}
    assert result.project_finish == oracle.finish


def check_total_float(result: Schedule, oracle: Oracle, name: str) -> None:
    """Put a total float to the test: harmless, and no longer so one tick later."""
    given_float = int(result.total_float[result.number(name)])
    if oracle.is_settled(name):
        assert given_float == 0, name
    elif oracle.is_late_already(name):
        assert given_float == oracle.total_float(name), name
    else:
        assert given_float >= 0, name
        assert oracle.leaves_finish_and_deadlines(name, given_float), name
        assert not oracle.leaves_finish_and_deadlines(name, given_float + 1), name


def check_late_dates(result: Schedule, oracle: Oracle, name: str) -> None:
    """Late dates are those at which a job is just in time."""
    job, at = oracle.jobs[name], result.number(name)
    begin, finish = int(result.late_begin[at]), int(result.late_finish[at])
    if oracle.is_settled(name):
        assert (begin, finish) == (oracle.dates[name].begin, oracle.dates[name].finish), name
    else:
        assert oracle.in_time(name, begin), name
        later = begin + 1 if job.work == 0 else job.days.next_working(begin + 1)
        assert not oracle.in_time(name, later), name
        assert finish == oracle.placed_at(name, begin)[name].finish, name


def check_free_float(result: Schedule, oracle: Oracle, name: str) -> None:
    """Put a free float to the test: no other date moves, and one does one tick later."""
    spare = int(result.free_float[result.number(name)])
    if oracle.is_settled(name):
        assert spare == 0, name
        return
    assert spare >= 0, name
    assert oracle.moves_no_other(name, spare), name
    assert not oracle.moves_no_other(name, spare + 1), name


def check_grace(result: Schedule, oracle: Oracle) -> None:
    """Compare grace, need-by and last safe ship date of open send-outs, grace of vendors."""
    items = {name: one for name, one in oracle.parts.items.items() if one.is_open}
    assert {one.id: one.grace for one in send_out_grace(result)} == {
        name: oracle.grace([one.late_leg.name]) for name, one in items.items()
    }
    for one in send_out_grace(result):
        legs = {leg.name.split("/")[-1]: leg for leg in items[one.id].legs if leg.finished is None}
        assert one.need_by == date_before(oracle.last_finish(items[one.id].legs[-1].name))
        safe = None
        if "prepare" in legs:
            safe = date_before(oracle.last_finish(legs["prepare"].name))
        elif "ship_out" in legs and not legs["ship_out"].under_way:
            safe = date_before(oracle.last_begin(legs["ship_out"].name))
        assert one.last_safe_ship == safe, one.id
    late = {vendor: oracle.late_legs(vendor) for vendor in ("V0", "V1")}
    assert {one.id: one.grace for one in vendor_grace(result)} == {
        vendor: oracle.grace(legs) for vendor, legs in late.items() if legs
    }


def check_late_curve(result: Schedule, oracle: Oracle) -> None:
    """Compare the late curves of the vendors, some of their points."""
    for vendor in ("V0", "V1"):
        legs = oracle.late_legs(vendor)
        if not legs:
            continue
        curve = late_curve(result, legs, 25)
        for days in (0, 1, 7, 25):
            dates = oracle.scheduled(longer=dict.fromkeys(legs, days * DAY))
            assert curve.finish[days] == oracle.finish_of(dates), (vendor, days)


@examples(250)
@given(plans(max_tasks=9, max_send_outs=2))
def test_small_plans_agree_to_the_tick_on_dates_floats_and_grace(drawn: Plan) -> None:
    """The oracle searches for every total and free float itself."""
    result, oracle = schedule(drawn), Oracle(drawn)
    check_dates(result, oracle)
    for name in oracle.jobs:
        at = result.number(name)
        assert int(result.total_float[at]) == oracle.total_float(name), name
        assert int(result.free_float[at]) == oracle.free_float(name), name
        check_late_dates(result, oracle, name)
    check_grace(result, oracle)
    check_late_curve(result, oracle)


@examples(150)
@given(plans(min_tasks=15, max_tasks=45, max_send_outs=4))
def test_large_plans_agree_to_the_tick_on_dates_floats_and_grace(drawn: Plan) -> None:
    """The oracle puts the core's floats of every third activity to the test."""
    result, oracle = schedule(drawn), Oracle(drawn)
    assert len(oracle.jobs) <= LARGEST
    event(f"{len(oracle.jobs) // 10 * 10} activities or more")
    check_dates(result, oracle)
    for name in list(oracle.jobs)[::3]:
        check_total_float(result, oracle, name)
        check_free_float(result, oracle, name)
        check_late_dates(result, oracle, name)
    check_grace(result, oracle)


@examples(200)
@given(plans(max_tasks=4, max_send_outs=5, started=True))
def test_send_outs_in_every_stage_agree_to_the_tick(drawn: Plan) -> None:
    """Few tasks, several items of every source on their way, some of them rejected."""
    result, oracle = schedule(drawn), Oracle(drawn)
    check_dates(result, oracle)
    for name in oracle.jobs:
        check_total_float(result, oracle, name)
        check_late_dates(result, oracle, name)
    check_grace(result, oracle)


def test_oracle_itself_gives_a_result_worked_by_hand() -> None:
    """Two days from Friday, a weekend, three days: the oracle is checked before it checks."""
    friday = date(2026, 1, 9)
    made = plan(
        [task("A", 2), task("B", 3), task("C", 1)],
        [link("A", "B"), link("A", "C", "SS", 1)],
        start=friday,
    )
    oracle = Oracle(made)
    first = DAY * friday.toordinal()
    assert [(one.start - first, one.finish - first) for one in oracle.dates.values()] == [
        (0, 4 * DAY), (4 * DAY, 7 * DAY), (3 * DAY, 4 * DAY),
    ]  # fmt: skip
    assert [oracle.total_float(name) for name in "ABC"] == [0, 0, 3 * DAY]
    assert [oracle.free_float(name) for name in "ABC"] == [0, 0, 3 * DAY]
