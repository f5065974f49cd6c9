"""Long computations run beside the requests, one a project, and can be stopped."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import replace
from threading import Event, Lock, Thread
from time import monotonic

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.services import background as module
from ribstitch.services.background import Background, OnProgress
from ribstitch.services.forecast import CurrentPlan
from tests.services.views.plans import current_of, hangar

LONG = 30.0


class Work:
    """A computation that goes on until it is let go, and notes what became of it."""

    def __init__(self) -> None:
        self.begun: list[int] = []
        self.stopped: list[int] = []
        self.going = Event()
        self.let_go = Event()
        self.failure: Exception | None = None
        self.most_at_once = 0
        self._at_once = 0
        self._lock = Lock()

    def __call__(self, current: CurrentPlan, report: OnProgress) -> str:
        with self._lock:
            self._at_once += 1
            self.most_at_once = max(self.most_at_once, self._at_once)
        self.begun.append(current.plan_version)
        try:
            report(0.25)
            self.going.set()
            while not self.let_go.wait(0.002):
                report(0.5)
            report(0.9)
            if self.failure is not None:
                raise self.failure
        except BaseException:
            self.stopped.append(current.plan_version)
            raise
        finally:
            with self._lock:
                self._at_once -= 1
        return f"version {current.plan_version}"


@pytest.fixture
def work() -> Work:
    return Work()


@pytest.fixture
def background(work: Work) -> Iterator[Background[str]]:
    made = Background("The work", work)
    yield made
    work.let_go.set()
    made.close(LONG)


def version(number: int) -> CurrentPlan:
    return replace(current_of(hangar()), plan_version=number)


def test_who_asks_is_answered_at_once_and_told_how_far_it_is(
    background: Background[str], work: Work
) -> None:
    found = background.look(version(1))
    assert (found.state, found.result) == ("running", None)
    assert work.going.wait(LONG)
    assert background.look(version(1)).progress in {0.25, 0.5}


def test_what_is_ready_in_time_is_in_the_first_answer(
    background: Background[str], work: Work
) -> None:
    work.let_go.set()
    found = background.look(version(1), LONG)
    assert (found.state, found.progress, found.result) == ("ready", 1.0, "version 1")
    assert background.look(version(1)) == found
    assert work.begun == [1]


def test_nobody_waits_for_what_took_long_the_last_time(
    work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first computation takes 100 seconds by a clock of its own."""
    now = [0.0]
    monkeypatch.setattr(module, "monotonic", lambda: now[0])

    def slow(current: CurrentPlan, report: OnProgress) -> str:
        now[0] += 100.0
        return work(current, report)

    background = Background("The work", slow)
    work.let_go.set()
    assert background.look(version(1), 50.0).state == "ready"
    work.let_go.clear()
    begun = monotonic()
    assert background.look(version(2), 50.0).state == "running"
    assert monotonic() - begun < 25.0
    work.let_go.set()
    background.close(LONG)


def test_newer_plan_stops_the_work_on_the_older_one(
    background: Background[str], work: Work
) -> None:
    background.look(version(1))
    assert work.going.wait(LONG)
    work.going.clear()
    background.look(version(2))
    assert work.going.wait(LONG)
    assert work.stopped == [1]
    work.let_go.set()
    assert background.look(version(2), LONG).result == "version 2"
    assert work.most_at_once == 1


def test_who_still_has_the_older_plan_does_not_stop_the_newer_one(
    background: Background[str], work: Work
) -> None:
    background.look(version(2))
    assert work.going.wait(LONG)
    found = background.look(version(1))
    assert (found.state, found.progress, found.result) == ("running", 0.0, None)
    background.cancel(version(1))
    work.let_go.set()
    assert background.look(version(2), LONG).state == "ready"
    assert work.begun == [2]


def test_cancelled_work_stays_so_until_it_is_begun_again(
    background: Background[str], work: Work
) -> None:
    background.look(version(1))
    assert work.going.wait(LONG)
    background.cancel(version(1))
    assert background.look(version(1), LONG).state == "cancelled"
    work.let_go.set()
    background.restart(version(1))
    found = background.look(version(1), LONG)
    assert (found.state, found.result) == ("ready", "version 1")
    assert work.stopped == [1]


def test_newer_plan_begins_though_the_older_one_was_cancelled(
    background: Background[str], work: Work
) -> None:
    background.cancel(version(1))
    work.let_go.set()
    assert background.look(version(1), LONG).state == "cancelled"
    assert background.look(version(2), LONG).state == "ready"


def test_what_is_ready_can_be_neither_cancelled_nor_begun_again(
    background: Background[str], work: Work
) -> None:
    work.let_go.set()
    background.look(version(1), LONG)
    background.cancel(version(1))
    background.restart(version(1))
    assert background.look(version(1)).state == "ready"
    assert work.begun == [1]


def test_mistake_is_told_in_one_sentence_and_logged_whole(
    background: Background[str], work: Work, caplog: pytest.LogCaptureFixture
) -> None:
    work.failure = ZeroDivisionError("on purpose")
    work.let_go.set()
    found = background.look(version(1), LONG)
    assert (found.state, found.result) == ("failed", None)
    assert found.reason == "The work failed; the service's log tells why."
    assert "on purpose" in caplog.text
    assert "Traceback" in caplog.text
    work.failure = None
    assert background.look(version(1)).state == "failed"
    background.restart(version(1))
    assert background.look(version(1), LONG).state == "ready"


def test_plan_that_cannot_be_computed_says_why(background: Background[str], work: Work) -> None:
    work.failure = PlanError("tasks[0]", "this goes on for ever", "T1")
    work.let_go.set()
    assert "this goes on for ever" in background.look(version(1), LONG).reason


def test_expected_work_waits_for_further_changes_unless_somebody_looks(work: Work) -> None:
    background = Background("The work", work, quiet_seconds=LONG)
    work.let_go.set()
    background.expect(version(1))
    background.expect(version(2))
    assert work.begun == []
    assert background.look(version(2), LONG).state == "ready"
    assert work.begun == [2]
    background.close(LONG)


def test_expected_work_begins_by_itself(work: Work) -> None:
    told = Event()
    background = Background("The work", work, lambda _current, _result: told.set())
    work.let_go.set()
    background.expect(version(1))
    assert told.wait(LONG)
    background.close(LONG)


def test_interrupted_work_is_begun_again_by_the_next_look(
    background: Background[str], work: Work
) -> None:
    background.look(version(1))
    assert work.going.wait(LONG)
    background.interrupt(1)
    work.let_go.set()
    assert background.look(version(1), LONG).state == "ready"
    assert work.stopped == [1]
    background.interrupt(1)
    background.interrupt(99)
    assert background.look(version(1)).state == "ready"
    assert work.begun == [1, 1]


@pytest.mark.parametrize("by", ["an edit", "a newer plan", "a newer plan elsewhere"])
def test_who_waits_is_not_told_that_somebody_cancelled_what_gives_way(
    background: Background[str], work: Work, by: str
) -> None:
    """A page that is told so would ask no more, and never show the newer plan."""
    found = []
    waiting = Thread(target=lambda: found.append(background.look(version(1), LONG)))
    waiting.start()
    assert work.going.wait(LONG)
    if by == "an edit":
        background.interrupt(1)
    elif by == "a newer plan":
        background.look(version(2))
    else:
        background.stop_older(version(2))
    waiting.join(LONG)
    assert [one.state for one in found] == ["running"]
    assert not background.is_begun(version(1))


def test_who_waits_for_what_makes_room_for_others_asks_again(work: Work) -> None:
    background = Background("The work", work, keep=1)
    found = []
    waiting = Thread(target=lambda: found.append(background.look(version(1), LONG)))
    waiting.start()
    assert work.going.wait(LONG)
    background.look(replace(version(1), project_id=2))
    waiting.join(LONG)
    assert [one.state for one in found] == ["running"]
    work.let_go.set()
    assert background.look(version(1), LONG).state == "ready"
    background.close(LONG)


def test_result_is_handed_on_once_it_can_be_had(work: Work) -> None:
    handed, told = [], Event()

    def hand_on(current: CurrentPlan, result: str) -> None:
        handed.append((current.plan_version, result))
        told.set()

    background = Background("The work", work, hand_on)
    work.let_go.set()
    assert background.look(version(1), LONG).state == "ready"
    assert told.wait(LONG)
    assert handed == [(1, "version 1")]
    background.close(LONG)


def test_failure_to_hand_on_is_logged_and_leaves_the_result(
    work: Work, caplog: pytest.LogCaptureFixture
) -> None:
    def hand_on(_current: CurrentPlan, _result: str) -> None:
        raise OSError("disk full")

    background = Background("The work", work, hand_on)
    work.let_go.set()
    background.look(version(1), LONG)
    background.close(LONG)
    assert background.look(version(1)).state == "ready"
    assert "disk full" in caplog.text


def test_closing_stops_what_runs_and_begins_nothing_more(
    background: Background[str], work: Work
) -> None:
    background.look(version(1))
    assert work.going.wait(LONG)
    background.close(LONG)
    assert work.stopped == [1]
    assert background.look(version(1), LONG).state == "cancelled"
    assert background.look(version(2), LONG).state == "cancelled"
    background.restart(version(2))
    assert work.begun == [1]


def test_projects_do_not_wait_for_each_other_and_only_some_are_kept(work: Work) -> None:
    background = Background("The work", work, keep=2)
    work.let_go.set()
    for project in (1, 2, 1, 3):
        background.look(replace(version(1), project_id=project), LONG)
    assert background.is_begun(replace(version(1), project_id=1))
    assert not background.is_begun(replace(version(1), project_id=2))
    background.close(LONG)


@pytest.fixture(autouse=True)
def _log_level(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.ERROR)
