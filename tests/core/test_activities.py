"""Send-outs leg by leg: sources, actual dates, promises, second trips."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ribstitch.planning.activities import expand
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import (
    Calendar,
    OutOfSequence,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from tests.core.making import SHOP, link, plan, shown, task, ticks

SIX_DAYS = Calendar(id="six", week_hours=(8, 8, 8, 8, 8, 8, 0))
VENDOR = Vendor("V1", calendar="six")
LEGS = {
    "prepare": 2, "ship_out": 5, "customs_out": 3, "intake": 4, "approval": 7, "lead": 30,
    "ship_back": 6, "customs_back": 2, "accept": 1,
}  # fmt: skip
"""Days of each leg in the cases below; project start is Monday 5 January 2026."""


def day(text: str) -> date:
    """Return a date of 2026 from month and day."""
    return date.fromisoformat(f"2026-{text}")


def item(name: str = "S1", days: Mapping[str, float] | None = None, **fields: Any) -> SendOut:
    """Return a send-out with legs in days, all of them by default."""
    legs: dict[str, Any] = {
        leg: ticks(one) for leg, one in (LEGS if days is None else days).items()
    }
    fields.setdefault("after", ("A",))
    fields.setdefault("before", ("Z",))
    return SendOut(name, "V1", **legs, **fields)


def around(*send_outs: SendOut, as_of: str = "01-05", **project: Any) -> Plan:
    """Return a plan of a task before and a task after some send-outs."""
    return plan(
        [task("A", 3), task("Z", 1)],
        as_of=day(as_of),
        calendars=[SHOP, SIX_DAYS],
        vendors=[VENDOR],
        send_outs=send_outs,
        project=project,
    )


def dates(made: Plan) -> dict[str, tuple[str, str]]:
    """Return shown start and finish of all activities as month and day."""
    result = schedule(made)
    return {
        one.id: (f"{begin:%m-%d}", f"{end:%m-%d}")
        for one in result.activities
        for begin, end in [shown(result, one.id)]
    }


def ties(made: Plan) -> set[tuple[str, str]]:
    """Return the links of an expanded plan."""
    return {(one.before, one.after) for one in expand(made).links}


# --- what a send-out is made of ------------------------------------------------------------


def test_an_overhaul_is_a_chain_of_legs_each_on_its_own_calendar() -> None:
    legs = [one for one in expand(around(item())).activities if one.send_out == "S1"]
    assert [(one.leg, one.calendar, one.work / 1440) for one in legs] == [
        ("prepare", "shop", 2), ("ship_out", "elapsed", 5), ("customs_out", "elapsed", 3),
        ("intake", "six", 4), ("approval", "elapsed", 7), ("vendor_work", "six", 30),
        ("ship_back", "elapsed", 6), ("customs_back", "elapsed", 2), ("accept", "shop", 1),
    ]  # fmt: skip
    assert [one.id for one in legs] == [f"S1/{one.leg}" for one in legs]


def test_an_overhaul_as_planned_worked_by_hand() -> None:
    """A ends Wednesday 7 January; weekends off in the shop, Sundays off at the vendor."""
    assert dates(around(item())) == {
        "A": ("01-05", "01-07"),
        "S1/prepare": ("01-08", "01-09"),
        "S1/ship_out": ("01-10", "01-14"),
        "S1/customs_out": ("01-15", "01-17"),
        "S1/intake": ("01-19", "01-22"),
        "S1/approval": ("01-23", "01-29"),
        "S1/vendor_work": ("01-30", "03-05"),
        "S1/ship_back": ("03-06", "03-11"),
        "S1/customs_back": ("03-12", "03-13"),
        "S1/accept": ("03-16", "03-16"),
        "Z": ("03-17", "03-17"),
    }


def test_legs_of_no_days_are_left_out_and_the_chain_closes() -> None:
    made = around(item(days={"ship_out": 5, "lead": 30, "accept": 1}))
    assert ties(made) == {
        ("A", "S1/ship_out"), ("S1/ship_out", "S1/vendor_work"), ("S1/vendor_work", "S1/accept"),
        ("S1/accept", "Z"),
    }  # fmt: skip


def test_a_send_out_without_legs_is_refused() -> None:
    with pytest.raises(InvalidValueError) as caught:
        schedule(around(item("S0"), item(days={})))
    expected = 'send_outs[1]: the send-out "S1" has no leg: give at least lead_days'
    assert str(caught.value) == expected


def test_an_exchange_starts_at_once_and_the_core_follows_later() -> None:
    """The unit gates what comes after; nothing waits for the worn core."""
    made = around(item(source=Source.EXCHANGE))
    assert ties(made) == {
        ("S1/intake", "S1/approval"), ("S1/approval", "S1/vendor_work"),
        ("S1/vendor_work", "S1/ship_back"), ("S1/ship_back", "S1/customs_back"),
        ("S1/customs_back", "S1/accept"), ("S1/accept", "Z"),
        ("A", "S1/prepare"), ("S1/prepare", "S1/ship_out"), ("S1/ship_out", "S1/customs_out"),
    }  # fmt: skip
    found = dates(made)
    assert found["S1/intake"] == ("01-05", "01-08")
    assert found["S1/prepare"] == ("01-08", "01-09")
    assert found["S1/customs_out"] == ("01-15", "01-17")


def test_a_core_that_left_says_nothing_about_the_unit() -> None:
    gone = SendOutStatus(shipped=day("01-09"), arrived=day("01-14"))
    made = around(item(source=Source.EXCHANGE, status=gone), as_of="01-20")
    found = dates(made)
    assert found["S1/ship_out"] == ("01-10", "01-14")
    assert found["S1/intake"] == ("01-20", "01-23")


def test_a_part_in_hand_is_at_most_accepted() -> None:
    made = around(item(source=Source.IN_HAND))
    assert ties(made) == {("S1/accept", "Z")}
    assert dates(made)["S1/accept"] == ("01-05", "01-05")


def test_a_part_in_hand_that_needs_no_acceptance_ties_nothing() -> None:
    made = around(item(days={}, source=Source.IN_HAND))
    assert ties(made) == set()
    assert set(dates(made)) == {"A", "Z"}


def test_a_lent_pattern_comes_back_and_nothing_waits_for_it() -> None:
    made = around(item(days={"ship_out": 5, "lead": 30, "ship_back": 5}, source=Source.PATTERN,
                       return_leg=ticks(9)))  # fmt: skip
    assert ties(made) == {
        ("A", "S1/ship_out"), ("S1/ship_out", "S1/vendor_work"),
        ("S1/vendor_work", "S1/ship_back"), ("S1/ship_back", "Z"),
        ("S1/vendor_work", "S1/return"),
    }  # fmt: skip
    result = schedule(made)
    assert result.finish_on == shown(result, "S1/return")[1] > shown(result, "Z")[1]


def test_a_dropped_send_out_leaves_the_order_of_the_tasks_around_it() -> None:
    made = around(item(dropped=True))
    assert ties(made) == {("A", "Z")}
    assert set(dates(made)) == {"A", "Z"}


# --- facts override the plan ---------------------------------------------------------------


def test_an_actual_date_ends_its_leg_and_the_next_is_under_way() -> None:
    """Shipped on Friday 9th, asked on Monday 12th: two of the five days on the road are over."""
    made = around(item(status=SendOutStatus(shipped=day("01-09"))), as_of="01-12")
    found = dates(made)
    assert found["S1/prepare"] == ("01-09", "01-09")
    assert found["S1/ship_out"] == ("01-10", "01-14")
    assert found["S1/customs_out"] == ("01-15", "01-17")


def test_a_leg_that_begins_at_the_end_of_the_as_of_date_takes_just_its_days() -> None:
    """Shipped today: five days on the road from tomorrow, and not six."""
    made = around(item(status=SendOutStatus(shipped=day("01-09"))), as_of="01-09")
    assert dates(made)["S1/ship_out"] == ("01-10", "01-14")
    carrying = around(
        item(status=SendOutStatus(shipped=day("01-09"))),
        as_of="01-09",
        out_of_sequence=OutOfSequence.CARRY_ON,
    )
    assert dates(carrying)["S1/ship_out"] == ("01-10", "01-14")


def test_a_leg_that_should_be_over_is_over_at_the_as_of_date() -> None:
    """Approved weeks ago, 30 days quoted, and still nothing: it can leave at any moment."""
    known = SendOutStatus(approved=day("01-09"))
    found = dates(around(item(status=known), as_of="03-02"))
    assert found["S1/vendor_work"] == ("01-10", "03-02")
    assert found["S1/ship_back"] == ("03-02", "03-07")


def test_the_border_is_reached_when_the_days_on_the_road_are_over() -> None:
    """Nobody records when the road ends: after five elapsed days it is with customs."""
    found = dates(around(item(status=SendOutStatus(shipped=day("01-09"))), as_of="01-16"))
    assert found["S1/ship_out"] == ("01-10", "01-14")
    assert found["S1/customs_out"] == ("01-15", "01-17")


def test_a_later_date_ends_earlier_legs_that_nobody_dated() -> None:
    found = dates(around(item(status=SendOutStatus(quoted=day("01-23"))), as_of="01-26"))
    over = {leg for leg, (_, end) in found.items() if end <= "01-23" and "/" in leg}
    assert over == {"S1/prepare", "S1/ship_out", "S1/customs_out", "S1/intake"}
    assert found["S1/approval"] == ("01-24", "01-30")


def test_a_promise_replaces_the_quoted_days() -> None:
    known = SendOutStatus(approved=day("01-30"), promised=day("04-18"))
    found = dates(around(item(status=known), as_of="02-02"))
    assert found["S1/vendor_work"] == ("01-31", "04-18")
    assert found["S1/ship_back"] == ("04-19", "04-24")


def test_a_promise_may_be_earlier_than_the_quote() -> None:
    known = SendOutStatus(approved=day("01-30"), promised=day("02-06"))
    assert dates(around(item(status=known), as_of="02-02"))["S1/ship_back"][0] == "02-07"


def test_a_promise_that_has_passed_means_any_moment_now() -> None:
    known = SendOutStatus(approved=day("01-30"), promised=day("02-06"))
    found = dates(around(item(status=known), as_of="03-02"))
    assert found["S1/vendor_work"] == ("01-31", "03-02")
    assert found["S1/ship_back"] == ("03-02", "03-07")


def test_an_actual_date_overrides_a_promise() -> None:
    known = SendOutStatus(approved=day("01-30"), promised=day("04-18"), left_vendor=day("02-06"))
    found = dates(around(item(status=known), as_of="02-09"))
    assert found["S1/vendor_work"] == ("01-31", "02-06")
    assert found["S1/ship_back"] == ("02-07", "02-12")


def test_a_promise_makes_a_leg_even_where_no_days_were_quoted() -> None:
    promised = SendOutStatus(promised=day("04-18"))
    found = dates(around(item(days={"ship_out": 5, "ship_back": 5}, status=promised)))
    assert found["S1/vendor_work"][1] == "04-18"


def test_an_accepted_item_lets_the_shop_go_on_the_day_after() -> None:
    accepted = SendOutStatus(accepted=day("03-12"))
    made = around(item(status=accepted), as_of="03-12")
    assert dates(made)["Z"] == ("03-13", "03-13")
    assert expand(made).open_legs == {}


def test_a_pattern_on_its_way_back_counts_from_the_day_it_left() -> None:
    left = SendOutStatus(left_vendor=day("02-06"))
    made = around(item(source=Source.PATTERN, return_leg=ticks(9), status=left), as_of="02-09")
    assert dates(made)["S1/return"] == ("02-07", "02-15")
    back = replace(left, returned=day("02-12"))
    made = around(item(source=Source.PATTERN, return_leg=ticks(9), status=back), as_of="02-13")
    assert dates(made)["S1/return"] == ("02-07", "02-12")


# --- second trips --------------------------------------------------------------------------

REJECTED = SendOutStatus(left_vendor=day("03-02"), received=day("03-09"), rejected=day("03-10"))


def test_a_rejected_item_goes_out_again_and_the_shop_waits_for_the_second_trip() -> None:
    again = item("S1/2", {"ship_out": 5, "lead": 10, "ship_back": 5}, trip_of="S1", after=(),
                 before=())  # fmt: skip
    made = around(item(status=REJECTED), again, as_of="03-16")
    assert ("S1/accept", "S1/2/ship_out") in ties(made)
    assert ("S1/2/ship_back", "Z") in ties(made)
    assert ("S1/accept", "Z") not in ties(made)
    found = dates(made)
    assert found["S1/accept"] == ("03-10", "03-10")
    assert found["S1/2/ship_out"] == ("03-16", "03-20")


def test_a_third_trip_carries_the_tasks_that_wait_on() -> None:
    second = item("S1/2", {"lead": 10, "accept": 1}, trip_of="S1", after=(), before=(),
                  status=SendOutStatus(rejected=day("04-01")))  # fmt: skip
    third = item("S1/3", {"lead": 10}, trip_of="S1/2", after=(), before=())
    made = around(item(status=REJECTED), second, third, as_of="04-02")
    assert {before for before, after in ties(made) if after == "Z"} == {"S1/3/vendor_work"}
    assert ("S1/2/accept", "S1/3/vendor_work") in ties(made)


def test_a_second_trip_waits_for_the_tasks_it_names_as_well() -> None:
    """Before it goes out again the shop may have to take it apart once more."""
    again = item("S1/2", {"lead": 10}, trip_of="S1", after=("A",), before=())
    made = around(item(status=REJECTED), again, as_of="03-16")
    assert {before for before, after in ties(made) if after == "S1/2/vendor_work"} == {
        "A", "S1/accept",
    }  # fmt: skip


def test_a_rejection_without_a_further_trip_is_refused() -> None:
    with pytest.raises(InvalidValueError) as caught:
        schedule(around(item(status=REJECTED), as_of="03-16"))
    assert str(caught.value) == (
        'send_outs[0].status.rejected: "S1" was rejected, so a send-out with trip_of "S1" '
        "must follow"
    )


# --- the shop around it --------------------------------------------------------------------


def test_an_item_on_the_road_does_not_wait_for_the_shop() -> None:
    """Shipped before the task that should have come first was done: the road goes on."""
    for legs in ({"prepare": 2, "ship_out": 5, "lead": 9}, {"ship_out": 5, "lead": 9}):
        made = around(item(days=legs, status=SendOutStatus(shipped=day("01-06"))), as_of="01-07")
        assert dates(made)["S1/ship_out"] == ("01-07", "01-11")


def test_several_tasks_before_and_after() -> None:
    made = plan(
        [task("A", 1), task("B", 4), task("Y", 1), task("Z", 1)],
        [link("Y", "Z")],
        vendors=[Vendor("V1")],
        send_outs=[item(days={"lead": 10}, after=("A", "B"), before=("Y", "Z"))],
    )
    found = dates(made)
    assert found["S1/vendor_work"] == ("01-09", "01-22")
    assert found["Y"] == ("01-23", "01-23")
