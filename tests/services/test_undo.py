"""The last change of a thing is taken back, and brought back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.model import Link, SendOutStatus, State, TaskStatus, Zone
from ribstitch.services.change_plan import Recorded
from ribstitch.services.edit_links import drop_link
from ribstitch.services.edit_thing import add_thing
from ribstitch.services.record_send_out import log_contact
from ribstitch.services.reject_item import reject_item
from ribstitch.services.undo import (
    NothingToUndoError,
    UndoRefusedError,
    redo_last,
    undo_last,
)
from ribstitch.store import StaleEditError
from tests.services.shop import FINISH_ONCE_OPENED, FIRST_FINISH, OPENED, Shop
from tests.store.plans import AT, DAY, LEAD, PLANNER, short_plan


def undo(shop: Shop, kind: str, key: str) -> Recorded:
    """Take back the last change of a thing."""
    return undo_last(shop.forecasts, shop.project_id, kind, key, PLANNER, AT)


def redo(shop: Shop, kind: str, key: str) -> Recorded:
    """Bring back what was taken back."""
    return redo_last(shop.forecasts, shop.project_id, kind, key, PLANNER, AT)


def lengthen(shop: Shop, days: int) -> None:
    """Make closing up take so many days."""
    shop.edit("task", "close", replace(shop.task("close"), duration=days * DAY))


def days(shop: Shop) -> int:
    """Return how many days closing up takes."""
    return shop.task("close").duration // DAY


def test_undo_puts_back_status_and_finish(shop: Shop) -> None:
    done = shop.record("open", OPENED)
    back = undo(shop, "task", "open")
    assert shop.task("open") == short_plan().tasks[0]
    assert (back.finish_before, back.finish_after) == (FINISH_ONCE_OPENED, FIRST_FINISH)
    assert (back.version, back.plan_version) == (3, 3)
    last, first, _ = shop.changes()
    assert (last.action, last.undoes, last.who) == ("undo", done.change_number, "Bo")
    assert first.undone_by == last.number
    shop.check_kept_plan()


def test_undo_of_one_thing_leaves_later_changes_of_others(shop: Shop) -> None:
    shop.record("open", OPENED)
    lengthen(shop, 5)
    undo(shop, "task", "open")
    assert days(shop) == 5
    shop.check_kept_plan()


def test_changes_are_taken_back_one_by_one_and_brought_back_in_order(shop: Shop) -> None:
    for count in (3, 4, 5):
        lengthen(shop, count)
    seen = []
    for step in (undo, undo, redo, undo, undo, redo, redo, redo, undo):
        step(shop, "task", "close")
        seen.append(days(shop))
    assert seen == [4, 3, 4, 3, 2, 3, 4, 5, 4]
    shop.check_kept_plan()


def test_when_nothing_is_left_that_is_said(shop: Shop) -> None:
    with pytest.raises(NothingToUndoError, match="There is nothing to undo for task close"):
        undo(shop, "task", "close")
    lengthen(shop, 3)
    with pytest.raises(NothingToUndoError, match="nothing to redo for task close"):
        redo(shop, "task", "close")
    undo(shop, "task", "close")
    with pytest.raises(NothingToUndoError):
        undo(shop, "task", "close")
    redo(shop, "task", "close")
    with pytest.raises(NothingToUndoError):
        redo(shop, "task", "close")


def test_a_fresh_change_ends_what_can_be_brought_back(shop: Shop) -> None:
    lengthen(shop, 3)
    undo(shop, "task", "close")
    lengthen(shop, 7)
    with pytest.raises(NothingToUndoError):
        redo(shop, "task", "close")
    undo(shop, "task", "close")
    assert days(shop) == 2


def test_taking_in_a_project_cannot_be_undone(shop: Shop) -> None:
    with pytest.raises(NothingToUndoError, match="nothing to undo for project"):
        undo(shop, "project", "")


def test_project_fields_are_taken_back(shop: Shop) -> None:
    project = shop.current.plan.project
    shop.edit("project", "", replace(project, as_of=date(2026, 1, 16)))
    undo(shop, "project", "")
    assert shop.current.plan.project == project
    assert shop.current.finish_on == FIRST_FINISH
    shop.check_kept_plan()


def test_added_thing_is_taken_out_and_put_back(shop: Shop) -> None:
    add_thing(shop.forecasts, shop.project_id, "zone", Zone("bow"), LEAD, AT)
    undo(shop, "zone", "bow")
    assert [zone.id for zone in shop.current.plan.zones] == ["tail"]
    shop.check_kept_plan()
    redo(shop, "zone", "bow")
    assert [zone.id for zone in shop.current.plan.zones] == ["tail", "bow"]
    shop.check_kept_plan()


def test_dropped_link_comes_back_in_its_place(shop: Shop) -> None:
    links = shop.current.plan.links
    first = links[0]
    drop_link(shop.forecasts, shop.project_id, first.before, first.after, first.relation, LEAD, AT)
    assert shop.current.plan.links == (Link("open", "paint", lag=DAY),)
    undo(shop, "link", "open > close FS")
    assert shop.current.plan.links == links
    shop.check_kept_plan()


def rejected(shop: Shop) -> None:
    """Bring the item back and reject it."""
    shop.record("open", OPENED)
    status = SendOutStatus(shipped=date(2026, 1, 6), received=date(2026, 1, 8))
    shop.edit("send_out", "S1", replace(shop.send_out("S1"), status=status))
    version = shop.version("send_out", "S1")
    reject_item(shop.forecasts, shop.project_id, "S1", date(2026, 1, 8), version, LEAD, AT)


@pytest.mark.parametrize("asked", ["S1", "S1/2"])
def test_rejection_and_further_trip_are_taken_back_together(shop: Shop, asked: str) -> None:
    rejected(shop)
    undo(shop, "send_out", asked)
    assert [item.id for item in shop.current.plan.send_outs] == ["S1"]
    assert shop.send_out("S1").status.rejected is None
    shop.check_kept_plan()
    redo(shop, "send_out", asked)
    assert [item.id for item in shop.current.plan.send_outs] == ["S1", "S1/2"]
    assert shop.send_out("S1").status.rejected == date(2026, 1, 8)
    shop.check_kept_plan()


def test_what_was_changed_since_keeps_its_companion_from_being_taken_back(shop: Shop) -> None:
    rejected(shop)
    log_contact(shop.forecasts, shop.project_id, "S1/2", date(2026, 1, 9), "asked", LEAD, AT)
    before = shop.picture()
    with pytest.raises(UndoRefusedError, match="Send-out S1/2 was changed since"):
        undo(shop, "send_out", "S1")
    assert shop.picture() == before
    undo(shop, "send_out", "S1/2")
    undo(shop, "send_out", "S1")
    assert [item.id for item in shop.current.plan.send_outs] == ["S1"]


def test_undo_that_would_break_the_plan_is_refused(shop: Shop) -> None:
    """The as-of date cannot go back behind what was recorded since."""
    from ribstitch.planning.errors import PlanError

    project = shop.current.plan.project
    shop.edit("project", "", replace(project, as_of=date(2026, 1, 16)))
    shop.record("open", TaskStatus(State.DONE, date(2026, 1, 12), date(2026, 1, 14)))
    before = shop.picture()
    with pytest.raises(PlanError, match="after the as-of date 2026-01-09"):
        undo(shop, "project", "")
    assert shop.picture() == before


def test_what_was_taken_out_is_brought_back_by_whoever_saw_it_go(shop: Shop) -> None:
    """The page knows the version that taking out led to, and sends it."""
    link = short_plan().links[0]
    gone = drop_link(
        shop.forecasts, shop.project_id, link.before, link.after, link.relation, LEAD, AT
    )
    key = ("link", "open > close FS")
    with pytest.raises(StaleEditError):
        undo_last(shop.forecasts, shop.project_id, *key, LEAD, AT, gone.version - 1)
    undo_last(shop.forecasts, shop.project_id, *key, LEAD, AT, gone.version)
    assert shop.current.plan.links == short_plan().links
    shop.check_kept_plan()
