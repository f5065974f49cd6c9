"""A plan is levelled beside the requests; its order is adopted, broken, taken back as one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from threading import Event
from typing import Any

import pytest
from sqlalchemy import event

from ribstitch.planning.levelling import LevelledPlan, level_plan
from ribstitch.planning.model import (
    Calendar,
    Crew,
    CrewLink,
    CrewLinkKind,
    Place,
    Plan,
    Project,
    State,
    Task,
    TaskStatus,
)
from ribstitch.services import levellings as module
from ribstitch.services.adopt_levelling import AdoptedOrder, NoOrderError, adopt_levelling
from ribstitch.services.edit_thing import drop_thing
from ribstitch.services.levellings import Levellings, LevellingWish
from ribstitch.services.one_mores import OneMores
from ribstitch.services.undo import UndoRefusedError, redo_last, undo_last
from ribstitch.services.views.crew_order import order_lines
from ribstitch.services.views.one_more_view import gain_lines
from ribstitch.store import StaleEditError, Store
from tests.services.shop import Shop
from tests.store.plans import AT, DAY, LEAD, PLANNER

LONG = 30.0
AT_ONCE = LevellingWish(0.0, 0.0)
FINISH_TOGETHER = date(2026, 1, 7)
"""If everybody had two hands more: three days from Monday 5 January 2026 on."""
FINISH_IN_TURN = date(2026, 1, 12)
"""Three, two and one days of the only metalworker, who rests on the 10th and 11th."""


def busy_plan(**changes: Any) -> Plan:
    """Return three tasks for one metalworker, and one that waits for the jig of another."""
    plan = Plan(
        project=Project(date(2026, 1, 5), date(2026, 1, 5), name="Busy", calendar="shop"),
        calendars=(Calendar("shop", name="Shop"),),
        tasks=(
            Task("ribs", 3 * DAY, "Ribs", trade="metal"),
            Task("spar", 2 * DAY, "Spar", trade="metal", places=("jig",)),
            Task("skin", 1 * DAY, "Skin", trade="metal"),
            Task("frame", 1 * DAY, "Frame", trade="wood", places=("jig",)),
        ),
        crew=(Crew("metal", 1, "shop", "Metalworker 1"), Crew("wood", 1, "shop", "Joiner 1")),
        places=(Place("jig", 1, "Wing jig"),),
    )
    return replace(plan, **changes)


@pytest.fixture
def shop(store: Store) -> Shop:
    return Shop(store, busy_plan())


@pytest.fixture
def levellings() -> Iterator[Levellings]:
    made = Levellings(1)
    yield made
    made.close()


def level(shop: Shop, levellings: Levellings, wish: LevellingWish = AT_ONCE) -> module.Levelling:
    """Level the plan as it is."""
    levellings.begin(shop.current, wish)
    levellings.work.wait(shop.current, LONG)
    found = levellings.ready(shop.current)
    assert found is not None, levellings.standing(shop.current)
    return found


def adopt(shop: Shop, levellings: Levellings) -> AdoptedOrder:
    """Adopt what levelling found."""
    version = shop.current.plan_version
    return adopt_levelling(
        shop.forecasts, levellings, shop.project_id, version, PLANNER, AT, "one pair of hands"
    )


def test_levelled_plan_tells_finish_bound_and_what_moves(
    shop: Shop, levellings: Levellings
) -> None:
    """Six days of one metalworker cannot be less: the bound says so at once."""
    assert shop.current.finish_on == FINISH_TOGETHER
    found = level(shop, levellings)
    assert (found.finish, found.bound) == (FINISH_IN_TURN, FINISH_IN_TURN)
    assert [(one.finish, one.bound) for one in found.history] == [(FINISH_IN_TURN, FINISH_IN_TURN)]
    assert found.order is not None
    assert found.order.forecast == FINISH_IN_TURN
    kinds = [link.kind for link in found.order.links]
    assert (kinds.count(CrewLinkKind.TRADE), kinds.count(CrewLinkKind.PLACE)) == (2, 1)
    assert found.order.moved_starts == 2, "ribs and frame begin on the first day as before"
    assert shop.current.plan.crew_links == ()


def test_adopted_order_is_one_action_in_the_log_that_undo_takes_back(
    shop: Shop, levellings: Levellings
) -> None:
    order = level(shop, levellings).order
    assert order is not None
    done = adopt(shop, levellings)
    assert (done.added, done.taken_away, done.kept) == (3, 0, 0)
    assert (done.recorded.finish_before, done.recorded.finish_after) == (
        FINISH_TOGETHER, FINISH_IN_TURN,
    )  # fmt: skip
    assert set(shop.current.plan.crew_links) == set(order.links)
    changes = shop.changes(plan_version=2)
    assert {(one.action, one.kind, one.who, one.reason) for one in changes} == {
        ("crew.level", "crew_link", "Bo", "one pair of hands")
    }
    assert len(changes) == 3
    assert shop.log()[-1].reason == "Levelled: 3 crew links set, 0 taken away"
    assert levellings.standing(shop.current).state == "none"
    shop.check_kept_plan()
    key = done.recorded.key
    undo_last(shop.forecasts, shop.project_id, "crew_link", key, LEAD, AT)
    assert (shop.current.plan.crew_links, shop.current.finish_on) == ((), FINISH_TOGETHER)
    shop.check_kept_plan()
    redo_last(shop.forecasts, shop.project_id, "crew_link", key, LEAD, AT)
    assert set(shop.current.plan.crew_links) == set(order.links)
    assert shop.current.finish_on == FINISH_IN_TURN
    shop.check_kept_plan()


def test_only_the_difference_to_the_stored_links_is_written(
    store: Store, levellings: Levellings
) -> None:
    """One link stands already, one is of no use, one says something else now."""
    free = Shop(store, busy_plan())
    order = level(free, levellings).order
    assert order is not None
    first, second, third = order.links
    stale = replace(third, units=9)
    useless = CrewLink("ribs", "frame", names=("metal",))
    shop = Shop(store, busy_plan(crew_links=(first, useless, stale)))
    level(shop, levellings)
    done = adopt(shop, levellings)
    assert (done.added, done.taken_away, done.kept) == (2, 1, 1)
    assert set(shop.current.plan.crew_links) == {first, second, third}
    changes = shop.changes(plan_version=2)
    assert sorted((one.before is None, one.after is None) for one in changes) == [
        (False, False), (False, True), (True, False),
    ]  # fmt: skip
    shop.check_kept_plan()


def test_plan_that_the_crew_can_do_already_stays_as_it_is(
    shop: Shop, levellings: Levellings
) -> None:
    level(shop, levellings)
    adopt(shop, levellings)
    again = level(shop, levellings, LevellingWish(0.2, 1.0))
    assert again.finish == FINISH_IN_TURN
    assert again.order is not None
    assert again.order.moved_starts == 0
    done = adopt(shop, levellings)
    assert (done.added, done.taken_away, done.kept) == (0, 0, 3)
    assert done.recorded.change_number is None
    assert shop.current.plan_version == 2


def test_levelling_of_a_plan_that_was_changed_since_is_not_adopted(
    shop: Shop, levellings: Levellings
) -> None:
    level(shop, levellings)
    read = shop.current.plan_version
    shop.edit("task", "skin", replace(shop.task("skin"), duration=2 * DAY))
    picture = shop.picture()
    assert levellings.standing(shop.current).state == "outdated"
    with pytest.raises(StaleEditError, match="Ada changed plan"):
        adopt_levelling(shop.forecasts, levellings, shop.project_id, read, LEAD, AT)
    with pytest.raises(NoOrderError, match="level it first"):
        adopt(shop, levellings)
    assert shop.picture() == picture


def test_plan_that_asks_for_more_people_than_there_are_fails_in_one_sentence(
    store: Store, levellings: Levellings
) -> None:
    plan = busy_plan()
    tasks = (replace(plan.tasks[0], people=3), *plan.tasks[1:])
    shop = Shop(store, replace(plan, tasks=tasks))
    levellings.begin(shop.current, AT_ONCE)
    levellings.work.wait(shop.current, LONG)
    found = levellings.standing(shop.current)
    assert found.state == "failed"
    assert found.reason.startswith('"ribs" needs 3 people of "metal" at once')
    assert found.reason.endswith("fewer for the task.")


@pytest.fixture
def endless(monkeypatch: pytest.MonkeyPatch) -> Event:
    """Make levelling go on, after the first plan, until it is stopped; tells that it goes on."""
    going = Event()

    def slow(
        plan: Plan,
        *,
        report: Callable[[LevelledPlan, float], None],
        cancelled: Callable[[], bool],
        **options: Any,
    ) -> LevelledPlan:
        found = level_plan(plan, report=report, **{**options, "seconds": 0.0})
        going.set()
        while not cancelled():
            Event().wait(0.002)
        return found

    monkeypatch.setattr(module, "level_plan", slow)
    return going


def test_who_stops_levelling_keeps_the_best_order(
    shop: Shop, levellings: Levellings, endless: Event
) -> None:
    levellings.begin(shop.current, LevellingWish(600.0, 0.0))
    assert endless.wait(LONG)
    running = levellings.standing(shop.current)
    assert running.state == "running"
    assert running.found is not None
    assert (running.found.finish, running.found.order) == (FINISH_IN_TURN, None)
    with pytest.raises(NoOrderError, match="stop it first"):
        adopt(shop, levellings)
    levellings.stop(shop.current)
    levellings.work.wait(shop.current, LONG)
    assert adopt(shop, levellings).added == 3


def test_changed_plan_stops_its_levelling(
    shop: Shop, levellings: Levellings, endless: Event
) -> None:
    shop.forecasts._watcher = levellings.work
    levellings.begin(shop.current, LevellingWish(600.0, 0.0))
    assert endless.wait(LONG)
    shop.edit("task", "skin", replace(shop.task("skin"), duration=2 * DAY))
    levellings.work.wait(shop.current, LONG)
    assert levellings.standing(shop.current).state == "outdated"


def test_broken_link_is_taken_back_before_the_order_it_came_with(
    shop: Shop, levellings: Levellings
) -> None:
    level(shop, levellings)
    adopt(shop, levellings)
    broken, other, _ = [line.key for line in order_lines(shop.current)]
    gone = drop_thing(shop.forecasts, shop.project_id, "crew_link", broken, 1, LEAD, AT)
    assert broken not in shop.current.versions["crew_link"]
    assert shop.changes()[0].action == "crew_link.delete"
    with pytest.raises(UndoRefusedError, match=f"Crew-link {broken} was changed since"):
        undo_last(shop.forecasts, shop.project_id, "crew_link", other, LEAD, AT)
    undo_last(shop.forecasts, shop.project_id, "crew_link", broken, LEAD, AT, gone.version)
    undo_last(shop.forecasts, shop.project_id, "crew_link", other, LEAD, AT)
    assert shop.current.plan.crew_links == ()
    shop.check_kept_plan()


def test_order_is_listed_with_names_and_whether_it_holds(store: Store) -> None:
    plan = busy_plan(crew_links=(CrewLink("ribs", "spar"), CrewLink("spar", "skin")))
    begun = TaskStatus(State.IN_WORK, date(2026, 1, 5))
    tasks = (plan.tasks[0], replace(plan.tasks[1], status=begun), *plan.tasks[2:])
    first, second = order_lines(Shop(store, replace(plan, tasks=tasks)).current)
    assert (first.key, first.before_name, first.after_name) == ("ribs > spar", "Ribs", "Spar")
    assert (first.version, first.holds, second.holds) == (1, "turned_round", "as_set")


def test_large_order_is_written_and_taken_back_in_few_statements(
    store: Store, levellings: Levellings
) -> None:
    """The log itself takes a statement a line on SQLite; nothing else grows with the order."""
    tasks = tuple(Task(f"T{number:03}", DAY // 8, trade="metal") for number in range(300))
    shop = Shop(store, busy_plan(tasks=tasks))
    level(shop, levellings)
    statements: list[str] = []
    engine = store._engine
    event.listen(engine, "before_cursor_execute", lambda *what: statements.append(what[2]))

    def apart_from_the_log() -> int:
        count = sum(not one.startswith("INSERT INTO change") for one in statements)
        statements.clear()
        return count

    done = adopt(shop, levellings)
    assert done.added == 299
    assert apart_from_the_log() < 40
    key = ("crew_link", done.recorded.key)
    undo_last(shop.forecasts, shop.project_id, *key, LEAD, AT)
    assert shop.current.plan.crew_links == ()
    assert apart_from_the_log() < 40
    redo_last(shop.forecasts, shop.project_id, *key, LEAD, AT)
    assert len(shop.current.plan.crew_links) == 299
    assert apart_from_the_log() < 60


def test_one_more_of_each_is_held_against_the_levelled_plan(
    shop: Shop, levellings: Levellings
) -> None:
    """Two metalworkers need three days for six; the jig and the joiner hold nobody up."""
    one_mores = OneMores(levellings, 1)
    assert one_mores.standing(shop.current).state == "none"
    one_mores.begin(shop.current, 0.5)
    one_mores.work.wait(shop.current, LONG)
    found = one_mores.standing(shop.current)
    assert found.state == "ready"
    assert found.found is not None
    shown = gain_lines(shop.current, found.found)
    assert shown.base_finish == FINISH_IN_TURN
    by_name = {one.name: one for one in shown.gains}
    metal = by_name["Metal"]
    assert (metal.kind, metal.trade, metal.finish, metal.gain_days, metal.proven) == (
        "person", "metal", FINISH_TOGETHER, 5, True,
    )  # fmt: skip
    assert metal.sentence == (
        "One more metalworker would bring the finish 5 days closer, to 2026-01-07."
    )
    saturday = by_name["Saturday, Shop"]
    assert (saturday.calendar, saturday.weekday, saturday.gain_days) == ("shop", 5, 2)
    jig = by_name["Wing jig"]
    assert (jig.place, jig.gain_days) == ("jig", 0)
    assert jig.sentence == "Room for one more in the Wing jig would bring the finish no closer."
    one_mores.close()
