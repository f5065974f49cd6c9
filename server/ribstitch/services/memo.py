"""Values computed once, shared by threads, the latest used kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from threading import Lock
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Memo(Generic[Value]):
    """
    Values by key, each computed by whoever asks first, outside of the lock.

    Others who ask for the same key meanwhile wait for that value; nobody waits for the
    value of another key. A failure reaches all who wait and is not kept.

    Parameters
    ----------
    keep
        How many values are kept; the one that was not used for longest goes first.
    """

    def __init__(self, keep: int) -> None:
        self._keep = keep
        self._lock = Lock()
        self._known: OrderedDict[Hashable, Future[Value]] = OrderedDict()

    def get(self, key: Hashable, compute: Callable[[], Value]) -> Value:
        """Return the value of a key, computing it if it is not known."""
        promise, mine = self._promise(key)
        if mine:
            try:
                promise.set_result(compute())
            except BaseException as failed:
                with self._lock:
                    self._known.pop(key, None)
                promise.set_exception(failed)
                raise
        return promise.result()

    def put(self, key: Hashable, value: Value) -> None:
        """Keep a value that was computed elsewhere."""
        self.get(key, lambda: value)

    def peek(self, key: Hashable) -> Value | None:
        """Return a value that is at hand, or None."""
        with self._lock:
            promise = self._known.get(key)
        if promise is None or not promise.done() or promise.exception() is not None:
            return None
        return promise.result()

    def _promise(self, key: Hashable) -> tuple[Future[Value], bool]:
        """Return the promise of a value, and whether the caller is to fulfil it."""
        with self._lock:
            promise = self._known.get(key)
            if promise is not None:
                self._known.move_to_end(key)
                return promise, False
            promise = self._known[key] = Future()
            while len(self._known) > self._keep:
                self._known.popitem(last=False)
            return promise, True
