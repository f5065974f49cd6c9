"""What-if cases: each change, in turn and in the order given, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.errors import InvalidValueError, PlanError, UnknownReferenceError
from ribstitch.planning.model import Plan, SendOut, SendOutStatus, Source, State, Vendor
from ribstitch.planning.schedule import schedule
from ribstitch.planning.whatif import (
    BoughtAsExchange,
    Case,
    Change,
    ExtraDays,
    SendOutLate,
    TaskDropped,
    VendorLate,
    VendorSwapped,
    apply_changes,
)
from tests.core.making import MONDAY, SHOP, link, plan, status, task, ticks

ENGINE = SendOut("S1", "V1", after=("A",), before=("Z",), ship_out=ticks(2), lead=ticks(10),
                 ship_back=ticks(2), accept=ticks(1))  # fmt: skip
SATURDAY = date(2026, 1, 10)


def base(item: SendOut = ENGINE, as_of: date = MONDAY) -> Plan:
    """Return A (1 day), an engine away for 10 elapsed days, Z (1 day)."""
    return plan(
        [task("A", 1), task("Z", 1)],
        as_of=as_of,
        vendors=[Vendor("V1", calendar="elapsed"), Vendor("V2")],
        send_outs=[item],
    )


def finish(made: Plan, *changes: Change) -> str:
    """Return the finish date of a case as month and day."""
    return f"{apply_changes(made, changes).schedule().finish_on:%m-%d}"


def test_a_case_without_changes_is_the_plan() -> None:
    assert apply_changes(base(), ()) == Case(base())
    assert finish(base()) == "01-21"


@pytest.mark.parametrize(("days", "expected"), [(0, "01-21"), (3, "01-26"), (10, "02-02")])
def test_a_late_vendor_delays_all_open_work_in_days_of_the_vendor(
    days: float, expected: str
) -> None:
    """Back from the road on Monday 19th, accepted on Tuesday 20th; late by elapsed days."""
    assert finish(base(), VendorLate("V1", days)) == expected


def test_a_vendor_without_open_work_delays_nothing() -> None:
    assert finish(base(), VendorLate("V2", 50)) == "01-21"


def test_a_late_send_out_is_late_alone() -> None:
    other = replace(ENGINE, id="S2")
    made = replace(base(), send_outs=(ENGINE, other))
    assert apply_changes(made, [SendOutLate("S2", 3)]).delays == {"S2/vendor_work": ticks(3)}
    assert apply_changes(made, [VendorLate("V1", 3)]).delays == {
        "S1/vendor_work": ticks(3), "S2/vendor_work": ticks(3),
    }  # fmt: skip


def test_delays_of_several_changes_add_up_and_need_not_be_eighths() -> None:
    case = apply_changes(base(), [VendorLate("V1", 3), SendOutLate("S1", 1.3)])
    assert case.delays == {"S1/vendor_work": ticks(3) + 1872}


def test_an_item_that_has_left_its_vendor_is_late_on_the_road() -> None:
    gone = replace(ENGINE, status=SendOutStatus(left_vendor=date(2026, 1, 16)))
    made = base(gone, as_of=date(2026, 1, 17))
    assert apply_changes(made, [SendOutLate("S1", 2)]).delays == {"S1/ship_back": ticks(2)}
    assert apply_changes(made, [VendorLate("V1", 2)]).delays == {}


def test_another_vendor_brings_its_own_calendar_and_lead_time() -> None:
    """V2 works in the shop's week: ten days from Thursday 8th end with the 21st."""
    case = apply_changes(base(), [VendorSwapped("S1", "V2")])
    assert case.plan.send_outs[0].vendor == "V2"
    assert finish(base(), VendorSwapped("S1", "V2")) == "01-27"
    assert finish(base(), VendorSwapped("S1", "V2", lead_days=5)) == "01-20"


def test_another_vendor_has_promised_nothing() -> None:
    promised = replace(ENGINE, status=SendOutStatus(promised=date(2026, 6, 1)))
    assert finish(base(promised), VendorSwapped("S1", "V2")) == "01-27"


def test_a_dropped_task_takes_no_time() -> None:
    case = apply_changes(base(), [TaskDropped("Z")])
    assert case.plan.tasks[1].status.state is State.DROPPED
    assert finish(base(), TaskDropped("Z")) == "01-20"


def test_an_exchange_unit_comes_without_waiting_for_the_item() -> None:
    """Ordered today: six elapsed days from Monday 5th, two on the road, accepted on the 13th."""
    case = apply_changes(base(), [BoughtAsExchange("S1", 6)])
    assert case.plan.send_outs[0].source is Source.EXCHANGE
    assert finish(base(), BoughtAsExchange("S1", 6)) == "01-14"


def test_an_exchange_unit_does_not_inherit_what_the_vendor_of_the_item_said() -> None:
    known = SendOutStatus(shipped=MONDAY, promised=date(2026, 6, 1))
    case = apply_changes(base(replace(ENGINE, status=known)), [BoughtAsExchange("S1", 6)])
    assert case.plan.send_outs[0].status == SendOutStatus(shipped=MONDAY)


def test_saturdays_worked_bring_the_finish_in() -> None:
    made = plan([task("A", 10)])
    extra = ExtraDays("shop", 5, MONDAY, date(2026, 1, 31), 8)
    assert finish(made) == "01-16"
    assert finish(made, extra) == "01-15"
    assert finish(made, replace(extra, hours=4)) == "01-16"


def test_extra_days_keep_closures_and_openings_as_they_are() -> None:
    """A Saturday within a closure stays closed; one that is open already keeps its hours."""
    closed = replace(SHOP, closed=((SATURDAY, SATURDAY),), opened=((date(2026, 1, 17), 2.0),))
    made = plan([task("A", 1)], calendars=[closed])
    extra = ExtraDays("shop", 5, date(2026, 1, 7), date(2026, 1, 24), 8)
    opened = apply_changes(made, [extra]).plan.calendars[0].opened
    assert opened == ((date(2026, 1, 17), 2.0), (date(2026, 1, 24), 8))


def test_extra_days_at_the_end_of_all_dates_are_refused() -> None:
    """No date is computed beyond the years that a plan may have, nor any overflow met."""
    last = ExtraDays("shop", 5, date(9999, 12, 31), date(9999, 12, 31), 8)
    with pytest.raises(InvalidValueError, match=r"changes\[0\].first: 9999-12-31 is not between"):
        apply_changes(plan([task("A", 1)]), [last])
    long = replace(last, first=MONDAY)
    with pytest.raises(InvalidValueError, match=r"changes\[0\].last: 9999-12-31 is not between"):
        apply_changes(plan([task("A", 1)]), [long])


def test_changes_apply_in_order() -> None:
    changes: list[Change] = [VendorSwapped("S1", "V2", lead_days=5), VendorLate("V2", 2)]
    case = apply_changes(base(), changes)
    assert case.delays == {"S1/vendor_work": ticks(2)}
    assert apply_changes(base(), changes[::-1]).delays == {}


def test_the_plan_itself_stays_as_it_is() -> None:
    made = base()
    apply_changes(made, [TaskDropped("Z"), BoughtAsExchange("S1", 6), VendorLate("V1", 9)])
    assert made == base()
    assert f"{schedule(made).finish_on:%m-%d}" == "01-21"


DONE = plan([task("A", 1, status=status("done", finished=MONDAY))])
SHIPPED = base(replace(ENGINE, status=SendOutStatus(shipped=MONDAY)))
LEFT = base(replace(ENGINE, status=SendOutStatus(left_vendor=MONDAY)))
ACCEPTED = base(replace(ENGINE, status=SendOutStatus(accepted=MONDAY)))


@pytest.mark.parametrize(
    ("made", "change", "kind", "where", "reason"),
    [
        (
            base(),
            VendorLate("V9", 1),
            UnknownReferenceError,
            "vendor",
            'there is no vendor "V9" in the plan',
        ),
        (
            base(),
            SendOutLate("S9", 1),
            UnknownReferenceError,
            "send_out",
            'there is no send-out "S9" in the plan',
        ),
        (
            base(),
            VendorSwapped("S9", "V2"),
            UnknownReferenceError,
            "send_out",
            'there is no send-out "S9" in the plan',
        ),
        (
            base(),
            VendorSwapped("S1", "V9"),
            UnknownReferenceError,
            "vendor",
            'there is no vendor "V9" in the plan',
        ),
        (
            base(),
            TaskDropped("T9"),
            UnknownReferenceError,
            "task",
            'there is no task "T9" in the plan',
        ),
        (
            base(),
            BoughtAsExchange("S9", 1),
            UnknownReferenceError,
            "send_out",
            'there is no send-out "S9" in the plan',
        ),
        (
            base(),
            ExtraDays("X", 5, MONDAY, MONDAY, 8),
            UnknownReferenceError,
            "calendar",
            'there is no calendar "X" in the plan',
        ),
        (
            base(),
            VendorLate("V1", -1),
            InvalidValueError,
            "days",
            "-1 is not between 0 and 3660 days",
        ),
        (
            base(),
            VendorLate("V1", float("nan")),
            InvalidValueError,
            "days",
            "nan is not between 0 and 3660 days",
        ),
        (
            base(),
            SendOutLate("S1", 4000),
            InvalidValueError,
            "days",
            "4000 is not between 0 and 3660 days",
        ),
        (
            base(),
            VendorSwapped("S1", "V2", 0),
            InvalidValueError,
            "lead_days",
            "0 is not between 0 and 3660 days",
        ),
        (
            base(),
            BoughtAsExchange("S1", float("inf")),
            InvalidValueError,
            "lead_days",
            "inf is not between 0 and 3660 days",
        ),
        (
            ACCEPTED,
            SendOutLate("S1", 1),
            InvalidValueError,
            "send_out",
            '"S1" is back and accepted',
        ),
        (
            SHIPPED,
            VendorSwapped("S1", "V2"),
            InvalidValueError,
            "send_out",
            '"S1" has left for its vendor already',
        ),
        (
            LEFT,
            BoughtAsExchange("S1", 6),
            InvalidValueError,
            "send_out",
            '"S1" has left its vendor already',
        ),
        (DONE, TaskDropped("A"), InvalidValueError, "task", '"A" is done already'),
        (
            base(),
            ExtraDays("shop", 7, MONDAY, MONDAY, 8),
            InvalidValueError,
            "weekday",
            "7 is not between 0 and 6",
        ),
        (
            base(),
            ExtraDays("shop", 5, SATURDAY, MONDAY, 8),
            InvalidValueError,
            "last",
            "the last day (2026-01-05) is before the first (2026-01-10)",
        ),
        (
            base(),
            ExtraDays("shop", 5, MONDAY, date(2037, 1, 5), 8),
            InvalidValueError,
            "last",
            "2037-01-05 is more than ten years after 2026-01-05",
        ),
    ],
)
def test_changes_that_cannot_be_made_are_refused(
    made: Plan, change: Change, kind: type[PlanError], where: str, reason: str
) -> None:
    with pytest.raises(kind) as caught:
        apply_changes(made, [TaskDropped("Z"), change] if made == base() else [change])
    place = 1 if made == base() else 0
    assert str(caught.value) == f"changes[{place}].{where}: {reason}"


def test_a_case_that_closes_a_loop_is_refused_when_scheduled() -> None:
    made = replace(base(), links=(link("Z", "A"),))
    with pytest.raises(PlanError, match="wait for each other in a circle"):
        apply_changes(made, [VendorLate("V1", 1)]).schedule()


def test_overtime_of_more_hours_than_a_day_has_is_refused_by_the_schedule() -> None:
    case = apply_changes(base(), [ExtraDays("shop", 5, MONDAY, SATURDAY, 12)])
    with pytest.raises(InvalidValueError, match="12 hours do not fit"):
        case.schedule()


@pytest.mark.parametrize("change", [VendorLate("V1", 5), SendOutLate("S1", 5)])
def test_a_vendor_cannot_be_late_with_what_was_dropped(change: Change) -> None:
    made = base(replace(ENGINE, dropped=True))
    if isinstance(change, VendorLate):
        assert apply_changes(made, [change]).delays == {}
    else:
        with pytest.raises(InvalidValueError, match='"S1" is dropped'):
            apply_changes(made, [change])
