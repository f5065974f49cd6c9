"""The change log is read in pages, by kind and by thing."""

from __future__ import annotations

from datetime import date

import pytest

from ribstitch.planning.model import State, TaskStatus
from ribstitch.services.change_log import changes
from ribstitch.store import UnknownProjectError
from tests.services.shop import OPENED, Shop


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
