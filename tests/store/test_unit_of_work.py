"""One transaction: all of it or nothing, one writer at a time, nobody overwritten."""

from __future__ import annotations

from dataclasses import replace
from threading import Barrier, Thread

import pytest
from sqlalchemy import Engine, event

from ribstitch.planning.model import CrewLink, Zone
from ribstitch.store import (
    Edit,
    StaleEditError,
    Store,
    UnknownProjectError,
    UnknownThingError,
)
from tests.store.plans import AT, DAY, LEAD, PLANNER, short_plan


@pytest.fixture
def project_id(store: Store) -> int:
    """A stored project."""
    with store.begin(LEAD, AT) as work:
        return work.add_plan(short_plan())


def longer(days: int) -> Edit:
    """Return the edit that makes opening up take so many days."""
    task = short_plan().tasks[0]
    return Edit("task", "open", task, replace(task, duration=days * DAY))


def test_what_raises_leaves_nothing_behind(store: Store, project_id: int) -> None:
    def fail() -> None:
        with store.begin(LEAD, AT) as work:
            work.write(project_id, 2, [longer(9)], "task.edit", "")
            raise RuntimeError("on purpose")

    with pytest.raises(RuntimeError, match="on purpose"):
        fail()
    with store.reading() as reading:
        stored = reading.plan(project_id)
        assert stored.plan == short_plan()
        assert (stored.plan_version, stored.versions["task"]["open"]) == (1, 1)
        assert [change.action for change in reading.changes(project_id)] == ["project.import"]


def test_a_write_raises_row_and_plan_version_and_is_logged(store: Store, project_id: int) -> None:
    with store.begin(PLANNER, AT) as work:
        written = work.write(project_id, 2, [longer(9)], "task.edit", "more rivets")
    with store.reading() as reading:
        stored = reading.plan(project_id)
        (change, _) = reading.changes(project_id)
    assert (stored.plan_version, stored.versions["task"]["open"]) == (2, 2)
    assert stored.versions["task"]["close"] == 1
    assert (change.number, change.version) == (written[0].change_number, 2)
    assert (change.who, change.role, change.at) == ("Bo", "planner", AT)
    assert (change.kind, change.key, change.action) == ("task", "open", "task.edit")
    assert change.reason == "more rivets"
    assert change.before is not None
    assert change.after is not None
    assert (change.before["days"], change.after["days"]) == (3, 9)
    assert change.changed_fields() == ["days"]


def test_a_stale_edit_is_refused_naming_what_changed(store: Store, project_id: int) -> None:
    with store.begin(PLANNER, AT) as work:
        work.write(project_id, 2, [longer(9)], "task.edit", "more rivets")
    with pytest.raises(StaleEditError) as refused, store.begin(LEAD, AT) as work:
        work.check_version(project_id, "task", "open", 1)
    assert (refused.value.expected, refused.value.current_version) == (1, 2)
    assert [change.reason for change in refused.value.changes_since] == ["more rivets"]
    assert str(refused.value) == (
        "Bo changed task open (days) at 2026-01-09 16:30 UTC: look at it again."
    )


def test_the_version_that_was_read_is_accepted(store: Store, project_id: int) -> None:
    with store.begin(LEAD, AT) as work:
        work.check_version(project_id, "task", "open", 1)
        work.check_version(project_id, "project", "", 1)


def test_unknown_things_are_named(store: Store, project_id: int) -> None:
    with store.begin(LEAD, AT) as work:
        with pytest.raises(UnknownThingError, match='no send-out "S9"'):
            work.check_version(project_id, "send_out", "S9", 1)
        with pytest.raises(UnknownProjectError, match="no project 99"):
            work.lock(99)


def test_two_writers_at_once_cannot_both_win(store: Store, project_id: int) -> None:
    """Both read version 1; one writes, the other is told what changed meanwhile."""
    barrier = Barrier(2)
    outcomes: list[str] = []

    def write(days: int) -> None:
        barrier.wait()
        try:
            with store.begin(LEAD, AT) as work:
                plan_version = work.lock(project_id)
                work.check_version(project_id, "task", "open", 1)
                work.write(project_id, plan_version + 1, [longer(days)], "task.edit", "")
            outcomes.append("written")
        except StaleEditError as refused:
            outcomes.append(f"stale, now {refused.current_version}")

    threads = [Thread(target=write, args=(days,)) for days in (5, 6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert sorted(outcomes) == ["stale, now 2", "written"]
    with store.reading() as reading:
        assert reading.plan_version(project_id) == 2
        assert reading.plan(project_id).plan.tasks[0].duration in {5 * DAY, 6 * DAY}


def test_many_writers_each_get_their_turn(store: Store, project_id: int) -> None:
    """Without an expected version, eight writers add eight changes one after the other."""

    def write() -> None:
        with store.begin(LEAD, AT) as work:
            plan_version = work.lock(project_id)
            work.write(project_id, plan_version + 1, [longer(plan_version)], "task.edit", "")

    threads = [Thread(target=write) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    with store.reading() as reading:
        stored = reading.plan(project_id)
        versions = [change.plan_version for change in reading.changes(project_id)]
    assert (stored.plan_version, stored.versions["task"]["open"]) == (9, 9)
    assert versions == [9, 8, 7, 6, 5, 4, 3, 2, 1]


def test_a_reader_sees_one_moment_while_others_write(store: Store, project_id: int) -> None:
    with store.reading() as reading:
        before = reading.plan_version(project_id)
        with store.begin(LEAD, AT) as work:
            work.write(project_id, before + 1, [longer(9)], "task.edit", "")
        assert reading.plan(project_id).plan == short_plan()
        assert reading.plan(project_id).plan_version == before
    with store.reading() as reading:
        assert reading.plan_version(project_id) == before + 1


def test_what_is_withdrawn_stays_in_the_table_and_can_come_back(
    store: Store, project_id: int
) -> None:
    link = short_plan().links[0]
    key = "open > close FS"
    with store.begin(LEAD, AT) as work:
        work.write(project_id, 2, [Edit("link", key, link, None)], "link.drop", "")
    with store.reading() as reading:
        assert reading.plan(project_id).plan.links == short_plan().links[1:]
    with store.begin(LEAD, AT) as work:
        with pytest.raises(UnknownThingError):
            work.check_version(project_id, "link", key, 2)
        (back,) = work.write(project_id, 3, [Edit("link", key, None, link)], "link.add", "")
    assert (back.version, back.came_back) == (3, True)
    with store.reading() as reading:
        assert reading.plan(project_id).plan.links == short_plan().links


def test_changes_come_in_pages_newest_first(store: Store, project_id: int) -> None:
    for plan_version in range(2, 6):
        with store.begin(LEAD, AT) as work:
            edit = longer(plan_version)
            work.write(project_id, plan_version, [edit], "task.edit", str(plan_version))
    with store.reading() as reading:
        page = reading.changes(project_id, kind="task", limit=2)
        rest = reading.changes(project_id, kind="task", before=page[-1].number)
        other = reading.changes(project_id, kind="task", key="close")
    assert [change.reason for change in page] == ["5", "4"]
    assert [change.reason for change in rest] == ["3", "2"]
    assert other == []


def test_many_edits_of_several_kinds_are_written_and_logged_in_their_order(
    engine: Engine, store: Store, project_id: int
) -> None:
    """Some rows are new, some change, one goes, one comes back; few statements do it."""
    first, second = short_plan().links
    gone = Edit("link", "open > close FS", first, None)
    with store.begin(LEAD, AT) as work:
        work.write(project_id, 2, [gone], "link.drop", "")
    links = [CrewLink("open", "paint", units=count) for count in range(1, 301)]
    edits = [
        *(Edit("crew_link", f"new {link.units}", None, link) for link in links),
        Edit("link", "open > paint FS", second, None),
        longer(7),
        Edit("link", "open > close FS", None, first),
        Edit("zone", "bow", None, Zone("bow")),
    ]
    statements: list[str] = []
    event.listen(engine, "before_cursor_execute", lambda *what: statements.append(what[2]))
    with store.begin(LEAD, AT) as work:
        written = work.write(project_id, 3, edits, "crew.level", "once")
    assert sum(not one.startswith("INSERT INTO change") for one in statements) < 20
    assert [(one.kind, one.key) for one in written] == [(one.kind, one.key) for one in edits]
    assert [one.version for one in written] == [*[1] * 300, 2, 2, 3, 1]
    assert [one.key for one in written if one.came_back] == ["open > close FS"]
    with store.reading() as reading:
        stored = reading.plan(project_id)
        logged = reading.changes(project_id, plan_version=3)[::-1]
    assert [(one.number, one.kind, one.key, one.version) for one in logged] == [
        (one.change_number, one.kind, one.key, one.version) for one in written
    ]
    assert sorted(one.number for one in logged) == [one.number for one in logged]
    assert [one.before is None for one in logged[-4:]] == [False, False, True, True]
    assert [one.after is None for one in logged[-4:]] == [True, False, False, False]
    assert stored.plan.crew_links == tuple(links)
    assert stored.plan.links == (first,)
    assert stored.plan.tasks[0].duration == 7 * DAY
    assert [zone.id for zone in stored.plan.zones] == ["tail", "bow"]
    assert stored.versions["link"] == {"open > close FS": 3}


def test_a_thing_that_was_taken_out_has_a_version_too(store: Store, project_id: int) -> None:
    key = "open > close FS"
    with store.begin(LEAD, AT) as work:
        work.write(project_id, 2, [Edit("link", key, short_plan().links[0], None)], "link.drop", "")
    with store.begin(LEAD, AT) as work:
        work.check_version(project_id, "link", key, 2, even_withdrawn=True)
        with pytest.raises(StaleEditError):
            work.check_version(project_id, "link", key, 1, even_withdrawn=True)
        with pytest.raises(UnknownThingError):
            work.check_version(project_id, "link", "close > open FS", 1, even_withdrawn=True)


def test_histories_are_those_of_each_thing(store: Store, project_id: int) -> None:
    for plan_version in range(2, 5):
        with store.begin(LEAD, AT) as work:
            work.write(project_id, plan_version, [longer(plan_version)], "task.edit", "")
    with store.reading() as reading:
        found = reading.histories(project_id, "task", ["open", "close"])
        alone = reading.changes(project_id, kind="task", key="open")
    assert found == {"open": alone, "close": []}
