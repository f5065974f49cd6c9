"""Links are added and dropped; loops and doubles are refused."""

from __future__ import annotations

import pytest

from ribstitch.planning.errors import CycleError, PlanError
from ribstitch.planning.model import Link, Relation
from ribstitch.services.change_plan import Recorded
from ribstitch.services.edit_links import add_link, drop_link
from ribstitch.store import UnknownThingError
from tests.services.shop import Shop
from tests.store.plans import AT, DAY, LEAD


def add(shop: Shop, link: Link) -> Recorded:
    """Add a link."""
    return add_link(shop.forecasts, shop.project_id, link, LEAD, AT)


def drop(shop: Shop, before: str, after: str) -> Recorded:
    """Drop a finish-start link."""
    relation = Relation.FINISH_START
    return drop_link(shop.forecasts, shop.project_id, before, after, relation, LEAD, AT)


def test_added_link_moves_the_finish(shop: Shop) -> None:
    """Painting (one day) after closing up makes the project one working day longer."""
    assert add(shop, Link("close", "paint")).moved_days == 1
    assert shop.current.plan.links[-1] == Link("close", "paint")
    shop.check_kept_plan()


def test_dropped_link_is_gone_and_stays_in_the_log(shop: Shop) -> None:
    drop(shop, "open", "paint")
    assert shop.current.plan.links == (Link("open", "close"),)
    change = shop.changes()[0]
    assert (change.action, change.key, change.after) == ("link.drop", "open > paint FS", None)
    assert change.before == {"from": "open", "to": "paint", "lag_days": 1}
    shop.check_kept_plan()


def test_link_that_comes_back_stands_in_its_old_place(shop: Shop) -> None:
    drop(shop, "open", "close")
    add(shop, Link("open", "close", lag=DAY))
    assert shop.current.plan.links == (
        Link("open", "close", lag=DAY),
        Link("open", "paint", lag=DAY),
    )
    shop.check_kept_plan()


def test_loop_is_refused_naming_its_members(shop: Shop) -> None:
    before = shop.picture()
    with pytest.raises(CycleError) as refused:
        add(shop, Link("close", "open"))
    assert set(refused.value.members) >= {"open", "close"}
    assert shop.picture() == before


@pytest.mark.parametrize(
    ("link", "sentence"),
    [
        (Link("open", "close"), '"open" and "close" are linked FS already'),
        (Link("open", "open"), "linked to itself"),
        (Link("open", "gone"), 'no task "gone"'),
    ],
)
def test_bad_link_is_refused_with_nothing_stored(shop: Shop, link: Link, sentence: str) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match=sentence):
        add(shop, link)
    assert shop.picture() == before


def test_link_that_is_not_there_cannot_be_dropped(shop: Shop) -> None:
    with pytest.raises(UnknownThingError, match='no link "close > open FS"'):
        drop(shop, "close", "open")
