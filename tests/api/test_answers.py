"""Encoded answers are kept for one plan version, and only so many."""

from __future__ import annotations

from collections.abc import Callable
from threading import Barrier, Lock, Thread
from time import sleep
from types import SimpleNamespace
from typing import Any, cast

from starlette.requests import Request

from ribstitch.api.answers import Answers
from ribstitch.services.forecast import CurrentPlan


def asked(path: str) -> Request:
    scope = {"type": "http", "method": "GET", "path": path, "query_string": b"", "headers": []}
    return Request({**scope, "server": ("test", 80), "scheme": "http"})


def at_version(version: int) -> CurrentPlan:
    return cast("CurrentPlan", SimpleNamespace(project_id=1, plan_version=version))


class Counting:
    """Builds an answer of some size and counts how often."""

    def __init__(self, size: int = 10) -> None:
        self.size = size
        self.built = 0

    def __call__(self) -> dict[str, Any]:
        self.built += 1
        return {"text": "x" * self.size}


def test_answer_is_built_once_for_each_plan_version() -> None:
    answers, build = Answers(), Counting()
    first = answers.serve(asked("/a"), at_version(1), build)
    again = answers.serve(asked("/a"), at_version(1), build)
    assert build.built == 1
    assert first.body == again.body
    answers.serve(asked("/a"), at_version(2), build)
    answers.serve(asked("/b"), at_version(2), build)
    assert build.built == 3


def test_oldest_answers_make_room_for_new_ones() -> None:
    answers, build = Answers(most_bytes=1000), Counting(size=200)
    for path in ("/a", "/b", "/c", "/d", "/a", "/e"):
        answers.serve(asked(path), at_version(1), build)
    assert build.built == 5
    answers.serve(asked("/a"), at_version(1), build)
    assert build.built == 5
    answers.serve(asked("/b"), at_version(1), build)
    assert build.built == 6


def test_an_answer_too_large_to_keep_is_served_all_the_same() -> None:
    answers, build = Answers(most_bytes=1000), Counting(size=900)
    for _ in range(2):
        assert len(answers.serve(asked("/a"), at_version(1), build).body) > 900
    assert build.built == 2


def test_what_still_lacks_something_is_built_once_and_carries_no_tag() -> None:
    answers, build = Answers(), Counting()
    for _ in range(2):
        answer = answers.serve(asked("/a"), at_version(1), build, is_settled=False)
        assert "etag" not in answer.headers
        assert answer.headers["cache-control"] == "no-store"
    assert build.built == 1
    settled = answers.serve(asked("/a"), at_version(1), build)
    assert build.built == 2
    assert settled.headers["etag"]


def test_another_edition_is_another_answer() -> None:
    answers, build = Answers(), Counting()
    for edition in (1, 1, 2):
        answers.serve(asked("/a"), at_version(1), build, edition=edition)
    assert build.built == 2


def test_who_asks_the_same_at_once_gets_one_answer_that_is_built_once() -> None:
    answers, build, barrier = Answers(), Counting(), Barrier(4)
    seen = []

    def ask() -> None:
        barrier.wait()
        seen.append(answers.serve(asked("/a"), at_version(1), build).body)

    _together(ask, 4)
    assert build.built == 1
    assert len(seen) == 4
    assert len(set(seen)) == 1


def test_contents_are_built_one_at_a_time() -> None:
    """Settled or not: each more that runs would keep whoever records something waiting."""
    answers, at_work = Answers(), Lock()
    paths = iter("abcd")

    def build() -> dict[str, int]:
        assert at_work.acquire(blocking=False)
        sleep(0.01)
        at_work.release()
        return {}

    statuses = []

    def ask() -> None:
        path = next(paths)
        settled = path in "ab"
        answer = answers.serve(asked(f"/{path}"), at_version(1), build, is_settled=settled)
        statuses.append(answer.status_code)

    _together(ask, 4)
    assert statuses == [200] * 4


def _together(act: Callable[[], None], people: int) -> None:
    threads = [Thread(target=act) for _ in range(people)]
    for one in threads:
        one.start()
    for one in threads:
        one.join(timeout=30)
