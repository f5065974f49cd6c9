"""People who write as fast as they can, and remember what was acknowledged."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from itertools import count
from typing import Any

import httpx

TASKS = 12
_SECONDS_TO_ANSWER = 20


def plan_to_write_in(tasks: int = TASKS) -> dict[str, Any]:
    """Return a plan file with tasks that wait for nothing."""
    return {
        "format": "ribstitch-plan/1",
        "project": {"name": "Written in", "start": "2026-01-05"},
        "tasks": [{"id": f"T{number}", "days": 2} for number in range(tasks)],
    }


@dataclass
class Written:
    """What one writer knows of what it wrote."""

    acknowledged: dict[str, int] = field(default_factory=dict)
    """The words that were answered with success, with the number of the change."""
    unanswered: set[str] = field(default_factory=set)
    """Words of which nobody said whether they were kept."""
    refused: set[str] = field(default_factory=set)
    """Words that were refused, because somebody else was first."""
    odd: list[str] = field(default_factory=list)
    """Answers that nobody should get."""


class Writer(threading.Thread):
    """
    Names tasks with words that were never used before, one after the other, until told to stop.

    Two writers can have tasks in common: then one is refused, reads again and goes on.
    """

    def __init__(self, name: str, project: str, tasks: list[str]) -> None:
        super().__init__(name=name, daemon=True)
        self.written = Written()
        self._project = project
        self._tasks = tasks
        self._stop_asked = threading.Event()

    def stop(self) -> None:
        """Ask for the end, and wait for it."""
        self._stop_asked.set()
        self.join()

    def run(self) -> None:
        """Write."""
        with httpx.Client(timeout=_SECONDS_TO_ANSWER) as client:
            for number in count():
                if self._stop_asked.is_set():
                    return
                task = self._tasks[number % len(self._tasks)]
                self._write(client, f"{self._project}/tasks/{task}", f"{self.name}-{number}")

    def _write(self, client: httpx.Client, address: str, word: str) -> None:
        """Write one word; what becomes of it is remembered."""
        try:
            version = client.get(address).json()["version"]
        except (httpx.HTTPError, ValueError, KeyError):
            time.sleep(0.02)
            return
        try:
            answer = client.patch(
                address, json={"name": word}, headers={"If-Match": f'"{version}"'}
            )
        except httpx.HTTPError:
            self.written.unanswered.add(word)
            return
        if answer.status_code == httpx.codes.OK:
            self.written.acknowledged[word] = answer.json()["change"]
        elif answer.status_code in {httpx.codes.CONFLICT, httpx.codes.PRECONDITION_FAILED}:
            self.written.refused.add(word)
        elif answer.status_code == httpx.codes.SERVICE_UNAVAILABLE:
            self.written.unanswered.add(word)
        else:
            self.written.odd.append(f"{answer.status_code} {answer.text}")


def take_in(address: str, plan: dict[str, Any]) -> str:
    """Put a plan into a service; return the address of its project."""
    answer = httpx.post(f"{address}/api/v1/projects", json=plan, timeout=_SECONDS_TO_ANSWER)
    answer.raise_for_status()
    return f"{address}{answer.headers['Location']}"
