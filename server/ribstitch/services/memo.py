"""Values computed once, shared by threads, the latest used kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from threading import Lock
from typing import Generic, TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


@dataclass(slots=True)
class _Promise(Generic[Value]):
    """A value that is computed, or was."""

    value: Future[Value] = field(default_factory=Future)
    weight: int = 0
    """Nothing yet while it is computed."""


class Memo(Generic[Key, Value]):
    """
    Values by key, each computed by whoever asks first, outside of the lock.

    Others who ask for the same key meanwhile wait for that value; nobody waits for the
    value of another key. A failure reaches all who wait and is not kept.

    Parameters
    ----------
    most
        How much all that is kept may weigh; what was not used for longest goes first. What
        weighs more than a quarter of it is not kept if `weigh` is given.
    weigh
        Says what a value weighs; each weighs one, if not given.
    """

    def __init__(self, most: int, weigh: Callable[[Value], int] | None = None) -> None:
        self._most = most
        self._heaviest = most if weigh is None else most // 4
        self._weigh = weigh or (lambda _: 1)
        self._lock = Lock()
        self._weight = 0
        self._known: OrderedDict[Key, _Promise[Value]] = OrderedDict()

    def get(self, key: Key, compute: Callable[[], Value]) -> Value:
        """Return the value of a key, computing it if it is not known."""
        with self._lock:
            promise = self._known.get(key)
            if promise is not None:
                self._known.move_to_end(key)
            else:
                mine = self._known[key] = _Promise()
        if promise is not None:
            return promise.value.result()
        try:
            value = compute()
        except BaseException as failed:
            with self._lock:
                if self._known.get(key) is mine:
                    self._forget(key)
            mine.value.set_exception(failed)
            raise
        self._keep(key, mine, self._weigh(value))
        mine.value.set_result(value)
        return value

    def put(self, key: Key, value: Value) -> None:
        """Keep a value that was computed elsewhere."""
        self.get(key, lambda: value)

    def peek(self, key: Key) -> Value | None:
        """Return a value that is at hand, or None."""
        with self._lock:
            promise = self._known.get(key)
        if promise is None or not promise.value.done() or promise.value.exception() is not None:
            return None
        return promise.value.result()

    def drop(self, is_old: Callable[[Key], bool]) -> None:
        """Forget the values of some keys; who waits for one gets it all the same."""
        with self._lock:
            for key in [key for key in self._known if is_old(key)]:
                self._forget(key)

    def _keep(self, key: Key, promise: _Promise[Value], weight: int) -> None:
        """Note what a value weighs, and make room for it."""
        with self._lock:
            if self._known.get(key) is not promise:
                return
            if weight > self._heaviest:
                self._forget(key)
                return
            promise.weight = weight
            self._weight += weight
            while self._weight > self._most:
                self._forget(next(iter(self._known)))

    def _forget(self, key: Key) -> None:
        self._weight -= self._known.pop(key).weight
