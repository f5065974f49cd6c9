"""Every kind of thing can be edited and added, or is refused with nothing stored."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    BudgetLine,
    Calendar,
    Cost,
    Crew,
    ExchangeRate,
    Place,
    Risk,
    SendOut,
    SendOutKind,
    Task,
    Vendor,
    Zone,
)
from ribstitch.services.edit_thing import add_thing, edit_thing
from ribstitch.store import StaleEditError, UnknownThingError
from tests.services.shop import FIRST_FINISH, Shop
from tests.store.plans import AT, DAY, LEAD


def add(shop: Shop, kind: str, thing: Any) -> int:
    """Add a thing; return the plan version."""
    return add_thing(shop.forecasts, shop.project_id, kind, thing, LEAD, AT).plan_version


def test_longer_task_moves_the_finish_by_working_days(shop: Shop) -> None:
    """Two days more of closing up: 3 to 6 February instead of 3 to 4."""
    done = shop.edit("task", "close", replace(shop.task("close"), duration=4 * DAY))
    assert (done.finish_before, done.finish_after) == (FIRST_FINISH, date(2026, 2, 6))
    assert shop.changes()[0].changed_fields() == ["days"]
    assert shop.log()[-1].reason == "Task Close up changed"
    shop.check_kept_plan()


def test_range_of_a_task_goes_with_its_days_unless_it_is_changed_too(shop: Shop) -> None:
    ranged = replace(shop.task("close"), duration_range=(DAY, 2 * DAY, 5 * DAY), duration=2 * DAY)
    shop.edit("task", "close", ranged)
    shop.edit("task", "close", replace(shop.task("close"), duration=3 * DAY))
    assert shop.task("close").duration_range == (DAY * 3 // 2, 3 * DAY, DAY * 15 // 2)
    assert shop.changes()[0].changed_fields() == ["days", "days_range"]
    own = (2 * DAY, 4 * DAY, 6 * DAY)
    shop.edit("task", "close", replace(shop.task("close"), duration=4 * DAY, duration_range=own))
    assert shop.task("close").duration_range == own
    shop.check_kept_plan()


def test_new_as_of_date_moves_what_is_not_done(shop: Shop) -> None:
    """A week in which nothing was done moves the finish by a week."""
    project = shop.current.plan.project
    done = shop.edit("project", "", replace(project, as_of=date(2026, 1, 16)))
    assert done.moved_days == 7
    assert (done.version, shop.version("project", "")) == (2, 2)
    assert shop.changes(kind="project")[0].changed_fields() == ["as_of"]
    shop.check_kept_plan()


def test_other_vendor_calendar_and_crew_are_kept(shop: Shop) -> None:
    closed = Calendar("shop", closed=((date(2026, 2, 2), date(2026, 2, 6)),))
    assert shop.edit("calendar", "shop", closed).moved_days == 7
    shop.edit("vendor", "V1", replace(shop.thing("vendor", "V1"), country="CZ"))
    shop.edit("crew", "metal", replace(shop.thing("crew", "metal"), people=2))
    shop.edit("zone", "tail", Zone("tail", "Tail and fin"))
    shop.edit("send_out", "S1", replace(shop.send_out("S1"), vendor="V2"))
    shop.check_kept_plan()
    assert shop.send_out("S1").vendor == "V2"


@pytest.mark.parametrize(
    ("kind", "thing", "key"),
    [
        ("task", Task("late", 30 * DAY, "Late find", zone="tail"), "late"),
        ("calendar", Calendar("night"), "night"),
        ("vendor", Vendor("V3", "Third"), "V3"),
        ("zone", Zone("bow"), "bow"),
        ("place", Place("booth"), "booth"),
        ("send_out", SendOut("S2", "V2", lead=DAY), "S2"),
        ("crew", Crew("paint"), "paint"),
        ("crew", Crew("metal", label="Metalworker 2"), "metal#2"),
        ("risk", Risk("R1", task="open"), "R1"),
        ("send_out_kind", SendOutKind("fin", 1.2, 1.8), "fin"),
        (
            "exchange_rate",
            ExchangeRate("USD", date(2026, 1, 5), Decimal("0.9")),
            "USD 2026-01-05",
        ),
        ("cost", Cost("C1", Decimal("3.50"), "EUR", task="open"), "C1"),
        ("budget_line", BudgetLine("55", Decimal("9.99"), "EUR"), "55"),
    ],
)
def test_added_thing_stands_at_the_end(shop: Shop, kind: str, thing: Any, key: str) -> None:
    assert add(shop, kind, thing) == 2
    assert list(shop.current.versions[kind])[-1] == key
    assert shop.thing(kind, key) == thing
    assert shop.changes()[0].before is None
    shop.check_kept_plan()


def test_added_task_can_set_the_finish(shop: Shop) -> None:
    """Thirty working days from Fri 9 January end on Thu 19 February."""
    add(shop, "task", Task("late", 30 * DAY))
    assert shop.current.finish_on == date(2026, 2, 19)


@pytest.mark.parametrize(
    ("kind", "thing", "sentence"),
    [
        ("task", Task("open", DAY), 'the task id "open" is used twice'),
        ("task", Task("new", DAY, zone="nowhere"), 'no zone "nowhere"'),
        ("task", Task("new", -DAY), "less than nothing"),
        ("vendor", Vendor("V1"), 'the vendor id "V1" is used twice'),
        ("send_out", SendOut("S2", "V9", lead=DAY), 'no vendor "V9"'),
        ("calendar", Calendar("idle", week_hours=(0.0,) * 7), "no working day"),
        ("cost", Cost("C1", Decimal(1), "EUR", task="gone"), 'no task "gone"'),
        ("risk", Risk("R1"), "neither a task nor a send-out"),
        ("risk", Risk("R1", send_out="gone"), 'no send-out "gone"'),
        ("zone", Zone("bow", opened_by="gone"), 'no task "gone"'),
        ("send_out_kind", SendOutKind("fin", 1.2, 1.1), "less than over_median"),
    ],
)
def test_bad_addition_is_refused_with_nothing_stored(
    shop: Shop, kind: str, thing: Any, sentence: str
) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match=sentence):
        add(shop, kind, thing)
    assert shop.picture() == before


def test_edit_that_changes_nothing_writes_nothing(shop: Shop) -> None:
    """Else the log would name a change that was none, and undo would take back nothing."""
    shop.edit("task", "close", replace(shop.task("close"), duration=4 * DAY))
    before = shop.picture()
    done = shop.edit("task", "close", shop.task("close"))
    assert (done.version, done.plan_version, done.change_number) == (2, 2, None)
    assert done.moved_days == 0
    status = shop.record("close", shop.task("close").status)
    assert (status.version, status.change_number) == (2, None)
    assert shop.picture() == before
    with pytest.raises(StaleEditError):
        edit_thing(
            shop.forecasts, shop.project_id, "task", "close", shop.task("close"), 1, LEAD, AT
        )


def test_thing_keeps_its_id(shop: Shop) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match='"open" cannot become "opened"'):
        shop.edit("task", "open", replace(shop.task("open"), id="opened"))
    assert shop.picture() == before


def test_stale_and_unknown_are_refused(shop: Shop) -> None:
    shop.edit("zone", "tail", Zone("tail", "Fin"))
    for expected, refusal in ((1, StaleEditError), (7, StaleEditError)):
        with pytest.raises(refusal):
            edit_thing(
                shop.forecasts, shop.project_id, "zone", "tail", Zone("tail"), expected, LEAD, AT
            )
    with pytest.raises(UnknownThingError, match='no zone "bow"'):
        edit_thing(shop.forecasts, shop.project_id, "zone", "bow", Zone("bow"), 1, LEAD, AT)
