"""Grace, need-by, last safe ship date and late curve, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from ribstitch.planning.grace import SendOutGrace, late_curve, send_out_grace, vendor_grace
from ribstitch.planning.model import Calendar, Plan, SendOut, SendOutStatus, Source, Vendor
from ribstitch.planning.schedule import schedule
from tests.core.making import SHOP, link, plan, shown, status, task, ticks

SIX_DAYS = Calendar(id="six", week_hours=(8, 8, 8, 8, 8, 8, 0))
CALENDARS = (SHOP, SIX_DAYS)
VENDORS = (Vendor("V1", calendar="six"), Vendor("V2", calendar="elapsed"))
ENGINE = SendOut(
    "S1", "V1", after=("A",), before=("Z",), prepare=ticks(1), ship_out=ticks(3), lead=ticks(10),
    ship_back=ticks(3), accept=ticks(1),
)  # fmt: skip
"""As planned: prepared on 8 January, on the road 9th to 11th, at the vendor 12th to 22nd (no
Sundays), on the road 23rd to 25th, accepted on Monday 26th; Z on the 27th."""


def day(text: str) -> date:
    """Return a date of 2026 from month and day."""
    return date.fromisoformat(f"2026-{text}")


def beside_eight_weeks(*send_outs: SendOut, as_of: str = "01-05", **fields: Any) -> Plan:
    """Return a plan that finishes on Friday 27 February by a task of 40 days."""
    tasks = [task("A", 3), task("Z", 1), task("long", 40)]
    if as_of != "01-05":
        tasks[0] = task("A", 3, status=status("done", finished=day("01-07")))
        tasks[2] = task("long", 40, status=status("in_work", _left(as_of), started=day("01-05")))
    return plan(
        tasks, as_of=day(as_of), calendars=CALENDARS, vendors=VENDORS,
        send_outs=send_outs, **fields,
    )  # fmt: skip


def _left(as_of: str) -> float:
    """Return the days that the long task has left, so that the finish stays where it was."""
    return float(np.busday_count(day(as_of), day("02-28")))


def of(made: Plan, name: str = "S1") -> SendOutGrace:
    """Return what is computed for one send-out."""
    return next(one for one in send_out_grace(schedule(made)) if one.id == name)


def test_grace_need_by_and_last_safe_ship_date_by_hand() -> None:
    """Accepted on Thursday 26 February, Z can still end with the 27th.

    Ship back 23rd to 25th; the vendor ends on Saturday 21st (22nd is a Sunday): 26 days of
    the vendor after 22 January. Its ten days begin on the 11th; on the road 8th to 10th;
    prepared, in shop days, on Friday 6th.
    """
    found = of(beside_eight_weeks(ENGINE))
    assert found == SendOutGrace("S1", ticks(26), day("02-26"), day("02-06"))


def test_lateness_within_grace_keeps_the_finish_and_a_day_more_moves_it() -> None:
    made = beside_eight_weeks(ENGINE)
    kept = schedule(made, delays={"S1/vendor_work": ticks(26)})
    moved = schedule(made, delays={"S1/vendor_work": ticks(27)})
    assert kept.finish_on == day("02-27")
    assert moved.finish_on == day("03-02")


def test_an_item_that_needs_no_preparing_is_shipped_before_its_late_start_on_the_road() -> None:
    made = beside_eight_weeks(
        SendOut("S1", "V1", before=("Z",), ship_out=ticks(3), lead=ticks(10), ship_back=ticks(3),
                accept=ticks(1))
    )  # fmt: skip
    assert of(made).last_safe_ship == day("02-07")


def test_a_critical_item_has_no_grace() -> None:
    tasks = [task("A", 3), task("Z", 1)]
    made = plan(tasks, calendars=CALENDARS, vendors=VENDORS, send_outs=[ENGINE])
    found = of(made)
    assert (found.grace, found.need_by, found.last_safe_ship) == (0, day("01-26"), day("01-08"))


def test_weekends_of_the_shop_are_grace_of_a_vendor_who_works_on_saturdays() -> None:
    """The vendor's eight days end with Friday 16th; Z begins on Monday, so Saturday is free."""
    direct = SendOut("S1", "V1", after=("A",), before=("Z",), lead=ticks(8))
    made = plan(
        [task("A", 3), task("Z", 1)], calendars=CALENDARS, vendors=VENDORS,
        send_outs=[direct],
    )  # fmt: skip
    result = schedule(made)
    assert shown(result, "S1/vendor_work") == (day("01-08"), day("01-16"))
    assert of(made).grace == ticks(1)
    assert schedule(made, delays={"S1/vendor_work": ticks(1)}).finish_on == result.finish_on


def test_an_item_that_has_left_its_vendor_counts_on_the_leg_it_is_on() -> None:
    """Back on the road: 3 elapsed days from 23 January; to arrive by 25 February: 31 days more."""
    gone = SendOutStatus(left_vendor=day("01-22"))
    found = of(beside_eight_weeks(_with(ENGINE, gone), as_of="01-23"))
    assert found == SendOutGrace("S1", ticks(31), day("02-26"), None)


def test_an_item_on_its_way_has_no_last_safe_ship_date() -> None:
    shipped = SendOutStatus(shipped=day("01-08"))
    found = of(beside_eight_weeks(_with(ENGINE, shipped), as_of="01-09"))
    assert found == SendOutGrace("S1", ticks(26), day("02-26"), None)


def test_grace_counts_from_the_latest_promise() -> None:
    """Promised for Saturday 14 February: to the 21st, six of the vendor's days."""
    promised = SendOutStatus(promised=day("02-14"))
    assert of(beside_eight_weeks(_with(ENGINE, promised))).grace == ticks(6)


def test_an_item_without_vendor_work_is_late_by_its_intake() -> None:
    made = beside_eight_weeks(SendOut("S1", "V1", before=("Z",), intake=ticks(4), accept=ticks(1)))
    result = schedule(made)
    assert result.prepared.expansion.open_legs["S1"].slip == "S1/intake"
    late = schedule(made, delays={"S1/intake": of(made).grace})
    assert late.finish_on == result.finish_on


def test_an_accepted_item_is_no_longer_listed() -> None:
    accepted = SendOutStatus(accepted=day("01-22"))
    result = schedule(beside_eight_weeks(_with(ENGINE, accepted), as_of="01-23"))
    assert send_out_grace(result) == ()
    assert vendor_grace(result) == ()


def test_a_dropped_item_is_not_listed() -> None:
    result = schedule(beside_eight_weeks(replace(ENGINE, dropped=True)))
    assert send_out_grace(result) == ()


def test_a_missed_deadline_takes_no_grace_away() -> None:
    """Grace asks about the finish; a deadline shows in the float."""
    tasks = [task("A", 3), task("Z", 1, deadline=day("01-12")), task("long", 40)]
    made = plan(tasks, calendars=CALENDARS, vendors=VENDORS, send_outs=[ENGINE])
    assert of(made).grace == ticks(26)
    assert schedule(made).total_float[1] < 0


# --- vendors -------------------------------------------------------------------------------


def in_turn(as_of: str = "01-05", first: SendOutStatus | None = None) -> Plan:
    """Return 100 elapsed days beside two items of one vendor in turn: 10 + 10 + 10."""
    tasks = [task("long", 100), task("M", 10), task("Z", 0)]
    items = [
        SendOut("S1", "V2", before=("M",), lead=ticks(10), status=first or SendOutStatus()),
        SendOut("S2", "V2", after=("M",), before=("Z",), lead=ticks(10)),
    ]
    return plan(
        tasks,
        as_of=day(as_of),
        calendar="elapsed",
        calendars=CALENDARS,
        vendors=VENDORS,
        send_outs=items,
    )


def test_items_of_one_vendor_in_turn_share_the_grace() -> None:
    """Each alone may be 70 days late; both together 35 each."""
    result = schedule(in_turn())
    assert [one.grace for one in send_out_grace(result)] == [ticks(70), ticks(70)]
    assert [(one.id, one.grace, one.send_outs) for one in vendor_grace(result)] == [
        ("V2", ticks(35), ("S1", "S2"))
    ]


def test_an_item_that_has_left_the_vendor_no_longer_shares() -> None:
    """S1 left on 20 January: S2 alone may be late."""
    left = SendOutStatus(left_vendor=day("01-20"))
    result = schedule(in_turn("01-21", left))
    assert [(one.id, one.send_outs) for one in vendor_grace(result)] == [("V2", ("S2",))]


def test_items_of_one_vendor_side_by_side_have_the_grace_of_the_nearer() -> None:
    tasks = [task("long", 100), task("Z", 0)]
    items = [
        SendOut(f"S{n}", "V2", before=("Z",), lead=ticks(days)) for n, days in enumerate((10, 40))
    ]
    made = plan(tasks, calendar="elapsed", calendars=CALENDARS, vendors=VENDORS, send_outs=items)
    assert [one.grace for one in vendor_grace(schedule(made))] == [ticks(60)]


def test_each_vendor_stands_alone_in_order_of_entry() -> None:
    other = SendOut("S2", "V2", before=("Z",), lead=ticks(10))
    result = schedule(beside_eight_weeks(other, ENGINE))
    assert [(one.id, one.send_outs) for one in vendor_grace(result)] == [
        ("V1", ("S1",)), ("V2", ("S2",)),
    ]  # fmt: skip


# --- exchange, pattern ---------------------------------------------------------------------


def test_an_exchange_has_no_last_safe_ship_date() -> None:
    """Its core may leave whenever it likes; only the unit can be late."""
    found = of(beside_eight_weeks(replace(ENGINE, source=Source.EXCHANGE)))
    assert found.last_safe_ship is None
    assert found.need_by == day("02-26")


def test_the_way_back_of_a_pattern_limits_the_grace_of_the_part() -> None:
    """The pattern takes 20 days back: the vendor must end by 7 February for the 27th."""
    lent = replace(ENGINE, source=Source.PATTERN, return_leg=ticks(20))
    found = of(beside_eight_weeks(lent))
    assert found.grace == ticks(14)


# --- late curve ----------------------------------------------------------------------------


def test_late_curve_is_flat_within_grace_and_then_rises() -> None:
    result = schedule(beside_eight_weeks(ENGINE))
    curve = late_curve(result, ["S1/vendor_work"], 40)
    assert len(curve.finish) == 41
    assert {curve.finish_on(n) for n in range(27)} == {day("02-27")}
    assert [curve.finish_on(n) for n in (27, 28, 29, 30)] == [
        day("03-02"), day("03-03"), day("03-03"), day("03-03"),
    ]  # fmt: skip


@pytest.mark.parametrize("days", [0, 1, 17, 40])
def test_each_point_of_a_late_curve_is_a_schedule_of_its_own(days: int) -> None:
    made = in_turn()
    legs = ["S1/vendor_work", "S2/vendor_work"]
    curve = late_curve(schedule(made), legs, 40)
    late = schedule(made, delays=dict.fromkeys(legs, ticks(days)))
    assert curve.finish[days] == late.project_finish


def test_a_late_curve_may_run_past_the_first_range_of_years() -> None:
    """3,000 days of a one-day week: the calendars are widened on the way."""
    rare = Calendar(id="rare", week_hours=(8, 0, 0, 0, 0, 0, 0))
    item = SendOut("S1", "V1", before=("Z",), lead=ticks(1))
    made = plan(
        [task("Z", 1)], [], calendars=[SHOP, rare], vendors=[Vendor("V1", calendar="rare")],
        send_outs=[item],
    )  # fmt: skip
    curve = late_curve(schedule(made), ["S1/vendor_work"], 3000)
    assert curve.finish_on(3000).toordinal() == day("01-05").toordinal() + 7 * 3000 + 1


def _with(item: SendOut, known: SendOutStatus) -> SendOut:
    """Return a send-out with actual dates."""
    return replace(item, status=known)


def test_links_around_an_item_are_kept_in_grace() -> None:
    """Z follows the long task as well: the item's grace ends a day earlier."""
    made = beside_eight_weeks(ENGINE, links=[link("long", "Z")])
    assert schedule(made).finish_on == day("03-02")
    assert of(made).need_by == day("02-27")


def test_a_delay_stays_when_the_years_are_widened() -> None:
    """The curve of a plan whose long task is late begins where that plan finishes."""
    late = schedule(beside_eight_weeks(ENGINE), delays={"long": ticks(20)})
    curve = late_curve(late, ["S1/vendor_work"], 4_000)
    assert curve.finish[0] == late.project_finish
    assert curve.finish_on(4_000) > date(2036, 12, 31)
