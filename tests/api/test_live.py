"""Pages are told of every change, once, whoever made it and whatever broke meanwhile."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import asynccontextmanager
from threading import Thread
from time import monotonic, sleep

import httpx
import pytest
from sqlalchemy import Engine

from ribstitch.api.live import Live
from ribstitch.planning.model import Zone
from ribstitch.services.edit_thing import add_thing
from ribstitch.services.forecast import Forecasts
from ribstitch.services.import_plan import import_plan
from ribstitch.services.live_changes import LiveChange, changes_since
from ribstitch.store import Store, make_engine
from ribstitch.store.listening import Listener
from tests.api.asking import Api, assert_problem
from tests.store.plans import AT, LEAD, PLANNER, short_plan
from tests.support.loops import awaited
from tests.support.postgres import copied_database

SECONDS = 20.0


@pytest.fixture
def store(migrated_url: str) -> Iterator[Store]:
    """The store that pages are served from, with a plan in it."""
    store = Store(make_engine(migrated_url))
    import_plan(store, short_plan(), LEAD, AT)
    yield store
    store.close()


def add_zone(store: Store, name: str) -> None:
    """Change the plan."""
    add_thing(Forecasts(store), 1, "zone", Zone(name), PLANNER, AT, "")


@asynccontextmanager
async def told(store: Store, heartbeat_seconds: float = SECONDS) -> AsyncIterator[Live]:
    """Give what tells pages, while it listens."""
    live = Live(store, heartbeat_seconds)
    live.start()
    try:
        yield live
    finally:
        live.end()
        await asyncio.to_thread(live.stop)


async def first(live: Live, count: int, after: int) -> list[LiveChange]:
    """Return so many changes, as a page is told them."""
    found: list[LiveChange] = []
    async with asyncio.timeout(SECONDS):
        async for one in live.follow(1, after):
            if one is not None:
                found.append(one)
            if len(found) == count:
                break
    return found


def test_every_page_is_told_every_change_in_order(store: Store) -> None:
    async def scenario() -> list[list[LiveChange]]:
        async with told(store) as live:
            pages = [asyncio.create_task(first(live, 12, 1)) for _ in range(30)]
            await asyncio.sleep(0)
            writers = [asyncio.to_thread(add_zone, store, f"z{number}") for number in range(12)]
            await asyncio.gather(*writers)
            return await asyncio.gather(*pages)

    for page in awaited(scenario()):
        assert [one.plan_version for one in page] == list(range(2, 14))
        assert {one.changed[0][1] for one in page} == {f"z{number}" for number in range(12)}


def test_an_event_says_who_did_what_and_what_it_led_to(store: Store) -> None:
    add_zone(store, "nose")
    (one,) = changes_since(store, 1, 1)
    with store.reading() as reading:
        logged = reading.forecasts(1)[-1]
    assert (one.who, one.role, one.at) == ("Bo", "planner", AT)
    assert (one.action, one.changed, one.count) == ("zone.add", (("zone", "nose"),), 1)
    assert one.finish == logged.finish


def test_who_comes_back_is_told_what_was_missed_and_nothing_twice(store: Store) -> None:
    async def scenario() -> tuple[list[LiveChange], list[LiveChange]]:
        async with told(store) as live:
            await asyncio.to_thread(add_zone, store, "a")
            before = await first(live, 1, 1)
            for name in "bcd":
                await asyncio.to_thread(add_zone, store, name)
            return before, await first(live, 3, before[-1].plan_version)

    before, after = awaited(scenario())
    assert [one.plan_version for one in (*before, *after)] == [2, 3, 4, 5]


def test_what_another_process_writes_is_told_too(store: Store, migrated_url: str) -> None:
    """The command line has a store of its own: none of its commits is told from within."""

    async def scenario() -> list[LiveChange]:
        other = Store(make_engine(migrated_url))
        async with told(store) as live:
            page = asyncio.create_task(first(live, 1, 1))
            await asyncio.sleep(0.2)
            await asyncio.to_thread(add_zone, other, "nose")
            found = await page
        other.close()
        return found

    (one,) = awaited(scenario())
    assert one.changed == (("zone", "nose"),)


def test_what_happens_while_the_database_is_away_is_told_afterwards(
    migrated_database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """PostgreSQL ends the connection that listens."""
    monkeypatch.setattr("ribstitch.store.listening._TRIED_AGAIN_AFTER", 0.1)

    async def scenario(store: Store, engine: Engine) -> list[LiveChange]:
        async with told(store) as live:
            page = asyncio.create_task(first(live, 2, 1))
            await asyncio.to_thread(add_zone, store, "a")
            await asyncio.to_thread(end_listening, engine)
            await asyncio.to_thread(add_zone, store, "b")
            return await page

    with copied_database(migrated_database) as url:
        engine = make_engine(url)
        store = Store(engine)
        import_plan(store, short_plan(), LEAD, AT)
        found = awaited(scenario(store, engine))
        engine.dispose()
    assert [one.plan_version for one in found] == [2, 3]


def end_listening(engine: Engine) -> None:
    """End the connection that listens, as the database's keeper would, once there is one."""
    ended: Sequence[bool] = []
    while not ended:
        with engine.connect() as connection:
            found = connection.exec_driver_sql(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE query LIKE 'LISTEN%%' AND datname = current_database()"
            )
            ended = found.scalars().all()
    assert ended == [True]


def test_what_this_process_writes_is_told_at_once(
    migrated_sqlite_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On SQLite as well; by looking it would be found after a minute here."""
    monkeypatch.setattr("ribstitch.store.listening._LOOKED_EVERY", 60.0)
    store = Store(make_engine(migrated_sqlite_url))
    import_plan(store, short_plan(), LEAD, AT)

    async def scenario() -> list[LiveChange]:
        async with told(store) as live:
            page = asyncio.create_task(first(live, 1, 1))
            await asyncio.sleep(0.2)
            await asyncio.to_thread(add_zone, store, "nose")
            return await page

    assert [one.plan_version for one in awaited(scenario())] == [2]
    store.close()


def test_a_database_that_is_away_is_tried_again_after_a_while_alone(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Even if this process has written something before; it stops at once all the same."""
    monkeypatch.setattr("ribstitch.store.listening._TRIED_AGAIN_AFTER", 60.0)
    engine = make_engine("postgresql://nobody@127.0.0.1:1/nothing")
    listener = Listener(engine, lambda: None)
    listener.nudge()
    listener.start()
    while not caplog.records:
        sleep(0.01)
    sleep(0.2)
    began = monotonic()
    listener.stop()
    assert len(caplog.records) == 1
    assert monotonic() - began < 1


def test_a_page_hears_something_even_where_nothing_is_done(store: Store) -> None:
    async def scenario() -> LiveChange | None:
        async with told(store, heartbeat_seconds=0.05) as live:
            return await anext(live.follow(1, 1))

    assert awaited(scenario()) is None


def test_pages_are_let_go_when_the_service_stops(store: Store) -> None:
    async def scenario() -> list[LiveChange]:
        async with told(store) as live:
            page = asyncio.create_task(first(live, 1, 1))
            await asyncio.sleep(0.1)
            live.end()
            return await page

    assert awaited(scenario()) == []


def test_a_long_action_names_a_hundred_things_and_counts_all(lone_api: Api) -> None:
    tasks = [{"id": f"N{number}", "days": 1} for number in range(3)]
    for task in tasks:
        assert lone_api.post("/tasks", task).status_code == 201
    service = lone_api.client.app.state.service  # type: ignore[attr-defined]
    found = changes_since(service.store, lone_api.project, 1)
    assert [one.changed for one in found] == [(("task", f"N{number}"),) for number in range(3)]
    assert [one.count for one in found] == [1, 1, 1]


def test_a_project_that_is_not_there_has_no_events(lone_api: Api) -> None:
    assert_problem(lone_api.client.get("/api/v1/projects/99/events"), 404, "99")


def test_the_stream_carries_numbers_and_goes_on_where_it_broke(live_server: str) -> None:
    address = f"{live_server}/api/v1/projects/1"

    def hold(reason: str) -> None:
        body = {"id": reason, "name": reason}
        assert httpx.post(f"{address}/zones", json=body).status_code == 201

    start = httpx.get(address).json()["plan_version"]
    hold("x1")
    with httpx.stream("GET", f"{address}/events", params={"after": start}) as answer:
        assert answer.headers["content-type"].startswith("text/event-stream")
        assert answer.headers["cache-control"] == "no-store"
        lines = answer.iter_lines()
        writer = Thread(target=hold, args=["x2"])
        seen = events_of(lines, 1)
        writer.start()
        seen += events_of(lines, 1)
        writer.join()
    hold("x3")
    again = {"Last-Event-ID": seen[-1][0]}
    with httpx.stream("GET", f"{address}/events", headers=again) as answer:
        seen += events_of(answer.iter_lines(), 1)
    assert [number for number, _ in seen] == [str(start + step) for step in (1, 2, 3)]
    assert [one["changed"] for _, one in seen] == [
        [{"kind": "zone", "key": name}] for name in ("x1", "x2", "x3")
    ]


def events_of(lines: Iterator[str], count: int) -> list[tuple[str, dict[str, object]]]:
    """Return the ids and data of so many events (WHATWG HTML, section 9.2.6)."""
    found: list[tuple[str, dict[str, object]]] = []
    number = ""
    for line in lines:
        field, _, value = line.partition(": ")
        if field == "id":
            number = value
        elif field == "data":
            found.append((number, json.loads(value)))
            if len(found) == count:
                break
    return found
