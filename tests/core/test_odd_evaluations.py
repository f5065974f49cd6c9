"""What the planner makes of evaluations that nobody expects, and of a shop's own record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planfile import dump_plan, parse_plan
from ribstitch.planning.checks import check_plan
from ribstitch.planning.drafting import draft_plan, merge
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Origin, SendOutKind, Source, State, TaskStatus, Vendor
from ribstitch.planning.schedule import schedule
from tests.core.test_drafting import (
    ASSUMED,
    FIN,
    MEND,
    SHOP,
    again,
    drafted,
    found,
    hours,
    task,
)

DENT = replace(FIN, card=None, quantity=Decimal(1), own_hours=hours(1, 2, 4), own_trade="metal")
DENT2 = replace(DENT, id="F2")
ENGINE = SendOutKind("engine", 1.1, 1.6, "Engine overhaul", quoted_days=90)
BOTH = {"kinds": (*SHOP.kinds, ENGINE), "vendors": (*SHOP.vendors, Vendor("V3", "Engine"))}


@pytest.mark.parametrize("name", ["handed_over", "work_begins"])
def test_a_finding_that_is_called_like_a_milestone_is_a_problem(name: str) -> None:
    draft = drafted(replace(DENT, id=name))
    assert [(one.finding, one.sentence) for one in draft.problems] == [
        (name, f"{name}: other work has this id already.")
    ]
    schedule(again(found(replace(DENT, id=name))))


def test_the_crate_of_one_more_unit_is_not_called_by_more_than_a_plan_file_takes() -> None:
    name = "S" * 80
    two = replace(FIN, card="G", quantity=Decimal(2), send_out_kind="plating", send_out=name)
    draft = drafted(two)
    assert [one.id for one in draft.send_outs] == [name]
    assert [one.sentence for one in draft.problems] == [
        f"F1 leaves with {name}b, but that id is too long: give its send-out a shorter one."
    ]
    plan = again(found(two))
    assert parse_plan(dump_plan(plan), "a plan file") == plan


def test_names_that_a_long_title_is_part_of_are_cut_to_what_a_plan_file_takes() -> None:
    plan = again(found(replace(FIN, title="Fin " * 123)))
    assert {len(one.name) for one in plan.risks} == {500}
    assert parse_plan(dump_plan(plan), "a plan file") == plan


def test_a_risk_of_countless_units_is_sure_and_is_reckoned_at_once() -> None:
    (risk,) = drafted(replace(FIN, quantity=Decimal(10) ** 13)).risks
    assert risk.probability == 1


def test_a_task_that_comes_from_nothing_of_a_card_is_refused() -> None:
    plan = again(found(FIN))
    origin = Origin("F1", "F1", "P", 1, Decimal(0))
    none = replace(plan, tasks=(replace(plan.tasks[0], origin=origin), *plan.tasks[1:]))
    with pytest.raises(InvalidValueError, match="0 is not more than nothing") as refused:
        check_plan(none)
    assert refused.value.where == "tasks[0].origin.quantity"


def test_what_leaves_in_one_crate_for_two_kinds_of_work_is_a_problem() -> None:
    one = replace(FIN, send_out_kind="plating", send_out="S1")
    other = replace(one, id="F2", send_out_kind="engine")
    draft = drafted(one, other, **BOTH)
    assert [item.kind for item in draft.send_outs] == ["plating"]
    (problem,) = draft.problems
    assert problem.finding == "F2"
    assert problem.sentence == (
        "F2 leaves with S1 for other work (Engine overhaul) than F1 (Plating), which alone "
        "is planned: give it a send-out of its own."
    )


def test_what_leaves_in_one_crate_and_comes_back_in_two_ways_is_a_problem() -> None:
    one = replace(FIN, send_out_kind="plating", send_out="S1")
    other = replace(one, id="F2", source=Source.EXCHANGE)
    third = replace(one, id="F3", source=Source.PATTERN)
    draft = drafted(one, other, third)
    assert [item.source for item in draft.send_outs] == [Source.EXCHANGE]
    (problem,) = draft.problems
    assert problem.sentence == (
        "F3 leaves with S1 to come back in another way (pattern) than F2 (exchange), which alone "
        "is planned: give it a send-out of its own."
    )


def test_a_quantity_is_the_same_with_and_without_needless_zeros() -> None:
    origin = task(drafted(replace(FIN, quantity=Decimal("3.00"))), "F1.1").origin
    assert origin is not None
    assert str(origin.quantity) == "3"


def test_a_send_out_that_a_draft_dropped_ties_nothing_any_more() -> None:
    """The new first task, which the item would come before, waits for the beginning."""
    card = replace(MEND, id="N", after_cards=(), leaves_after=None, back_before=1)
    sent = replace(FIN, card="N", send_out_kind="plating")
    plan = found(sent, DENT2, cards=(card,), standing_jobs=())
    stays = replace(again(plan), findings=(replace(sent, send_out_kind=None), DENT2))
    after = again(stays)
    assert [one.dropped for one in after.send_outs] == [True]
    assert merge(after, draft_plan(after, ASSUMED)).steps == ()


def test_what_only_the_shop_says_of_a_task_is_kept_and_does_not_keep_the_rest() -> None:
    once = again(found(FIN))
    own = {"notes": "mind the rib", "deadline": date(2027, 1, 1), "not_before": date(2026, 6, 1)}
    tasks = tuple(replace(one, **own) if one.id == "F1.1" else one for one in once.tasks)  # type: ignore[arg-type]
    noted = replace(once, tasks=tasks)
    assert merge(noted, draft_plan(noted, ASSUMED)).steps == ()
    more = replace(noted, findings=(replace(FIN, quantity=Decimal(6)),))
    (mine,) = (one for one in again(more).tasks if one.id == "F1.1")
    assert mine.duration == 2 * next(one for one in once.tasks if one.id == "F1.1").duration
    assert {name: getattr(mine, name) for name in own} == own


def test_what_only_the_shop_says_of_a_send_out_is_kept_and_does_not_keep_the_rest() -> None:
    once = again(found(replace(FIN, send_out_kind="plating")))
    noted = replace(once, send_outs=(replace(once.send_outs[0], notes="ask for Friday"),))
    assert merge(noted, draft_plan(noted, ASSUMED)).steps == ()


def test_work_that_is_held_before_it_has_begun_still_hides_what_it_hid() -> None:
    plan = again(replace(found(FIN), standing_jobs=()))
    held = replace(
        plan,
        tasks=tuple(
            replace(one, status=TaskStatus(State.HELD)) if one.id == "F1.1" else one
            for one in plan.tasks
        ),
    )
    assert draft_plan(held, ASSUMED).zones == draft_plan(plan, ASSUMED).zones
