"""Python's full search for garbage waits for a quiet moment."""

from __future__ import annotations

import gc
import weakref
from time import monotonic, sleep

from ribstitch.cli.quiet_collection import collected_when_quiet

LOOK_EVERY = 0.05
_PARTIAL_SEARCHES = 40
"""More than make a full one worthwhile."""


class Knot:
    """Refers to itself, so that only a full search finds it once it is old."""

    def __init__(self) -> None:
        self.itself = self


def old_garbage() -> weakref.ref[Knot]:
    """Leave something behind that partial searches pass over."""
    knot = Knot()
    gc.collect(0)
    gc.collect(1)
    return weakref.ref(knot)


def be_busy(seconds: float) -> None:
    """Keep Python searching among what is new."""
    until = monotonic() + seconds
    while monotonic() < until:
        for _ in range(_PARTIAL_SEARCHES):
            gc.collect(1)
        sleep(LOOK_EVERY / 10)


def test_the_full_search_waits_until_it_is_quiet() -> None:
    with collected_when_quiet(LOOK_EVERY):
        left = old_garbage()
        be_busy(6 * LOOK_EVERY)
        assert left() is not None
        until = monotonic() + 10
        while left() is not None and monotonic() < until:
            sleep(LOOK_EVERY)
        assert left() is None


def test_what_was_there_before_is_passed_over_and_all_is_as_it_was_afterwards() -> None:
    before = gc.get_threshold()
    with collected_when_quiet(LOOK_EVERY):
        assert gc.get_freeze_count() > 1_000
        assert gc.get_threshold()[2] > 1_000_000
    assert gc.get_threshold() == before
    assert gc.get_freeze_count() == 0
