"""A rejected item goes out on a further trip; history is not edited."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import SendOut, SendOutStatus, Source
from ribstitch.services.change_plan import Recorded
from ribstitch.services.reject_item import further_trip, reject_item
from ribstitch.store import Store
from tests.services.shop import OPENED, Shop
from tests.store.plans import AT, DAY, LEAD, short_plan

BACK = SendOutStatus(
    shipped=date(2026, 1, 6),
    arrived=date(2026, 1, 7),
    left_vendor=date(2026, 1, 7),
    received=date(2026, 1, 8),
)


@pytest.fixture
def shop(store: Store) -> Shop:
    """The short plan with the item back in the shop, to be looked at."""
    plan = short_plan()
    tasks = (replace(plan.tasks[0], status=OPENED), *plan.tasks[1:])
    items = (replace(plan.send_outs[0], status=BACK),)
    return Shop(store, replace(plan, tasks=tasks, send_outs=items))


def reject(shop: Shop, item: str, on: date) -> Recorded:
    """Reject an item as somebody who has just looked at it."""
    version = shop.version("send_out", item)
    return reject_item(shop.forecasts, shop.project_id, item, on, version, LEAD, AT, "out of true")


def test_rejected_item_goes_out_again_and_the_work_waits_for_it(shop: Shop) -> None:
    """All legs over again from Fri 9 January: accepted on Mon 26, closed up on the 28th."""
    done = reject(shop, "S1", date(2026, 1, 8))
    assert shop.send_out("S1").status.rejected == date(2026, 1, 8)
    trip = shop.send_out("S1/2")
    assert (trip.trip_of, trip.vendor, trip.name) == ("S1", "V1", "Fin spar")
    assert (trip.lead, trip.after, trip.before) == (10 * DAY, (), ())
    assert trip.status == SendOutStatus()
    assert done.finish_after == date(2026, 1, 28)
    shop.check_kept_plan()


def test_both_changes_stand_in_the_log_together(shop: Shop) -> None:
    reject(shop, "S1", date(2026, 1, 8))
    trip, rejection = shop.changes(plan_version=2)
    assert (rejection.key, rejection.action) == ("S1", "send_out.reject")
    assert (trip.key, trip.before) == ("S1/2", None)
    assert rejection.reason == trip.reason == "out of true"


def test_trips_are_counted_on(shop: Shop) -> None:
    first = SendOut("S1", "V1", lead=DAY)
    second = further_trip(first, {"S1"})
    third = further_trip(second, {"S1", "S1/2"})
    assert (second.id, third.id, third.trip_of) == ("S1/2", "S1/3", "S1/2")
    assert further_trip(SendOut("fin/left", "V1"), set()).id == "fin/left/2"


def test_rejection_that_cannot_be_is_refused_with_nothing_stored(shop: Shop) -> None:
    before = shop.picture()
    for day, sentence in (
        (date(2026, 1, 12), "after the as-of date"),
        (date(2026, 1, 7), "before received"),
    ):
        with pytest.raises(PlanError, match=sentence):
            reject(shop, "S1", day)
    assert shop.picture() == before


def test_item_cannot_be_rejected_twice(shop: Shop) -> None:
    reject(shop, "S1", date(2026, 1, 8))
    before = shop.picture()
    with pytest.raises(PlanError, match='on: "S1" was rejected on 2026-01-08 already'):
        reject(shop, "S1", date(2026, 1, 9))
    assert shop.picture() == before


@pytest.mark.parametrize(
    ("item", "sentence"),
    [
        (SendOut("S1", "V1", lead=DAY, dropped=True), "is dropped"),
        (SendOut("S1", "V1", lead=DAY), "never left the shop"),
        (SendOut("S1", "V1", lead=DAY, source=Source.EXCHANGE), "never came"),
        (SendOut("S" * 79, "V1", lead=DAY, status=BACK), "longer than 80 characters"),
    ],
)
def test_what_never_came_back_cannot_be_rejected(
    store: Store, item: SendOut, sentence: str
) -> None:
    """Otherwise a trip would be added that nobody goes on, or one that no address leads to."""
    shop = Shop(store, replace(short_plan(), send_outs=(item,)))
    before = shop.picture()
    with pytest.raises(PlanError, match=sentence):
        reject(shop, item.id, date(2026, 1, 9))
    assert shop.picture() == before


def test_part_in_hand_can_be_rejected_though_it_never_travelled(store: Store) -> None:
    part = SendOut("S1", "V1", accept=DAY, source=Source.IN_HAND)
    shop = Shop(store, replace(short_plan(), send_outs=(part,)))
    reject(shop, "S1", date(2026, 1, 9))
    assert shop.send_out("S1/2").trip_of == "S1"
