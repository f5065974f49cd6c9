"""The draft of a stored plan: looked at, taken in one step, and taken back as one."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.drafting import draft_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    CardRisk,
    CardStep,
    CheckKind,
    Crew,
    Finding,
    LagOn,
    Link,
    MethodCard,
    Plan,
    SendOutKind,
    StandingJob,
    State,
    Task,
    TaskStatus,
    Treatment,
    Vendor,
)
from ribstitch.seeding import library
from ribstitch.services.draft_plan import DraftTaken, preview_draft, take_draft
from ribstitch.services.edit_thing import add_thing, drop_thing
from ribstitch.services.holds import CheckHoldsError
from ribstitch.services.undo import redo_last, undo_last
from ribstitch.store import StaleEditError, Store
from tests.services.shop import Shop
from tests.store.plans import AT, PLANNER, short_plan

EIGHT = (Decimal(8), Decimal(8), Decimal(8))
CARD = MethodCard(
    "P", "Mend", "patch",
    (
        CardStep(1, "Cut", EIGHT, trade="metal"),
        CardStep(2, "Rivet", EIGHT, trade="metal", after=(1,)),
    ),
    after_cards=("A",),
)  # fmt: skip
APART = MethodCard("A", "Take apart", "aircraft", (CardStep(1, "Take", EIGHT, trade="metal"),))
FIN = Finding("F1", "Fin dented", treatment=Treatment.REPAIR, card="P", title="Fin")
STANDING = (StandingJob("A", "A", "Dismantling"), StandingJob("Z", "Z", "Assembly"))


def evaluated() -> Plan:
    """Return the short plan with one finding; assembly comes after all patches."""
    assemble = MethodCard(
        "Z", "Assemble", "aircraft", (CardStep(1, "Fit", EIGHT, trade="metal"),), ("P",)
    )
    plan = short_plan()
    return replace(
        plan,
        crew=(Crew("metal"),),
        cards=(APART, CARD, assemble),
        standing_jobs=STANDING,
        findings=(FIN,),
    )


@pytest.fixture
def shop(store: Store) -> Shop:
    return Shop(store, evaluated())


def take(shop: Shop, version: int | None = None) -> DraftTaken:
    version = shop.current.plan_version if version is None else version
    return take_draft(shop.forecasts, shop.project_id, version, PLANNER, AT, "evening")


def tasks(shop: Shop) -> dict[str, Task]:
    return {task.id: task for task in shop.current.plan.tasks}


def test_a_preview_says_what_would_come_and_why_and_stores_nothing(shop: Shop) -> None:
    before = shop.current
    found = preview_draft(before)
    assert not found.is_up_to_date
    lines = {one.key: one for one in found.added}
    assert set(lines) == {
        "A.1", "F1.1", "F1.2", "Z.1", "handed_over", "A.1 > F1.1 FS", "F1.1 > F1.2 FS",
        "F1.2 > Z.1 FS", "Z.1 > handed_over FS",
    }  # fmt: skip
    assert (lines["F1.1"].name, lines["F1.1"].finding, lines["F1.1"].card) == (
        "Fin: cut", "F1", "P",
    )  # fmt: skip
    assert lines["F1.1"].why == "finding F1 (Fin dented), card P, step 1"
    assert lines["F1.2 > Z.1 FS"].name == "Fin: rivet before Assembly: fit"
    assert lines["F1.2 > Z.1 FS"].why == "card Z comes after card P"
    assert found.finish_before == before.finish_on
    assert shop.current.plan_version == before.plan_version
    assert "F1.1" not in tasks(shop)


def test_taking_a_draft_is_one_action_and_leaves_nothing_to_draft(shop: Shop) -> None:
    ours = tasks(shop)
    done = take(shop)
    assert done.counts == {"added": 9, "changed": 0, "dropped": 0, "kept": 0}
    assert {task: tasks(shop)[task] for task in ours} == ours
    assert preview_draft(shop.current).is_up_to_date
    changes = shop.changes(plan_version=shop.current.plan_version)
    assert {one.action for one in changes} == {"plan.draft"}
    assert {one.reason for one in changes} == {"evening"}
    assert {one.kind for one in changes} == {"task", "link", "draft"}
    assert shop.log()[-1].reason == "Drafted from the evaluation: 9 added, 0 changed, 0 dropped"


def test_taking_it_back_takes_back_all_and_bringing_it_back_brings_all(shop: Shop) -> None:
    before = shop.current.plan
    done = take(shop)
    drafted = shop.current.plan
    undo_last(shop.forecasts, shop.project_id, done.kind, done.recorded.key, PLANNER, AT)
    assert shop.current.plan == before
    assert not preview_draft(shop.current).is_up_to_date
    redo_last(shop.forecasts, shop.project_id, done.kind, done.recorded.key, PLANNER, AT)
    assert shop.current.plan == drafted
    assert preview_draft(shop.current).is_up_to_date


def test_one_more_finding_a_month_later_alters_nothing_that_has_begun(shop: Shop) -> None:
    take(shop)
    shop.record("F1.1", TaskStatus(State.DONE, date(2026, 1, 5), date(2026, 1, 5)))
    begun = tasks(shop)["F1.1"]
    new = replace(FIN, id="F2", title="Rudder", quantity=Decimal(2))
    add_thing(shop.forecasts, shop.project_id, "finding", new, PLANNER, AT)
    found = preview_draft(shop.current)
    assert [one.key for one in found.added if one.kind == "task"] == ["F2.1", "F2.2"]
    assert found.changed == found.dropped == found.kept == ()
    done = take(shop)
    assert done.counts["added"] == 5, "two tasks, three links"
    assert tasks(shop)["F1.1"] == begun


def test_what_was_edited_by_hand_is_kept_and_shown_beside_its_draft(shop: Shop) -> None:
    take(shop)
    longer = replace(tasks(shop)["F1.2"], duration=5 * 1440)
    shop.edit("task", "F1.2", longer)
    found = preview_draft(shop.current)
    assert found.is_up_to_date
    (kept,) = found.kept
    assert (kept.key, kept.reason) == ("F1.2", "edited")
    assert [(one.field, one.before, one.after) for one in kept.fields] == [
        ("days", 5, 1), ("days_range", [5, 5, 5], [1, 1, 1]),
    ]  # fmt: skip
    edited = tasks(shop)["F1.2"]
    assert take(shop).kind == ""
    assert tasks(shop)["F1.2"] == edited


def test_a_changed_finding_shows_what_changes_field_by_field(shop: Shop) -> None:
    take(shop)
    shop.record("F1.1", TaskStatus(State.IN_WORK, date(2026, 1, 5)))
    shop.edit("finding", "F1", replace(FIN, quantity=Decimal(3)))
    found = preview_draft(shop.current)
    (changed,) = found.changed
    assert changed.key == "F1.2"
    assert [(one.field, one.before, one.after) for one in changed.fields] == [
        ("days", 1, 3), ("days_range", [1, 1, 1], [3, 3, 3]),
        ("origin", {"job": "F1", "finding": "F1", "card": "P", "step": 2},
         {"job": "F1", "finding": "F1", "card": "P", "step": 2, "quantity": "3"}),
    ]  # fmt: skip
    (kept,) = found.kept
    assert (kept.key, kept.reason) == ("F1.1", "started")


def test_a_link_that_was_broken_by_hand_is_not_tied_again(shop: Shop) -> None:
    take(shop)
    key = "F1.2 > Z.1 FS"
    version = shop.version("link", key)
    drop_thing(shop.forecasts, shop.project_id, "link", key, version, PLANNER, AT)
    found = preview_draft(shop.current)
    assert [(one.key, one.reason) for one in found.kept] == [(key, "dropped")]
    take(shop)
    assert Link("F1.2", "Z.1") not in shop.current.plan.links


def test_what_waits_in_the_place_of_an_item_that_was_taken_out_is_said(store: Store) -> None:
    leaves = replace(CARD, leaves_after=1, back_before=2)
    plating = SendOutKind("plating", 1.1, 1.6, "Plating", quoted_days=15)
    plan = evaluated()
    shop = Shop(
        store,
        replace(
            plan,
            cards=tuple(leaves if one.id == "P" else one for one in plan.cards),
            kinds=(plating,),
            vendors=(Vendor("V1", "Plating Works"),),
            findings=(replace(FIN, send_out_kind="plating"),),
        ),
    )
    take(shop)
    version = shop.version("send_out", "S-F1")
    drop_thing(shop.forecasts, shop.project_id, "send_out", "S-F1", version, PLANNER, AT)
    assert preview_draft(shop.current).kept[0].instead == ""
    shop.edit("link", "F1.1 > F1.2 FS", Link("F1.1", "F1.2", lag=21 * 1440, lag_on=LagOn.ELAPSED))
    kept = {one.key: one for one in preview_draft(shop.current).kept}
    assert kept["S-F1"].reason == "dropped"
    assert kept["S-F1"].instead == '"Fin: rivet" waits 21 days after "Fin: cut"'


def test_a_dropped_finding_drops_its_tasks_and_takes_its_links_out(shop: Shop) -> None:
    take(shop)
    shop.edit("finding", "F1", replace(FIN, dropped=True))
    found = preview_draft(shop.current)
    assert {one.key for one in found.dropped} == {
        "F1.1", "F1.2", "A.1 > F1.1 FS", "F1.1 > F1.2 FS", "F1.2 > Z.1 FS",
    }  # fmt: skip
    assert {one.why for one in found.dropped} == {"Nothing in the evaluation asks for it any more."}
    take(shop)
    assert tasks(shop)["F1.1"].status.state is State.DROPPED
    shop.edit("finding", "F1", FIN)
    take(shop)
    assert tasks(shop)["F1.1"].status.state is State.NOT_STARTED
    assert Link("F1.1", "F1.2") in shop.current.plan.links


def test_a_draft_that_would_drop_a_task_with_an_open_check_says_so_and_cannot_be_taken(
    store: Store,
) -> None:
    plan = evaluated()
    cut, rivet = CARD.steps
    signed = replace(CARD, steps=(cut, replace(rivet, check=CheckKind.BUY_OFF)))
    shop = Shop(store, replace(plan, cards=(signed, *plan.cards[:1], *plan.cards[2:])))
    take(shop)
    shop.edit("finding", "F1", replace(FIN, dropped=True))
    found = preview_draft(shop.current)
    assert found.finish_after is None
    named = tasks(shop)["F1.2"].name
    refused = f"F1.2 ({named}) cannot be dropped: it wants the inspector's buy-off"
    assert found.problems[-1].sentence.startswith(f"This draft cannot be taken. {refused}")
    with pytest.raises(CheckHoldsError, match=re.escape(refused)):
        take(shop)


def test_what_is_noted_of_a_risk_that_is_over_is_no_edit(store: Store) -> None:
    plan = evaluated()
    risky = replace(CARD, risk=CardRisk("more cracks", 0.5, step=1, hours=EIGHT, note="+1 day"))
    shop = Shop(store, replace(plan, cards=(risky, *plan.cards[:1], *plan.cards[2:])))
    take(shop)
    (risk,) = shop.current.plan.risks
    noted = replace(risk, closed=True, impact_note="+1 day. Two more were found.")
    shop.edit("risk", risk.id, noted)
    shop.edit("finding", "F1", replace(FIN, quantity=Decimal(3)))
    found = preview_draft(shop.current)
    assert {one.kind for one in (*found.changed, *found.kept)} == {"task"}
    take(shop)
    assert shop.current.plan.risks == (noted,)
    shop.edit("risk", risk.id, replace(noted, closed=False))
    (kept,) = preview_draft(shop.current).kept
    assert (kept.key, kept.reason) == (risk.id, "edited"), "open again, the note is an edit"


def test_a_draft_of_an_older_plan_is_refused(shop: Shop) -> None:
    version = shop.current.plan_version
    shop.edit("finding", "F1", replace(FIN, grade=4))
    with pytest.raises(StaleEditError):
        take(shop, version)
    assert "F1.1" not in tasks(shop)


def test_a_draft_that_closes_a_circle_says_so_and_cannot_be_taken(store: Store) -> None:
    """Somebody made two of the draft's tasks by hand, and tied the end of the plan first."""
    plan = evaluated()
    drafted = draft_plan(plan, library.assumptions()).tasks
    own = tuple(one for one in drafted if one.id in {"F1.1", "handed_over"})
    plan = replace(
        plan, tasks=(*plan.tasks, *own), links=(*plan.links, Link("handed_over", "F1.1"))
    )
    shop = Shop(store, plan)
    found = preview_draft(shop.current)
    assert found.finish_after is None
    assert "circle" in found.problems[-1].sentence
    before = shop.current.plan_version
    with pytest.raises(PlanError):
        take(shop)
    assert shop.current.plan_version == before


def test_a_draft_of_a_countless_finding_is_refused_in_a_sentence(shop: Shop) -> None:
    take(shop)
    shop.edit("finding", "F1", replace(FIN, quantity=Decimal(10) ** 7))
    found = preview_draft(shop.current)
    assert (found.finish_after, len(found.changed)) == (None, 2)
    assert found.problems[-1].sentence.endswith("1e+07 days is more than 20 years")
    version = shop.current.plan_version
    with pytest.raises(PlanError, match="more than 20 years"):
        take(shop)
    assert shop.current.plan_version == version
