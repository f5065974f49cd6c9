"""The key of a request is kept with what it changed, or not at all."""

from __future__ import annotations

from dataclasses import replace
from threading import Event, Thread

import pytest

from ribstitch.store import (
    Answer,
    KeyUsedError,
    NamedRequest,
    RequestDoneError,
    Store,
    doing,
)
from tests.store.plans import AT, LEAD, short_plan


def named() -> NamedRequest:
    """Return the request, as whoever sends it again names it."""
    return NamedRequest("lead", "a-key-of-its-own", "0" * 64)


def test_a_key_goes_with_what_was_changed(store: Store) -> None:
    def fail() -> None:
        with doing(named()), store.begin(LEAD, AT) as work:
            work.add_plan(short_plan())
            raise RuntimeError("on purpose")

    with pytest.raises(RuntimeError, match="on purpose"):
        fail()
    assert store.answered(named()) is None
    with doing(named()), store.begin(LEAD, AT) as work:
        work.add_plan(short_plan())
    assert store.answered(named()) == Answer(0, "", "", b"")
    with store.reading() as reading:
        assert len(reading.projects()) == 1


def test_a_request_may_begin_a_second_transaction(store: Store) -> None:
    with doing(named()):
        for _ in range(2):
            with store.begin(LEAD, AT) as work:
                work.add_plan(short_plan())
    with store.reading() as reading:
        assert len(reading.projects()) == 2


def test_a_key_is_written_again_where_the_first_transaction_was_not_kept(store: Store) -> None:
    request = named()

    def fail() -> None:
        with store.begin(LEAD, AT) as work:
            work.add_plan(short_plan())
            raise RuntimeError("on purpose")

    with doing(request):
        with pytest.raises(RuntimeError, match="on purpose"):
            fail()
        is_written = [request.is_written]
        with store.begin(LEAD, AT) as work:
            work.add_plan(short_plan())
    assert [*is_written, request.is_written] == [False, True]
    assert store.answered(named()) == Answer(0, "", "", b"")


def test_another_process_waits_for_the_first_and_does_nothing(store: Store) -> None:
    began, outcome = Event(), []

    def second() -> None:
        began.wait()
        request = named()
        try:
            with doing(request), store.begin(LEAD, AT) as work:
                work.add_plan(short_plan())
        except RequestDoneError as done:
            outcome.append((done.key, request.was_done, request.is_written))

    other = Thread(target=second)
    other.start()
    with doing(named()), store.begin(LEAD, AT) as work:
        work.add_plan(short_plan())
        began.set()
        other.join(0.2)
        assert not outcome
    other.join(10)
    assert outcome == [("a-key-of-its-own", True, False)]
    with store.reading() as reading:
        assert len(reading.projects()) == 1


def test_a_key_of_another_request_is_refused(store: Store) -> None:
    with doing(named()), store.begin(LEAD, AT):
        pass
    other = replace(named(), digest="1" * 64)
    with pytest.raises(KeyUsedError, match="a-key-of-its-own"):
        store.answered(other)
    with pytest.raises(KeyUsedError), doing(other), store.begin(LEAD, AT):
        pass


def test_an_answer_comes_back_byte_for_byte(store: Store) -> None:
    answer = Answer(201, "application/json", '"2"', b'{"a": "\xc3\xa9"}')
    with doing(named()), store.begin(LEAD, AT):
        pass
    store.keep_answer(named(), answer)
    assert store.answered(named()) == answer
    assert store.answered(replace(named(), sender="owner")) is None
