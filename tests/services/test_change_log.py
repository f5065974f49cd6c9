"""The change log is read in pages, by kind and by thing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.model import CrewLink, State, TaskStatus
from ribstitch.services.change_log import actions, changes, summary_of
from ribstitch.services.change_plan import Author, Change, Recorded, change_plan
from ribstitch.services.undo import undo_last
from ribstitch.store import Edit, UnknownProjectError
from tests.services.shop import OPENED, Shop
from tests.store.plans import AT, LEAD


def test_changes_are_found_by_thing_newest_first(shop: Shop) -> None:
    shop.record("open", TaskStatus(State.IN_WORK, date(2026, 1, 5)))
    shop.record("paint", TaskStatus(State.HELD, held_reason="no paint"))
    shop.record("open", OPENED)
    found = changes(shop.store, shop.project_id, kind="task", key="open")
    assert [change.version for change in found] == [3, 2]
    everything = changes(shop.store, shop.project_id)
    assert [change.plan_version for change in everything] == [4, 3, 2, 1]


def test_pages_follow_each_other(shop: Shop) -> None:
    for remaining in (4, 3, 2, 1):
        shop.record("open", TaskStatus(State.IN_WORK, date(2026, 1, 5), remaining=1440 * remaining))
    first = changes(shop.store, shop.project_id, limit=3)
    second = changes(shop.store, shop.project_id, before=first[-1].number, limit=3)
    assert [change.plan_version for change in (*first, *second)] == [5, 4, 3, 2, 1]


def test_unknown_project_is_named(shop: Shop) -> None:
    with pytest.raises(UnknownProjectError, match="no project 9"):
        changes(shop.store, 9)


def many_links(shop: Shop, count: int) -> Recorded:
    """Put links of the crew between tasks, all at once."""
    tasks = ["open", "close", "paint"]
    pairs = [("open", "close"), ("open", "paint"), ("close", "paint")]
    links = [CrewLink(before, after) for before, after in pairs[:count]]
    edits = [Edit("crew_link", f"{link.before} > {link.after}", None, link) for link in links]
    edits += [
        Edit("task", task, shop.task(task), replace(shop.task(task), notes="Mind the order."))
        for task in tasks
    ]
    change = Change("crew.level", edits, "Levelled")
    author = Author(LEAD, AT)
    return change_plan(shop.forecasts, shop.project_id, author, lambda _plan, _work: change)


def test_action_of_many_changes_is_one_line_that_can_be_opened(shop: Shop) -> None:
    shop.record("open", OPENED)
    done = many_links(shop, 3)
    large, small, imported = actions(shop.store, shop.project_id)
    assert (large.plan_version, large.count) == (3, 6)
    assert [(one.kind, one.added, one.changed, one.taken_out) for one in large.kinds] == [
        ("crew_link", 3, 0, 0),
        ("task", 0, 3, 0),
    ]
    assert [one.number for one in large.changes] == [done.change_number]
    assert summary_of(large) == "Levelled: 3 crew links set, 3 tasks set"
    assert [one.key for one in small.changes] == ["open"]
    assert (summary_of(small), summary_of(imported)) == ("1 task changed", "1 project added")
    opened = changes(shop.store, shop.project_id, plan_version=3)
    assert len(opened) == 6
    undo_last(shop.forecasts, shop.project_id, "crew_link", opened[-1].key, LEAD, AT)
    back, large, _, _ = actions(shop.store, shop.project_id)
    assert summary_of(back) == "Took back: 3 crew links taken out, 3 tasks changed"
    assert large.changes[0].undone_by == back.changes[0].number


def test_small_action_comes_with_all_of_its_changes(shop: Shop) -> None:
    many_links(shop, 2)
    small, _ = actions(shop.store, shop.project_id)
    assert (small.count, len(small.changes)) == (5, 5)
    assert small.changes == tuple(changes(shop.store, shop.project_id, plan_version=2))


def test_pages_of_actions_follow_each_other(shop: Shop) -> None:
    for remaining in (4, 3, 2, 1):
        shop.record("open", TaskStatus(State.IN_WORK, date(2026, 1, 5), remaining=1440 * remaining))
    first = actions(shop.store, shop.project_id, limit=3)
    second = actions(shop.store, shop.project_id, before=first[-1].plan_version)
    assert [one.plan_version for one in (*first, *second)] == [5, 4, 3, 2, 1]
    with pytest.raises(UnknownProjectError, match="no project 9"):
        actions(shop.store, 9)
