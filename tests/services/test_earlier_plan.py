"""A plan of an earlier version, put together out of the change log, is what it was then."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planfile import parse_plan
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import Link, Plan, Relation, Zone
from ribstitch.planning.uncertainty import simulate
from ribstitch.services.earlier_plan import plan_at, version_on, version_since
from ribstitch.services.edit_links import add_link, drop_link
from ribstitch.services.edit_thing import add_thing, drop_thing
from ribstitch.services.log_forecast import log_forecast
from ribstitch.services.undo import UndoError, redo_last, undo_last
from ribstitch.store import Store, make_engine
from tests.property.settings import examples
from tests.services.shop import OPENED, Shop
from tests.store.plans import AT, DAY, LEAD, PLANNER, short_plan

_NUMBERS = count()


def _record(shop: Shop) -> None:
    shop.record("open", OPENED)


def _lengthen(shop: Shop) -> None:
    close = shop.task("close")
    shop.edit("task", "close", replace(close, duration=close.duration + DAY))


def _add_zone(shop: Shop) -> None:
    zone = Zone(f"Z{next(_NUMBERS)}")
    add_thing(shop.forecasts, shop.project_id, "zone", zone, PLANNER, AT)


def _drop_vendor(shop: Shop) -> None:
    if any(one.id == "V2" for one in shop.current.plan.vendors):
        version = shop.version("vendor", "V2")
        drop_thing(shop.forecasts, shop.project_id, "vendor", "V2", version, PLANNER, AT)


def _turn_link(shop: Shop) -> None:
    link = Link("open", "paint", lag=DAY)
    if link in shop.current.plan.links:
        ends = ("open", "paint", Relation.FINISH_START)
        drop_link(shop.forecasts, shop.project_id, *ends, PLANNER, AT)
    else:
        add_link(shop.forecasts, shop.project_id, link, PLANNER, AT)


def _a_day_on(shop: Shop) -> None:
    project = shop.current.plan.project
    shop.edit("project", "", replace(project, as_of=project.as_of + timedelta(days=1)))


def _undo(shop: Shop) -> None:
    for kind, key in (("vendor", "V2"), ("link", "open > paint FS"), ("task", "close")):
        try:
            undo_last(shop.forecasts, shop.project_id, kind, key, LEAD, AT)
        except UndoError:
            continue


def _redo(shop: Shop) -> None:
    try:
        redo_last(shop.forecasts, shop.project_id, "vendor", "V2", LEAD, AT)
    except UndoError:
        return


ACTIONS = (_record, _lengthen, _add_zone, _drop_vendor, _turn_link, _a_day_on, _undo, _redo)


@given(st.lists(st.sampled_from(ACTIONS), min_size=1, max_size=9))
@examples(12)
def test_every_version_comes_back_as_it_was(
    migrated_file: Path, actions: list[Callable[[Shop], None]]
) -> None:
    """Compared with what was read when it was the newest, things in their order of entry."""
    with TemporaryDirectory() as folder:
        engine = make_engine(f"sqlite:///{shutil.copy(migrated_file, folder)}")
        shop = Shop(Store(engine), short_plan())
        seen: dict[int, Plan] = {1: shop.current.plan}
        for act in actions:
            act(shop)
            seen[shop.current.plan_version] = shop.current.plan
        for version, plan in seen.items():
            assert plan_at(shop.store, shop.project_id, version).plan == plan
        engine.dispose()


def test_the_plan_put_together_is_the_one_that_was_kept(shop: Shop) -> None:
    """Beside it, all that was changed since, newest first; on both databases."""
    current = shop.current
    simulation = simulate(current.plan, runs=20, seed=1)
    log_forecast(shop.store, current, simulation, AT)
    for act in (_drop_vendor, _turn_link, _lengthen, _undo, _add_zone):
        act(shop)
    with shop.store.reading() as look:
        kept = look.snapshot(shop.project_id, current.plan_version)
    found = plan_at(shop.store, shop.project_id, current.plan_version)
    assert kept is not None
    assert found.plan == parse_plan(kept, "kept") == current.plan
    assert [one.number for one in found.changes] == [one.number for one in shop.changes()[:-1]]


def test_a_date_means_the_plan_as_it_stood_then(shop: Shop) -> None:
    """Taken in on 9 January, then changed on the 9th and on the 10th."""
    _lengthen(shop)
    _a_day_on(shop)
    _add_zone(shop)
    on = [version_on(shop.store, shop.project_id, date(2026, 1, day)) for day in (8, 9, 10, 31)]
    assert on == [None, 2, 4, 4]
    asked = [version_since(shop.store, shop.project_id, 4, one) for one in ("2026-01-08", "3")]
    assert asked == [1, 3]


def test_what_is_neither_date_nor_version_is_refused(shop: Shop) -> None:
    for since in ("0", "5", "yesterday", "2026-02-30", "٣", ""):
        with pytest.raises(InvalidValueError) as refused:
            version_since(shop.store, shop.project_id, 4, since)
        assert refused.value.where == "since"
