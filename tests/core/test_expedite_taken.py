"""Expedites taken as changes of a case: what becomes shorter, what it costs, what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import (
    Cost,
    Expedite,
    ExpediteKind,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    Task,
    Vendor,
)
from ribstitch.planning.whatif import ExpediteTaken, apply_changes
from tests.core.making import MONDAY, plan, status, task, ticks

AS_OF = date(2026, 1, 12)


def of_task(days: float = 2, **fields: Any) -> Expedite:
    """Return overtime on the task A."""
    fields = {"cost": Decimal(300), "task": "A", "kind": ExpediteKind.OVERTIME, **fields}
    return Expedite("X", ticks(days), **fields)


def of_leg(days: float, leg: str = "vendor_work", **fields: Any) -> Expedite:
    """Return a fee on a leg of the send-out S."""
    return Expedite("X", ticks(days), Decimal("450.50"), kind=ExpediteKind.FEE, send_out="S",
                    leg=leg, currency="GBP", **fields)  # fmt: skip


def with_task(one: Task, expedite: Expedite, as_of: date = AS_OF) -> Plan:
    """Return a plan of one task and its expedite."""
    return plan([one, task("Z")], as_of=as_of, expedites=[expedite])


def with_item(item: SendOut, expedite: Expedite) -> Plan:
    """Return a plan of one send-out to a vendor who works Monday to Friday."""
    return plan([task("Z")], as_of=AS_OF, vendors=[Vendor("V")], send_outs=[item],
                expedites=[expedite])  # fmt: skip


def taken(made: Plan, days: float | None = None) -> Plan:
    """Return the plan with X taken."""
    return apply_changes(made, [ExpediteTaken("X", days)]).plan


def shortened(made: Plan, days: float | None = None) -> Task:
    """Return the task A with X taken."""
    return taken(made, days).tasks[0]


def away(made: Plan, days: float | None = None) -> SendOut:
    """Return the send-out S with X taken."""
    return taken(made, days).send_outs[0]


def test_a_task_not_begun_becomes_shorter_with_its_range() -> None:
    span = (ticks(1), ticks(5), ticks(9))
    found = shortened(with_task(task("A", 5, duration_range=span), of_task(2)))
    assert found.duration == ticks(3)
    assert found.duration_range == (ticks(0.125), ticks(3), ticks(7))


def test_an_eighth_of_a_day_is_left() -> None:
    assert shortened(with_task(task("A", 2), of_task(2))).duration == ticks(0.125)
    assert shortened(with_task(task("A", 0.125), of_task(2))).duration == ticks(0.125)
    assert shortened(with_task(task("A", 0), of_task(2))).duration == 0


@pytest.mark.parametrize(("remaining", "left"), [(4, 2), (None, 6), (1, 0.125), (0, 0)])
def test_of_work_begun_what_remains_becomes_shorter(remaining: float | None, left: float) -> None:
    begun = task("A", 8, status=status("in_work", remaining, started=MONDAY))
    found = shortened(with_task(begun, of_task(2)))
    assert (found.duration, found.status.remaining) == (ticks(8), ticks(left))


def test_a_leg_to_come_becomes_shorter() -> None:
    item = SendOut("S", "V", lead=ticks(20), ship_back=ticks(3))
    assert away(with_item(item, of_leg(5))).lead == ticks(15)
    assert away(with_item(item, of_leg(5, "ship_back"))).ship_back == ticks(0.125)


def test_of_a_leg_under_way_what_has_gone_by_is_not_taken_off() -> None:
    """Out since the end of Friday 9th, two elapsed days ago: three of five are left."""
    item = SendOut("S", "V", prepare=ticks(1), ship_out=ticks(5), lead=ticks(9),
                   status=SendOutStatus(shipped=date(2026, 1, 9)))  # fmt: skip
    assert away(with_item(item, of_leg(1, "ship_out"))).ship_out == ticks(4)
    assert away(with_item(item, of_leg(5, "ship_out"))).ship_out == ticks(2.125)


@pytest.mark.parametrize(
    ("promised", "days", "moved"),
    [
        (date(2026, 2, 6), 5, date(2026, 1, 30)),
        (date(2026, 2, 9), 1, date(2026, 2, 6)),
        (date(2026, 2, 8), 5, date(2026, 1, 30)),  # a Sunday: promised for the end of Friday
        (date(2026, 1, 15), 30, AS_OF),
        (date(2026, 1, 8), 3, date(2026, 1, 8)),  # it has passed
    ],
)
def test_a_promise_moves_earlier_on_the_vendors_calendar(
    promised: date, days: float, moved: date
) -> None:
    item = SendOut("S", "V", lead=ticks(20), status=SendOutStatus(promised=promised))
    found = away(with_item(item, of_leg(days)))
    assert (found.status.promised, found.lead) == (moved, ticks(20))


def test_what_is_taken_is_kept_with_its_cost() -> None:
    """Two of five days at 300 a day in the project's currency."""
    made = taken(with_task(task("A", 9), of_task(5, by_the_day=True, name="Late shifts")), 2)
    assert made.expedites[0].taken == ticks(2)
    assert made.costs == (
        Cost("expedite X", Decimal(600), "EUR", "Late shifts", "other", "estimate", task="A"),
    )
    again = taken(made)
    assert (again.tasks[0].duration, again.expedites[0].taken) == (ticks(4), ticks(5))
    assert [(one.id, one.amount) for one in again.costs] == [
        ("expedite X", Decimal(600)), ("expedite X 2", Decimal(900)),
    ]  # fmt: skip


def test_all_or_nothing_costs_all_of_it_in_its_own_currency() -> None:
    made = taken(with_item(SendOut("S", "V", lead=ticks(20)), of_leg(5)), 5)
    assert made.costs == (
        Cost("expedite X", Decimal("450.50"), "GBP", "X", "vendor", "estimate", send_out="S"),
    )


@pytest.mark.parametrize(
    ("expedite", "days", "sentence"),
    [
        (of_task(2, taken=ticks(2)), None, 'changes[0].expedite: "X" is taken already'),
        (of_task(2), 1, 'changes[0].days: "X" is all or nothing: 2 days, not 1'),
        (of_task(3, by_the_day=True, taken=ticks(1)), 3,
         'changes[0].days: of "X" whole days from 1 to 2 can be taken, not 3'),
        (of_task(3, by_the_day=True), 0.5,
         'changes[0].days: of "X" whole days from 1 to 3 can be taken, not 0.5'),
        (of_task(3, by_the_day=True), float("nan"),
         'changes[0].days: of "X" whole days from 1 to 3 can be taken, not nan'),
    ],
)  # fmt: skip
def test_days_that_are_not_to_be_had_are_refused(
    expedite: Expedite, days: float | None, sentence: str
) -> None:
    with pytest.raises(InvalidValueError) as refused:
        taken(with_task(task("A", 9), expedite), days)
    assert str(refused.value) == sentence


def test_an_unknown_expedite_is_refused() -> None:
    with pytest.raises(UnknownReferenceError) as refused:
        taken(plan([task("A")]))
    assert str(refused.value) == 'changes[0].expedite: there is no expedite "X" in the plan'


@pytest.mark.parametrize(("state", "known"), [("done", {"finished": MONDAY}), ("dropped", {})])
def test_what_is_done_or_dropped_is_refused(state: str, known: dict[str, Any]) -> None:
    with pytest.raises(InvalidValueError) as refused:
        taken(with_task(task("A", 9, status=status(state, **known)), of_task()))
    assert refused.value.reason == f'"X" cannot be taken: "A" is {state}'


@pytest.mark.parametrize(
    ("item", "reason"),
    [
        (SendOut("S", "V", lead=ticks(9), dropped=True), 'the send-out "S" is dropped'),
        (SendOut("S", "V", lead=ticks(9), status=SendOutStatus(left_vendor=MONDAY)),
         '"S/vendor_work" is done'),
        (SendOut("S", "V", lead=ticks(9), source=Source.IN_HAND),
         'the send-out "S" does not go through "vendor_work"'),
    ],
)  # fmt: skip
def test_a_leg_that_is_over_or_left_out_is_refused(item: SendOut, reason: str) -> None:
    with pytest.raises(InvalidValueError) as refused:
        taken(with_item(item, of_leg(5)))
    assert refused.value.reason == f'"X" cannot be taken: {reason}'


def test_the_plan_itself_stays_as_it_is() -> None:
    made = with_task(task("A", 9), of_task())
    before = replace(made)
    taken(made)
    assert made == before
