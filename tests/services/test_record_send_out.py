"""Dates of a send-out, promises, words with the vendor."""

from __future__ import annotations

from datetime import date

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import Contact, SendOutStatus
from ribstitch.services.change_plan import Recorded
from ribstitch.services.record_send_out import log_contact, record_send_out_status
from ribstitch.store import StaleEditError, UnknownThingError
from tests.services.shop import FINISH_ONCE_OPENED, OPENED, Shop
from tests.store.plans import AT, LEAD


def record(shop: Shop, status: SendOutStatus) -> Recorded:
    """Record dates as somebody who has just looked."""
    version = shop.version("send_out", "S1")
    return record_send_out_status(shop.forecasts, shop.project_id, "S1", status, version, LEAD, AT)


def test_later_promise_moves_the_finish(shop: Shop) -> None:
    """Leaves the vendor on Fri 30 January instead of Fri 23: a week later."""
    shop.record("open", OPENED)
    shipped = SendOutStatus(shipped=date(2026, 1, 8), promised=date(2026, 1, 30))
    done = record(shop, shipped)
    assert done.finish_before == FINISH_ONCE_OPENED
    assert done.moved_days == 7
    assert shop.send_out("S1").status == shipped
    assert shop.log()[-1].reason == "Fin spar: shipped 2026-01-08, promised 2026-01-30"
    assert shop.changes()[0].changed_fields() == ["status.shipped", "status.promised"]
    shop.check_kept_plan()


@pytest.mark.parametrize(
    ("status", "sentence"),
    [
        (SendOutStatus(shipped=date(2026, 1, 12)), "after the as-of date"),
        (
            SendOutStatus(shipped=date(2026, 1, 8), arrived=date(2026, 1, 7)),
            "2026-01-07 is before shipped",
        ),
        (SendOutStatus(rejected=date(2026, 1, 8)), "must follow"),
    ],
)
def test_bad_dates_are_refused_with_nothing_stored(
    shop: Shop, status: SendOutStatus, sentence: str
) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match=sentence):
        record(shop, status)
    assert shop.picture() == before


def test_stale_dates_are_refused(shop: Shop) -> None:
    record(shop, SendOutStatus(shipped=date(2026, 1, 8)))
    with pytest.raises(StaleEditError):
        record_send_out_status(shop.forecasts, shop.project_id, "S1", SendOutStatus(), 1, LEAD, AT)


def test_words_with_the_vendor_are_added_one_by_one(shop: Shop) -> None:
    """Whoever notes a word needs no version: nothing of others is overwritten."""
    for note in ("asked", "asked again"):
        log_contact(shop.forecasts, shop.project_id, "S1", date(2026, 1, 9), note, LEAD, AT)
    assert shop.send_out("S1").contacts == (
        Contact(date(2026, 1, 9), "asked"),
        Contact(date(2026, 1, 9), "asked again"),
    )
    shop.check_kept_plan()


def test_word_in_the_future_or_about_nothing_is_refused(shop: Shop) -> None:
    before = shop.picture()
    with pytest.raises(PlanError, match="after the as-of date"):
        log_contact(shop.forecasts, shop.project_id, "S1", date(2026, 2, 1), "?", LEAD, AT)
    with pytest.raises(UnknownThingError, match='no send-out "S9"'):
        log_contact(shop.forecasts, shop.project_id, "S9", date(2026, 1, 9), "?", LEAD, AT)
    assert shop.picture() == before
