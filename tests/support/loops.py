"""Coroutines in tests, also where a browser has an event loop of its own in the main thread."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

_Found = TypeVar("_Found")


def awaited(coroutine: Coroutine[Any, Any, _Found]) -> _Found:
    """Run a coroutine to its end in a thread of its own; return what it returns."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(asyncio.run, coroutine).result()
