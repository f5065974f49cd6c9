"""What somebody asks for is computed beside the requests; the best so far can be kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from threading import Event

import pytest

from ribstitch.planning.errors import PlanError
from ribstitch.services.asked_work import AskedWork, Handle
from ribstitch.services.forecast import CurrentPlan
from tests.services.views.plans import current_of, hangar

LONG = 30.0


class Work:
    """A computation that offers what it is told to, until it is let go or stopped."""

    def __init__(self) -> None:
        self.offers: list[str] = []
        self.going = Event()
        self.let_go = Event()
        self.over = Event()
        self.failure: Exception | None = None

    def __call__(self, current: CurrentPlan, wish: str, handle: Handle[str]) -> None:
        handle.report(0.25)
        for one in self.offers:
            handle.offer(f"{one} for {wish} in {current.plan_version}")
        self.going.set()
        while not (self.let_go.wait(0.002) or handle.is_stopped()):
            pass
        self.over.set()
        if self.failure is not None:
            raise self.failure


@pytest.fixture
def work() -> Work:
    return Work()


@pytest.fixture
def asked(work: Work) -> Iterator[AskedWork[str, str]]:
    made = AskedWork("The work", work)
    yield made
    work.let_go.set()
    made.close(LONG)


def version(number: int, project: int = 1) -> CurrentPlan:
    return replace(current_of(hangar()), plan_version=number, project_id=project)


def begin(asked: AskedWork[str, str], work: Work, number: int = 1, wish: str = "Ada") -> None:
    work.going.clear()
    asked.begin(version(number), wish)
    assert work.going.wait(LONG)


def test_nothing_begins_by_itself(asked: AskedWork[str, str], work: Work) -> None:
    assert asked.look(version(1)).state == "none"
    asked.stop(version(1))
    asked.changed(version(2))
    assert asked.look(version(1)).state == "none"
    assert not work.going.is_set()


def test_best_so_far_can_be_had_while_it_runs(asked: AskedWork[str, str], work: Work) -> None:
    work.offers = ["good", "better"]
    begin(asked, work)
    found = asked.look(version(1))
    assert (found.state, found.progress, found.wish, found.plan_version) == (
        "running", 0.25, "Ada", 1,
    )  # fmt: skip
    assert found.found == "better for Ada in 1"


def test_who_stops_it_keeps_the_best_so_far(asked: AskedWork[str, str], work: Work) -> None:
    work.offers = ["good"]
    begin(asked, work)
    asked.stop(version(1), LONG)
    found = asked.look(version(1))
    assert (found.state, found.progress, found.found) == ("ready", 1.0, "good for Ada in 1")


def test_what_is_stopped_before_it_has_found_anything_is_cancelled(
    asked: AskedWork[str, str], work: Work
) -> None:
    begin(asked, work)
    asked.stop(version(1))
    assert asked.look(version(1)).state == "cancelled"
    assert work.over.wait(LONG)
    asked.wait(version(1), LONG)
    assert asked.look(version(1)).state == "cancelled"


def test_change_of_the_plan_stops_it_and_leaves_nothing_to_adopt(
    asked: AskedWork[str, str], work: Work
) -> None:
    work.offers = ["good"]
    begin(asked, work)
    asked.changing(1)
    assert asked.look(version(1)).state == "running"
    asked.changed(version(2))
    assert work.over.wait(LONG)
    assert [asked.look(version(number)).state for number in (1, 2)] == ["outdated", "outdated"]


def test_what_was_found_for_an_older_plan_is_outdated(
    asked: AskedWork[str, str], work: Work
) -> None:
    work.offers = ["good"]
    work.let_go.set()
    begin(asked, work)
    asked.wait(version(1), LONG)
    assert asked.look(version(1)).state == "ready"
    assert asked.look(version(2)).state == "outdated"


def test_asked_again_the_first_is_given_up_and_one_runs_at_a_time(
    asked: AskedWork[str, str], work: Work
) -> None:
    work.offers = ["good"]
    begin(asked, work)
    begin(asked, work, 1, "Bo")
    assert asked.look(version(1)).found == "good for Bo in 1"
    work.let_go.set()
    asked.wait(version(1), LONG)
    assert asked.look(version(1)).state == "ready"


def test_plan_that_cannot_be_computed_says_why(asked: AskedWork[str, str], work: Work) -> None:
    work.failure = PlanError("tasks[0]", "this goes on for ever", "T1")
    work.let_go.set()
    begin(asked, work)
    asked.wait(version(1), LONG)
    found = asked.look(version(1))
    assert (found.state, found.reason) == ("failed", "This goes on for ever.")


def test_mistake_is_told_in_one_sentence_and_logged_whole(
    asked: AskedWork[str, str], work: Work, caplog: pytest.LogCaptureFixture
) -> None:
    work.failure = ZeroDivisionError("on purpose")
    work.let_go.set()
    begin(asked, work)
    asked.wait(version(1), LONG)
    found = asked.look(version(1))
    assert found.reason == "The work failed; the service's log tells why."
    assert "on purpose" in caplog.text


def test_what_takes_a_known_time_tells_its_share_of_it(
    asked: AskedWork[str, str], work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [100.0]
    monkeypatch.setattr("ribstitch.services.asked_work.monotonic", lambda: now[0])

    def compute(current: CurrentPlan, wish: str, handle: Handle[str]) -> None:
        handle.lasts(8.0)
        work(current, wish, handle)

    timed = AskedWork("The work", compute)
    begin(timed, work)
    now[0] += 4.0
    assert timed.look(version(1)).progress == 0.5
    now[0] += 40.0
    assert timed.look(version(1)).progress == 0.99
    work.let_go.set()
    timed.wait(version(1), LONG)


def test_only_some_projects_are_kept_and_what_is_closed_begins_nothing(work: Work) -> None:
    asked = AskedWork("The work", work, keep=2)
    work.let_go.set()
    work.offers = ["good"]
    for project in (1, 2, 3):
        asked.begin(version(1, project), "Ada")
        asked.wait(version(1, project), LONG)
    states = [asked.look(version(1, project)).state for project in (1, 2, 3)]
    assert states == ["none", "ready", "ready"]
    asked.forget(2)
    assert asked.look(version(1, 2)).state == "none"
    asked.close(LONG)
    asked.begin(version(1, 4), "Ada")
    assert asked.look(version(1, 4)).state == "none"
