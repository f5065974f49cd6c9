"""
Pages that are told of every change: one place that waits, however many pages there are.

A page follows the numbers of the plan's versions. It is woken when something was written, and
is then told what comes after the number that it had last: so nothing is lost and nothing is
told twice, whatever happens to its connection.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Sequence
from typing import Final

from starlette.concurrency import run_in_threadpool

from ribstitch.services.live_changes import LiveChange, changes_since
from ribstitch.store import Store

HEARTBEAT_SECONDS: Final = 15.0

_Question = tuple[int, int, asyncio.Event]
"""Project, the plan version that was told last, the news that are waited for."""


class Live:
    """
    Tells pages of changes.

    Parameters
    ----------
    store
        Where the changes are.
    heartbeat_seconds
        How long a page hears nothing at most.
    """

    def __init__(self, store: Store, heartbeat_seconds: float = HEARTBEAT_SECONDS) -> None:
        self._store = store
        self._heartbeat_seconds = heartbeat_seconds
        self._news = asyncio.Event()
        self._asked: dict[_Question, asyncio.Task[Sequence[LiveChange]]] = {}
        self._has_ended = False
        self.pages = 0
        """How many follow at the moment."""
        self._stop_listening: Callable[[], None] = lambda: None

    def start(self) -> None:
        """Begin to listen; call it in the event loop that serves the pages."""
        loop = asyncio.get_running_loop()
        self._stop_listening = self._store.listen(lambda: _call(loop, self._wake))

    def end(self) -> None:
        """Let every page go, so that the service can stop; call it in the event loop."""
        self._has_ended = True
        self._wake()

    def stop(self) -> None:
        """Listen no more."""
        self._stop_listening()

    async def follow(self, project_id: int, after: int) -> AsyncIterator[LiveChange | None]:
        """Yield what is done after a plan version, and None where nothing is for a while."""
        self.pages += 1
        try:
            async for one in self._told(project_id, after):
                yield one
        finally:
            self.pages -= 1

    async def _told(self, project_id: int, after: int) -> AsyncIterator[LiveChange | None]:
        """Yield likewise; the page is counted already."""
        while not self._has_ended:
            news = self._news
            found = await self._since(project_id, after, news)
            for one in found:
                after = one.plan_version
                yield one
            if found:
                continue
            try:
                async with asyncio.timeout(self._heartbeat_seconds):
                    await news.wait()
            except TimeoutError:
                yield None

    def _wake(self) -> None:
        """Wake all pages; from now on others wait for what comes next."""
        news, self._news = self._news, asyncio.Event()
        news.set()

    async def _since(
        self, project_id: int, after: int, news: asyncio.Event
    ) -> Sequence[LiveChange]:
        """Return what came after a version; pages that ask the same at the same time share it."""
        question = (project_id, after, news)
        task = self._asked.get(question)
        if task is None:
            reading = run_in_threadpool(changes_since, self._store, project_id, after)
            task = self._asked[question] = asyncio.create_task(reading)
            task.add_done_callback(lambda _: self._asked.pop(question))
        return await asyncio.shield(task)


def _call(loop: asyncio.AbstractEventLoop, wake: Callable[[], None]) -> None:
    """Call in an event loop, out of another thread; not where it has just been closed."""
    if not loop.is_closed():
        loop.call_soon_threadsafe(wake)
