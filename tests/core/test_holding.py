"""Which checks are settled, and what they hold back (by hand, on small plans)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ribstitch.planning.holding import Barred, CheckState, Holding, check_standings, newly_blocked
from ribstitch.planning.model import (
    Check,
    CheckKind,
    Evidence,
    Plan,
    SendOut,
    SendOutStatus,
    SignOff,
    Source,
    Task,
)
from tests.core.making import MONDAY, link, plan, status, task

HOLD, BUY_OFF, WITNESS = CheckKind.HOLD, CheckKind.BUY_OFF, CheckKind.WITNESS
DONE = status("done", started=MONDAY, finished=MONDAY)
IN_WORK = status("in_work", started=MONDAY)
PHOTO = Evidence("E1", "0" * 64, "image/jpeg", 1, MONDAY, task="A")


def checked(kind: CheckKind = HOLD, name: str = "A", **fields: Any) -> Task:
    """Return a task with a check."""
    return task(name, check=Check(kind, "paint record"), **fields)


def signed(number: int = 1, **fields: Any) -> SignOff:
    """Return a sign-off of A."""
    return SignOff(f"SO{number}", MONDAY, "Inspector 1", task="A", **fields)


def state(*sign_offs: SignOff, kind: CheckKind = HOLD, **fields: Any) -> CheckState:
    """Return how the check of A stands."""
    made = plan([checked(kind, **fields.pop("of", {}))], sign_offs=sign_offs, **fields)
    return check_standings(made)["A"].state


def test_a_hold_is_settled_by_what_is_attached_and_by_nothing_less() -> None:
    assert state() is CheckState.OPEN
    assert state(signed(kind=HOLD)) is CheckState.OPEN
    assert state(evidence=[replace(PHOTO, task=None)]) is CheckState.OPEN
    assert state(evidence=[PHOTO]) is CheckState.SETTLED
    named = signed(kind=HOLD, evidence=("E1",))
    assert state(named, evidence=[replace(PHOTO, task=None)]) is CheckState.SETTLED


@pytest.mark.parametrize("kind", [BUY_OFF, WITNESS])
def test_a_buy_off_and_a_witness_are_settled_by_a_name_and_by_nothing_less(
    kind: CheckKind,
) -> None:
    assert state(kind=kind) is CheckState.OPEN
    assert state(kind=kind, evidence=[PHOTO]) is CheckState.OPEN
    assert state(signed(kind=HOLD), kind=kind) is CheckState.OPEN
    assert state(signed(kind=kind), kind=kind) is CheckState.SETTLED
    assert state(signed(), kind=kind) is CheckState.SETTLED


@pytest.mark.parametrize("kind", CheckKind)
def test_a_reason_passes_over_any_check(kind: CheckKind) -> None:
    over = signed(kind=kind, override="The camera was away")
    assert state(over, kind=kind) is CheckState.PASSED_OVER
    later = signed(2, kind=kind, evidence=("E1",))
    assert state(over, later, kind=kind, evidence=[PHOTO]) is CheckState.SETTLED


def test_what_was_signed_can_be_opened_again_and_signed_again() -> None:
    first, again = signed(kind=BUY_OFF), signed(2, kind=BUY_OFF, reopens=True)
    assert state(first, again, kind=BUY_OFF) is CheckState.REOPENED
    assert state(first, again, signed(3, kind=BUY_OFF), kind=BUY_OFF) is CheckState.SETTLED
    doubted = signed(kind=HOLD, reopens=True)
    assert state(doubted, evidence=[PHOTO]) is CheckState.REOPENED
    assert state(doubted, signed(2, kind=HOLD), evidence=[PHOTO]) is CheckState.SETTLED


def test_the_sign_off_that_decides_is_the_last_that_stands() -> None:
    made = plan(
        [checked(BUY_OFF)],
        sign_offs=[
            signed(kind=BUY_OFF, override="no light"), signed(2, kind=BUY_OFF),
            signed(3, kind=BUY_OFF), signed(4, kind=HOLD),
        ],
    )  # fmt: skip
    deciding = check_standings(made)["A"].deciding
    assert deciding is not None
    assert deciding.id == "SO3"
    alone = check_standings(plan([checked()], evidence=[PHOTO]))["A"]
    assert (alone.state, alone.deciding) == (CheckState.SETTLED, None)


def test_work_done_before_checks_were_kept_has_no_record_and_holds_nothing() -> None:
    made = plan([checked(status=DONE), task("B")], [link("A", "B")])
    standing = check_standings(made)["A"]
    assert standing.state is CheckState.NO_RECORD
    assert not standing.holds
    assert Holding(made).before_task("B") == ()


def test_dropped_work_is_not_checked() -> None:
    made = plan([checked(status=status("dropped")), task("B")], [link("A", "B")])
    assert check_standings(made) == {}
    assert Holding(made).before_task("B") == ()


def ahead(made: Plan, name: str) -> list[str]:
    """Return whose checks hold a task back."""
    return [one.task.id for one in Holding(made).before_task(name)]


def test_a_check_holds_what_follows_its_finish_however_far() -> None:
    tasks = [checked(), task("B", status=DONE), task("C"), task("D"), task("E")]
    links = [link("A", "B"), link("B", "C", lag=2), link("A", "D", "SS"), link("A", "E", "FF")]
    made = plan(tasks, links)
    assert [ahead(made, name) for name in "ABCDE"] == [[], ["A"], ["A"], [], []]


def test_a_check_holds_through_an_item_that_leaves_and_comes_back() -> None:
    first = SendOut("S1", "V1", after=("A",), before=("B",))
    again = SendOut("S1/2", "V1", trip_of="S1", before=("C",))
    made = plan([checked(), task("B"), task("C")], send_outs=[first, again])
    assert [ahead(made, name) for name in "BC"] == [["A"], ["A"]]
    assert [one.task.id for one in Holding(made).before_send_out("S1/2")] == ["A"]


def moved(before: Plan, task_id: str, **fields: Any) -> Plan:
    """Return a plan with one task changed."""
    tasks = tuple(replace(one, **fields) if one.id == task_id else one for one in before.tasks)
    return replace(before, tasks=tasks)


SHOP = plan([checked(), task("B"), task("C")], [link("A", "B"), link("B", "C")])


@pytest.mark.parametrize("begun", [IN_WORK, DONE, status("held", started=MONDAY)])
def test_a_task_does_not_begin_behind_an_open_check(begun: Any) -> None:
    blocked = newly_blocked(SHOP, moved(SHOP, "C", status=begun))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id, blocked.by.task.id) == (Barred.START, "C", "A")


def test_a_task_may_be_held_that_has_not_begun() -> None:
    assert newly_blocked(SHOP, moved(SHOP, "C", status=status("held"))) is None


def test_a_task_does_not_become_done_while_its_own_check_is_open() -> None:
    blocked = newly_blocked(SHOP, moved(SHOP, "A", status=DONE))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.DONE, "A")
    assert newly_blocked(SHOP, moved(SHOP, "A", status=IN_WORK)) is None
    with_photo = replace(moved(SHOP, "A", status=DONE), evidence=(PHOTO,))
    assert newly_blocked(SHOP, with_photo) is None


def test_a_new_task_keeps_the_same_rules() -> None:
    more = replace(SHOP, tasks=(*SHOP.tasks, checked(name="D", status=DONE)))
    blocked = newly_blocked(SHOP, more)
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.DONE, "D")
    behind = replace(
        SHOP, tasks=(*SHOP.tasks, task("D", status=IN_WORK)), links=(*SHOP.links, link("A", "D"))
    )
    blocked = newly_blocked(SHOP, behind)
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.START, "D")


def test_what_settled_a_check_stays_while_the_task_counts_as_done() -> None:
    done = replace(moved(SHOP, "A", status=DONE), evidence=(PHOTO,))
    blocked = newly_blocked(done, replace(done, evidence=()))
    assert blocked is not None
    assert blocked.step is Barred.UNSETTLED_DONE
    assert newly_blocked(done, moved(replace(done, evidence=()), "A", status=IN_WORK)) is None


def test_a_check_does_not_come_to_hold_what_has_begun() -> None:
    """Settled in work, and the next begun out of sequence; or dropped, and brought back."""
    going = replace(moved(moved(SHOP, "A", status=IN_WORK), "B", status=IN_WORK), evidence=(PHOTO,))
    blocked = newly_blocked(going, replace(going, evidence=()))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.UNSETTLED_BEGUN, "B")
    dropped = moved(moved(SHOP, "A", status=status("dropped")), "B", status=IN_WORK)
    blocked = newly_blocked(dropped, moved(dropped, "A", status=status("not_started")))
    assert blocked is not None
    assert blocked.step is Barred.UNSETTLED_BEGUN


AWAY = plan([checked(), task("B")], send_outs=[SendOut("S1", "V1", after=("A",), before=("B",))])


def sent(before: Plan, event: str, source: Source = Source.OVERHAUL) -> Plan:
    """Return a plan with one more date of its send-out."""
    (item,) = before.send_outs
    dates: dict[str, Any] = {event: MONDAY}
    new = replace(item, source=source, status=replace(item.status, **dates))
    return replace(before, send_outs=(new,))


LEAVING = ("shipped", "arrived", "quoted", "approved", "left_vendor", "received", "accepted")


@pytest.mark.parametrize("event", [*LEAVING, "rejected"])
def test_an_item_does_not_leave_behind_an_open_check(event: str) -> None:
    """Whatever is recorded of it: each date says that it has been on its way."""
    blocked = newly_blocked(AWAY, sent(AWAY, event))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id, blocked.by.task.id) == (Barred.LEAVE, "S1", "A")
    settled = replace(AWAY, evidence=(PHOTO,))
    assert newly_blocked(settled, sent(settled, event)) is None
    over = replace(AWAY, sign_offs=(signed(kind=HOLD, override="no camera"),))
    assert newly_blocked(over, sent(over, event)) is None


@pytest.mark.parametrize(
    ("source", "leaving"),
    [
        (Source.OVERHAUL, LEAVING),
        (Source.PATTERN, LEAVING),
        (Source.EXCHANGE, ("shipped", "arrived")),
        (Source.IN_HAND, ()),
    ],
)
def test_only_what_leaves_the_shop_is_held_back(source: Source, leaving: tuple[str, ...]) -> None:
    """An exchange unit comes by itself, and its core leaves; what is in hand stays in the shop."""
    refused = {
        event for event in (*LEAVING, "promised", "returned")
        if newly_blocked(AWAY, sent(AWAY, event, source)) is not None
    }  # fmt: skip
    assert refused == set(leaving)


def test_an_item_that_has_left_goes_on_and_comes_back() -> None:
    """Brought in as away behind an open check; a further trip of it does not leave."""
    odd = sent(AWAY, "shipped")
    assert newly_blocked(odd, sent(odd, "arrived")) is None
    assert newly_blocked(odd, sent(odd, "rejected")) is None
    trip = SendOut("S1/2", "V1", trip_of="S1", status=SendOutStatus(shipped=MONDAY))
    blocked = newly_blocked(odd, replace(odd, send_outs=(*odd.send_outs, trip)))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.LEAVE, "S1/2")


def test_a_check_does_not_come_to_hold_what_has_left() -> None:
    away = replace(sent(AWAY, "shipped"), evidence=(PHOTO,))
    blocked = newly_blocked(away, replace(away, evidence=()))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.UNSETTLED_BEGUN, "S1")


DROPPED = status("dropped")


def test_a_task_is_not_dropped_while_its_check_is_open() -> None:
    blocked = newly_blocked(SHOP, moved(SHOP, "A", status=DROPPED))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.DROP, "A")
    for papers in (
        replace(SHOP, evidence=(PHOTO,)),
        replace(SHOP, sign_offs=(signed(kind=HOLD, override="not to be mended any more"),)),
    ):
        dropped = moved(papers, "A", status=DROPPED)
        assert newly_blocked(SHOP, dropped) is None
        blocked = newly_blocked(dropped, replace(dropped, evidence=(), sign_offs=()))
        assert blocked is not None
        assert blocked.step is Barred.UNSETTLED_DROPPED
        back = moved(replace(dropped, evidence=(), sign_offs=()), "A", status=SHOP.tasks[0].status)
        assert newly_blocked(dropped, back) is None


def test_what_was_signed_is_taken_back_of_dropped_work_as_well() -> None:
    over = signed(kind=HOLD, override="not to be mended any more")
    dropped = moved(replace(SHOP, sign_offs=(over,)), "A", status=DROPPED)
    again = replace(dropped, sign_offs=(over, signed(2, kind=HOLD, reopens=True)))
    assert newly_blocked(dropped, again) is None


def test_work_that_was_dropped_or_done_without_a_record_stays_so() -> None:
    old = moved(SHOP, "A", status=DROPPED)
    assert newly_blocked(old, moved(old, "B", status=IN_WORK)) is None
    done = moved(SHOP, "A", status=DONE)
    assert newly_blocked(done, moved(done, "A", status=DROPPED)) is None
    assert newly_blocked(SHOP, moved(SHOP, "B", status=DROPPED)) is None


def test_a_signature_that_is_taken_back_is_never_refused() -> None:
    done = moved(moved(SHOP, "A", status=DONE), "B", status=IN_WORK)
    signed_off = replace(done, evidence=(PHOTO,))
    again = replace(signed_off, sign_offs=(signed(kind=HOLD, reopens=True),))
    assert newly_blocked(signed_off, again) is None
    blocked = newly_blocked(again, moved(again, "C", status=IN_WORK))
    assert blocked is not None
    assert (blocked.step, blocked.thing.id) == (Barred.START, "C")


def test_what_was_so_before_stays_as_it_is() -> None:
    """Brought in with work begun behind an open check: other changes go on."""
    odd = moved(SHOP, "C", status=IN_WORK)
    assert newly_blocked(odd, moved(odd, "C", status=DONE)) is None
    assert newly_blocked(odd, moved(odd, "A", name="Record")) is None
    old = moved(SHOP, "A", status=DONE)
    assert newly_blocked(old, moved(old, "B", status=IN_WORK)) is None
    assert newly_blocked(old, moved(old, "A", status=IN_WORK)) is None


def test_a_link_can_be_found_missing_after_work_has_begun() -> None:
    """What was drafted or linked later never undoes what the shop has begun."""
    free = replace(moved(SHOP, "C", status=IN_WORK), links=(link("A", "B"),))
    assert newly_blocked(free, replace(free, links=SHOP.links)) is None


def test_a_plan_without_checks_is_never_blocked() -> None:
    plain = plan([task("A"), task("B")], [link("A", "B")], as_of=date(2026, 1, 6))
    assert newly_blocked(plain, moved(plain, "B", status=IN_WORK)) is None
