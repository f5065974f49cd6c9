"""Python's search for what nothing refers to any more, moved into quiet moments."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread

_LOOK_EVERY = 1.0
_WORTHWHILE = 20
"""Fewer partial searches since the last full one: there is little to find."""
_OVERDUE = 5_000
"""After so many, the moment need not be quiet any more: a quarter of an hour at full load."""
_NEVER = 1_000_000_000


@contextmanager
def collected_when_quiet(look_every: float = _LOOK_EVERY) -> Iterator[None]:
    """
    Search all that is in memory only while the process has nothing to do.

    A full search holds up every request: for a third of a second with a plan of 1,000 tasks
    at hand, several times a minute while people work. What is there at the start stays, and
    is not looked at again. Partial searches, which take a millisecond, go on as ever.

    Parameters
    ----------
    look_every
        How long nothing may have been partially searched for a moment to be quiet. [s]
    """
    before = gc.get_threshold()
    gc.collect()
    gc.freeze()
    gc.set_threshold(before[0], before[1], _NEVER)
    ended = Event()
    thread = Thread(target=_collect, args=(ended, look_every), name="Collection", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()
        gc.set_threshold(*before)
        gc.unfreeze()


def _collect(ended: Event, look_every: float) -> None:
    """Search whenever it is quiet, or overdue."""
    seen = 0
    while not ended.wait(look_every):
        since = gc.get_count()[2]
        if (since == seen and since >= _WORTHWHILE) or since >= _OVERDUE:
            gc.collect()
            since = 0
        seen = since
