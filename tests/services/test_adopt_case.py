"""A what-if case becomes the plan: all of it in one step, undone as one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import CrewLink, Expedite, ExpediteKind, Risk, State
from ribstitch.planning.whatif import (
    Change,
    ExpediteTaken,
    ExtraDays,
    OneMoreHand,
    RiskSettled,
    SendOutLate,
    TaskDropped,
    TaskNotBefore,
    TaskTakes,
    TradeAway,
    TradeDays,
    TradeSlower,
    VendorLate,
    VendorSwapped,
    WaitDropped,
    ZoneSlower,
)
from ribstitch.services.adopt_case import Adopted, adopt_case
from ribstitch.services.compare_cases import AskedCase
from ribstitch.services.undo import redo_last, undo_last
from ribstitch.store import StaleEditError, Store
from tests.services.shop import FIRST_FINISH, OPENED, Shop
from tests.store.plans import AT, DAY, PLANNER, short_plan

CLOSED_UP_SOONER = date(2026, 2, 3)
"""Closing up takes one day in place of two: the 3rd alone."""


@pytest.fixture
def shop(store: Store) -> Shop:
    """The short plan, with a day of overtime to be had for closing up."""
    overtime = Expedite(
        "E1", DAY, Decimal("120.50"), "Saturday", ExpediteKind.OVERTIME, task="close",
        by_the_day=True,
    )  # fmt: skip
    return Shop(store, replace(short_plan(), expedites=(overtime,)))


def adopt(shop: Shop, *changes: Change, version: int | None = None, name: str = "") -> Adopted:
    """Take a case into the plan as the planner who has just looked at it."""
    return adopt_case(
        shop.forecasts,
        shop.project_id,
        AskedCase(name, changes),
        shop.current.plan_version if version is None else version,
        PLANNER,
        AT,
    )


def test_a_taken_expedite_shortens_the_work_and_stands_among_the_costs(shop: Shop) -> None:
    done = adopt(shop, ExpediteTaken("E1"), name="Saturday")
    assert done.changed == 3
    assert done.recorded.finish_before == FIRST_FINISH
    assert done.recorded.finish_after == CLOSED_UP_SOONER == shop.current.finish_on
    assert shop.task("close").duration == DAY
    assert shop.thing("expedite", "E1").taken == DAY
    (line,) = shop.current.plan.costs
    assert (line.amount, line.currency, line.task) == (Decimal("120.50"), "EUR", "close")
    shop.check_kept_plan()


def test_all_of_a_case_is_one_step_in_the_log_and_in_the_forecast(shop: Shop) -> None:
    adopt(shop, ExpediteTaken("E1"), TaskDropped("paint"), name="By Candlemas")
    changes = shop.changes(plan_version=2)
    assert {(one.kind, one.key) for one in changes} == {
        ("task", "close"), ("task", "paint"), ("expedite", "E1"), ("cost", "expedite E1"),
    }  # fmt: skip
    assert {(one.action, one.who, one.reason) for one in changes} == {
        ("case.adopt", PLANNER.name, "By Candlemas")
    }
    assert shop.log()[-1].reason == "Case By Candlemas taken into the plan"
    assert shop.current.plan_version == 2


def test_undo_takes_back_the_whole_case_and_redo_brings_it_back(shop: Shop) -> None:
    before = shop.current.plan
    done = adopt(shop, ExpediteTaken("E1"), VendorSwapped("S1", "V2", 5))
    adopted = shop.current.plan
    assert shop.send_out("S1").vendor == "V2"
    first = done.kind, done.recorded.key
    undo_last(shop.forecasts, shop.project_id, *first, PLANNER, AT, done.recorded.version)
    assert shop.current.plan == before
    redo_last(shop.forecasts, shop.project_id, *first, PLANNER, AT)
    assert shop.current.plan == adopted
    shop.check_kept_plan()


def test_the_same_case_can_be_taken_again_after_it_was_taken_back(shop: Shop) -> None:
    done = adopt(shop, ExpediteTaken("E1"))
    undo_last(shop.forecasts, shop.project_id, done.kind, done.recorded.key, PLANNER, AT)
    adopt(shop, ExpediteTaken("E1"))
    assert shop.current.finish_on == CLOSED_UP_SOONER
    assert len(shop.current.plan.costs) == 1
    shop.check_kept_plan()


def test_more_days_a_week_stay_with_the_calendar(shop: Shop) -> None:
    saturdays = ExtraDays("shop", 5, date(2026, 1, 9), date(2026, 2, 28), 8)
    done = adopt(shop, saturdays)
    assert (done.kind, done.recorded.key) == ("calendar", "shop")
    assert done.recorded.finish_after < FIRST_FINISH
    assert (date(2026, 1, 10), 8) in shop.thing("calendar", "shop").opened


@pytest.mark.parametrize(
    ("change", "changed"),
    [
        (TaskTakes("close", 5), {("task", "close")}),
        (TaskNotBefore("paint", date(2026, 3, 2)), {("task", "paint")}),
        (
            WaitDropped("close", "open"),
            {("link", "open > close FS"), ("crew_link", "open > close")},
        ),
        (RiskSettled("R1", strikes=True), {("risk", "R1"), ("task", "close")}),
        (RiskSettled("R1", strikes=False), {("risk", "R1")}),
        (ZoneSlower("tail", 50), {("task", one) for one in ("open", "close", "paint")}),
        (TradeSlower("paint", 50), {("task", "paint")}),
        (
            TradeAway("metal", date(2026, 1, 12), date(2026, 1, 16)),
            {("calendar", "shop-metal"), ("crew", "metal"), ("task", "open"), ("task", "close")},
        ),
        (
            TradeDays("paint", 5, date(2026, 1, 12), date(2026, 1, 31)),
            {("calendar", "shop-paint"), ("task", "paint")},
        ),
        (
            OneMoreHand("metal", date(2026, 1, 12)),
            {("calendar", "shop-metal-2026-01-12"), ("crew", "metal#2")},
        ),
    ],
)
def test_each_sentence_is_written_as_the_right_edits_and_taken_back_as_one(
    store: Store, change: Change, changed: set[tuple[str, str]]
) -> None:
    plan = replace(
        short_plan(),
        risks=(Risk("R1", task="close", probability=0.5, impact=DAY),),
        crew_links=(CrewLink("open", "close", names=("metal",)),),
    )
    shop = Shop(store, plan)
    done = adopt(shop, change)
    assert {(one.kind, one.key) for one in shop.changes(plan_version=2)} == changed
    shop.check_kept_plan()
    undo_last(
        shop.forecasts, shop.project_id, done.kind, done.recorded.key, PLANNER, AT,
        done.recorded.version,
    )  # fmt: skip
    assert shop.current.plan == plan
    shop.check_kept_plan()


@pytest.mark.parametrize("late", [VendorLate("V1", 5), SendOutLate("S1", 5)])
def test_what_comes_late_is_a_guess_and_no_plan(shop: Shop, late: Change) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match="is a guess, and no plan: note a new promise") as refused:
        adopt(shop, ExpediteTaken("E1"), late)
    assert refused.value.where == "case.changes[1]"
    assert shop.picture() == before


def test_another_plan_than_the_one_looked_at_is_left_alone(shop: Shop) -> None:
    seen = shop.current.plan_version
    shop.record("open", OPENED)
    before = shop.picture()
    with pytest.raises(StaleEditError, match="Ada changed plan") as refused:
        adopt(shop, ExpediteTaken("E1"), version=seen)
    assert [one.key for one in refused.value.changes_since] == ["open"]
    assert shop.picture() == before


def test_what_cannot_be_done_is_refused_by_its_place_in_the_case(shop: Shop) -> None:
    before = shop.picture()
    for change, where in (
        (ExpediteTaken("E9"), "case.changes[0].expedite"),
        (ExpediteTaken("E1", 3), "case.changes[0].days"),
        (TaskDropped("T9"), "case.changes[0].task"),
    ):
        with pytest.raises(PlanError) as refused:
            adopt(shop, change)
        assert refused.value.where == where
    assert shop.picture() == before


def test_a_case_that_changes_nothing_writes_nothing(shop: Shop) -> None:
    before = shop.picture()
    done = adopt(shop)
    assert (done.recorded.change_number, done.changed, done.kind) == (None, 0, "")
    assert shop.picture() == before


def test_what_the_plan_holds_besides_stays_as_it_was(shop: Shop) -> None:
    shop.edit("project", "", replace(shop.current.plan.project, serial="007"))
    adopt(shop, TaskDropped("paint"))
    assert shop.current.plan.project.serial == "007"
    assert shop.task("paint").status.state is State.DROPPED
    assert shop.version("task", "close") == 1
    assert shop.current.plan.costs == ()
