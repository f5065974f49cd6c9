"""The forecast is computed once per change, whoever asks and however many."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from threading import Barrier, Event, Thread
from typing import Any

import pytest

from ribstitch.planning.model import Task
from ribstitch.planning.schedule import schedule
from ribstitch.services import forecast as module
from ribstitch.services.edit_thing import add_thing
from ribstitch.services.forecast import Forecasts
from ribstitch.services.memo import Memo
from ribstitch.store import UnknownProjectError
from tests.services.shop import FINISH_ONCE_OPENED, FIRST_FINISH, OPENED, Shop
from tests.store.plans import AT, DAY, LEAD


@pytest.fixture
def count(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Count the schedules that are computed."""
    computed: list[int] = []
    real: Callable[..., Any] = schedule

    def counting(plan: Any) -> Any:
        computed.append(len(plan.tasks))
        return real(plan)

    monkeypatch.setattr(module, "schedule", counting)
    return computed


def test_reading_again_computes_nothing(shop: Shop, count: list[int]) -> None:
    assert shop.current is shop.current
    assert shop.current.finish_on == FIRST_FINISH
    assert len(count) == 1


def test_a_change_computes_once(shop: Shop, count: list[int]) -> None:
    assert shop.current.finish_on == FIRST_FINISH
    shop.record("open", OPENED)
    assert shop.current.finish_on == FINISH_ONCE_OPENED
    assert len(count) == 2


def test_graces_are_computed_when_asked_for_and_once(shop: Shop) -> None:
    """The item alone sets the finish: it has no grace at all."""
    current = shop.current
    assert current.send_out_graces is current.send_out_graces
    assert current.send_out_graces["S1"].grace == 0
    assert current.vendor_graces["V1"].send_outs == ("S1",)


def test_another_process_sees_the_change(shop: Shop) -> None:
    other = Forecasts(shop.store)
    assert other.current(shop.project_id).finish_on == FIRST_FINISH
    shop.record("open", OPENED)
    assert other.current(shop.project_id).finish_on == FINISH_ONCE_OPENED


def test_many_readers_at_once_wait_for_one_computation(shop: Shop, count: list[int]) -> None:
    barrier, seen = Barrier(6), []

    def read() -> None:
        barrier.wait()
        seen.append(shop.current)

    threads = [Thread(target=read) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert len(seen) == 6
    assert len({id(current) for current in seen}) == 1
    assert len(count) == 1


def test_readers_and_writers_at_once_end_with_the_stored_plan(shop: Shop) -> None:
    def write(name: str) -> None:
        task = Task(name, DAY)
        add_thing(shop.forecasts, shop.project_id, "task", task, LEAD, AT)

    def read() -> None:
        for _ in range(5):
            assert shop.current.plan.tasks

    threads = [Thread(target=write, args=(f"T{number}",)) for number in range(4)]
    threads += [Thread(target=read) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert shop.current.plan_version == 5
    shop.check_kept_plan()


def test_unknown_project_is_named(shop: Shop) -> None:
    with pytest.raises(UnknownProjectError, match="no project 12"):
        shop.forecasts.current(12)


def test_plan_of_the_wrong_version_is_not_at_hand(shop: Shop) -> None:
    current = shop.current
    assert shop.forecasts.at_version(shop.project_id, 1) is current
    assert shop.forecasts.at_version(shop.project_id, 2) is None
    shop.forecasts.keep(replace(current, plan_version=7))
    assert shop.forecasts.at_version(shop.project_id, 7) is not None


def test_newer_plan_that_was_read_for_an_older_version_is_not_taken_for_it(shop: Shop) -> None:
    """Somebody changed the plan between the look at its version and the reading of it."""
    newer = replace(shop.current, plan_version=3)
    shop.forecasts._known.put((shop.project_id, 2), newer)
    assert shop.forecasts.at_version(shop.project_id, 2) is None


def test_memo_keeps_what_was_used_last() -> None:
    memo: Memo[str | int, int] = Memo(2)
    for key in (1, 2, 1, 3):
        memo.get(key, lambda key=key: key * 10)  # type: ignore[misc]
    assert (memo.peek(1), memo.peek(2), memo.peek(3)) == (10, None, 30)


def test_memo_keeps_no_failure() -> None:
    memo: Memo[str | int, int] = Memo(2)

    def fail() -> int:
        raise OSError("gone")

    with pytest.raises(OSError, match="gone"):
        memo.get(1, fail)
    assert memo.peek(1) is None
    assert memo.get(1, lambda: 5) == 5


def test_memo_lets_others_pass_while_one_value_is_computed() -> None:
    memo: Memo[str | int, int] = Memo(4)
    begun, finish = Event(), Event()

    def slow() -> int:
        begun.set()
        assert finish.wait(timeout=30)
        return 1

    thread = Thread(target=memo.get, args=("slow", slow))
    thread.start()
    assert begun.wait(timeout=30)
    assert memo.get("quick", lambda: 2) == 2
    assert memo.peek("slow") is None
    finish.set()
    thread.join(timeout=30)
    assert memo.peek("slow") == 1


def test_a_memo_that_weighs_makes_room_by_weight() -> None:
    memo: Memo[str, int] = Memo(100, weigh=abs)
    for key, value in (("a", 20), ("b", 25), ("c", 25), ("d", 25), ("heavy", 26), ("e", 20)):
        assert memo.get(key, lambda value=value: value) == value  # type: ignore[misc]
    kept = [key for key in ("a", "b", "c", "d", "heavy", "e") if memo.peek(key) is not None]
    assert kept == ["b", "c", "d", "e"]


def test_what_a_memo_has_dropped_weighs_nothing_any_more() -> None:
    memo: Memo[str, int] = Memo(40, weigh=abs)
    for key in ("a", "b", "c", "d"):
        memo.put(key, 10)
    memo.drop(lambda key: key in {"a", "b"})
    memo.put("e", 10)
    memo.put("f", 10)
    assert [key for key in "abcdef" if memo.peek(key) is not None] == ["c", "d", "e", "f"]


def test_what_is_dropped_while_it_is_computed_reaches_who_waits_and_is_not_kept() -> None:
    memo: Memo[str, int] = Memo(4)
    begun, finish = Event(), Event()
    seen: list[int] = []

    def slow() -> int:
        begun.set()
        assert finish.wait(timeout=30)
        return 1

    thread = Thread(target=lambda: seen.append(memo.get("slow", slow)))
    thread.start()
    assert begun.wait(timeout=30)
    memo.drop(lambda _: True)
    finish.set()
    thread.join(timeout=30)
    assert seen == [1]
    assert memo.peek("slow") is None


def test_a_change_lets_the_older_versions_of_its_project_go(shop: Shop) -> None:
    before = shop.current
    shop.record("open", OPENED)
    assert shop.forecasts.at_version(shop.project_id, before.plan_version) is None
    assert shop.forecasts.at_version(shop.project_id, shop.current.plan_version) is shop.current
