"""Whatever people do, no row of any table disappears."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from sqlalchemy import func, select

from ribstitch.planning.model import Relation, SendOutStatus, State, TaskStatus, Zone
from ribstitch.services.edit_links import drop_link
from ribstitch.services.edit_thing import add_thing
from ribstitch.services.record_send_out import log_contact
from ribstitch.services.reject_item import reject_item
from ribstitch.services.undo import redo_last, undo_last
from ribstitch.store import make_engine
from ribstitch.store.tables import Base
from tests.services.shop import OPENED, Shop
from tests.store.plans import AT, LEAD


def test_no_row_ever_disappears(shop: Shop, migrated_url: str) -> None:
    engine = make_engine(migrated_url)

    def counts() -> dict[str, int]:
        with engine.connect() as connection:
            return {
                name: connection.scalar(select(func.count()).select_from(table)) or 0
                for name, table in Base.metadata.tables.items()
            }

    forecasts, number = shop.forecasts, shop.project_id

    def edit_send_out(status: SendOutStatus) -> None:
        shop.edit("send_out", "S1", replace(shop.send_out("S1"), status=status))

    steps: list[Callable[[], object]] = [
        lambda: shop.record("open", OPENED),
        lambda: shop.record("paint", TaskStatus(State.DROPPED)),
        lambda: add_thing(forecasts, number, "zone", Zone("bow"), LEAD, AT),
        lambda: undo_last(forecasts, number, "zone", "bow", LEAD, AT),
        lambda: redo_last(forecasts, number, "zone", "bow", LEAD, AT),
        lambda: drop_link(forecasts, number, "open", "close", Relation.FINISH_START, LEAD, AT),
        lambda: edit_send_out(SendOutStatus(shipped=date(2026, 1, 6), received=date(2026, 1, 8))),
        lambda: reject_item(
            forecasts,
            number,
            "S1",
            date(2026, 1, 8),
            shop.version("send_out", "S1"),
            LEAD,
            AT,
        ),
        lambda: log_contact(forecasts, number, "S1/2", date(2026, 1, 9), "asked", LEAD, AT),
        lambda: undo_last(forecasts, number, "send_out", "S1/2", LEAD, AT),
        lambda: undo_last(forecasts, number, "send_out", "S1", LEAD, AT),
    ]
    before = counts()
    for step in steps:
        step()
        after = counts()
        assert all(after[table] >= before[table] for table in before)
        assert after["change"] > before["change"]
        assert after["forecast_log"] == before["forecast_log"] + 1
        before = after
    engine.dispose()
    shop.check_kept_plan()
