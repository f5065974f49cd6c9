"""Fifty people read and ten write, for two minutes, at 1,000 tasks.

``python -m tests.bench.load`` on SQLite with one process; ``--postgresql --workers 2`` on a server
of its own with several. Who reads opens one sheet after another, some seconds apart; who writes
puts a task of their own into work or back. Beside them somebody asks an endpoint that does nothing:
what a status update takes is printed as a multiple of that. People and service share the
machine. Ends with status 1 on any error, or if one update in a hundred takes 250 ms or more.
"""

from __future__ import annotations

import argparse
import asyncio
import random
import sys
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from time import perf_counter

import httpx
import numpy as np

from ribstitch.planfile import dump_plan
from tests.bench.plans import lanes, with_vendor
from tests.bench.service import running_service
from tests.support.trials import trial_database

TARGET_MS = 250.0
TASKS = (20, 50)
SHEETS = (
    ("title-block", "airframe", "today"),
    ("title-block", "schedule"),
    ("title-block", "away"),
    ("title-block", "forecast", "changes"),
    ("title-block", "tasks/L3.7"),
)
"""What the sheets ask for when they are opened."""
READ_EVERY, WRITE_EVERY, ASK_EVERY = (2.0, 6.0), (2.0, 6.0), (0.2, 0.3)
"""Between one thing that somebody does and the next. [s]"""


@dataclass
class Seen:
    """Milliseconds by what was asked for, and what went wrong."""

    took: dict[str, list[float]] = field(
        default_factory=lambda: {"read": [], "write": [], "empty": []}
    )
    errors: list[str] = field(default_factory=list)

    async def ask(
        self, client: httpx.AsyncClient, what: str, method: str, path: str, **options: object
    ) -> httpx.Response | None:
        """Send one request and note how long it took; None where it failed."""
        begun = perf_counter()
        try:
            answer = await client.request(method, path, **options)  # type: ignore[arg-type]
        except httpx.HTTPError as error:
            self.errors.append(f"{method} {path}: {error!r}")
            return None
        self.took[what].append(1000 * (perf_counter() - begun))
        if answer.is_error:
            self.errors.append(f"{method} {path}: {answer.status_code} {answer.text[:200]}")
            return None
        return answer


@dataclass(frozen=True)
class Shop:
    """A service, one project in it, and what is seen of both."""

    address: str
    project: str
    seen: Seen

    async def person(
        self,
        until: float,
        every: tuple[float, float],
        seed: int,
        act: Callable[[httpx.AsyncClient, random.Random], Awaitable[None]],
    ) -> None:
        """Do something again and again, with a connection of one's own."""
        draw = random.Random(seed)
        limits = httpx.Limits(max_connections=6)
        async with httpx.AsyncClient(base_url=self.address, timeout=30, limits=limits) as client:
            while perf_counter() < until:
                await asyncio.sleep(draw.uniform(*every))
                await act(client, draw)

    async def read(self, client: httpx.AsyncClient, draw: random.Random) -> None:
        """Open a sheet: what it needs is asked for at once."""
        paths = [f"{self.project}/{part}" for part in draw.choice(SHEETS)]
        await asyncio.gather(*(self.seen.ask(client, "read", "GET", path) for path in paths))

    async def empty(self, client: httpx.AsyncClient, _: random.Random) -> None:
        """Ask for what costs nothing."""
        await self.seen.ask(client, "empty", "GET", "/api/v1/session")

    def writer(self, lane: int) -> Callable[[httpx.AsyncClient, random.Random], Awaitable[None]]:
        """Return what somebody does who works in one lane: a task begins, or did not."""

        async def write(client: httpx.AsyncClient, _: random.Random) -> None:
            path = f"{self.project}/tasks/L{lane}.0"
            before = await self.seen.ask(client, "read", "GET", path)
            if before is None:
                return
            task = before.json()
            fresh = task["task"]["status"]["state"] == "not_started"
            status = (
                {"state": "in_work", "started": "2026-01-05"} if fresh else {"state": "not_started"}
            )
            headers = {"If-Match": f'"{task["version"]}"'}
            await self.seen.ask(
                client, "write", "PATCH", path, json={"status": status}, headers=headers
            )

        return write


async def crowd(address: str, project: str, seconds: float, readers: int, writers: int) -> Seen:
    """Let everybody act for so many seconds."""
    shop = Shop(address, project, Seen())
    until = perf_counter() + seconds
    people = [shop.person(until, READ_EVERY, n, shop.read) for n in range(readers)]
    people += [shop.person(until, WRITE_EVERY, 1_000 + n, shop.writer(n)) for n in range(writers)]
    people.append(shop.person(until, ASK_EVERY, 2_000, shop.empty))
    await asyncio.gather(*people)
    return shop.seen


def told(seen: Seen) -> float:
    """Print what was seen; return the 99th percentile of the updates. [ms]"""
    empty = float(np.percentile(seen.took["empty"], 99))
    for what, took in seen.took.items():
        half, most, worst = np.percentile(took, [50, 99, 100])
        print(
            f"{what:>6}: {len(took):6} requests, median {half:7.1f} ms, 99 % {most:7.1f} ms, "
            f"longest {worst:7.1f} ms; 99 % is {most / empty:5.2f} x the empty endpoint's"
        )
    print(f"{len(seen.errors)} errors", *seen.errors[:10], sep="\n")
    return float(np.percentile(seen.took["write"], 99))


def main() -> int:
    """Run the crowd against a service of its own."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seconds", type=float, default=120)
    asked.add_argument("--readers", type=int, default=50)
    asked.add_argument("--writers", type=int, default=10)
    asked.add_argument("--postgresql", action="store_true")
    asked.add_argument("--workers", type=int, default=1)
    given = asked.parse_args()
    with (
        trial_database(postgresql=given.postgresql) as (url, _),
        running_service(url, workers=given.workers) as service,
    ):
        answer = httpx.post(
            f"{service.address}/api/v1/projects",
            content=dump_plan(with_vendor(lanes(*TASKS, seed=1))),
            headers={"Content-Type": "application/json"},
            timeout=60,
        )
        answer.raise_for_status()
        project = answer.headers["Location"]
        seen = asyncio.run(
            crowd(service.address, project, given.seconds, given.readers, given.writers)
        )
    return 1 if told(seen) >= TARGET_MS or seen.errors else 0


if __name__ == "__main__":
    sys.exit(main())
