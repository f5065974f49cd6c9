"""PATCH of one status to recomputed dates in hand, over HTTP, at 1,000 tasks.

Run with ``python -m tests.bench.patch_latency``. A real service runs in its own process on
a fresh SQLite file; requests go over one kept connection on loopback. Printed beside it:
an endpoint that does nothing, and reading the schedule right after an edit. Ends with
status 1 if the median is 50 ms or more.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from time import perf_counter

import httpx

from ribstitch.planfile import dump_plan
from tests.bench.plans import lanes, with_vendor
from tests.bench.service import running_service

TARGET_MS = 50.0
EDITS = 60
TASKS = (20, 50)


def timed(client: httpx.Client, method: str, path: str, **options: object) -> tuple[float, dict]:  # type: ignore[type-arg]
    """Send a request; return the milliseconds it took and the answer."""
    begun = perf_counter()
    answer = client.request(method, path, **options)  # type: ignore[arg-type]
    took = 1000 * (perf_counter() - begun)
    if answer.is_error:
        raise SystemExit(f"{method} {path}: {answer.text}")
    return took, answer.json()


def edit(client: httpx.Client, project: str, number: int) -> float:
    """Put a task into work or back again, and check that the plan was computed anew."""
    path = f"{project}/tasks/L{number % TASKS[0]}.0"
    _, before = timed(client, "GET", path)
    start = {"state": "in_work", "started": "2026-01-05"}
    status = (
        start if before["task"]["status"]["state"] == "not_started" else {"state": "not_started"}
    )
    headers = {"If-Match": f'"{before["version"]}"'}
    took, after = timed(client, "PATCH", path, json={"status": status}, headers=headers)
    if after["plan_version"] != before["plan_version"] + 1:
        raise SystemExit(f"{path}: the plan version went from {before} to {after}")
    return took


def measure(address: str) -> float:
    """Measure on a running service; print the figures, return the median of the edits."""
    plan = with_vendor(lanes(*TASKS, seed=1))
    with httpx.Client(base_url=f"{address}/api/v1", timeout=30) as client:
        headers = {"Content-Type": "application/json"}
        _, made = timed(client, "POST", "/projects", content=dump_plan(plan), headers=headers)
        project = f"/projects/{made['id']}"
        for number in range(5):
            edit(client, project, number)
        edits, reads = [], []
        for number in range(EDITS):
            edits.append(edit(client, project, number))
            reads.append(timed(client, "GET", f"{project}/schedule")[0])
        empty = statistics.median(timed(client, "GET", "/session")[0] for _ in range(100))
    median, late = statistics.median(edits), sorted(edits)[int(0.95 * EDITS)]
    print(f"{len(plan.tasks)} tasks, {len(plan.links)} links, {EDITS} edits over HTTP")
    print(f"empty endpoint                 median {empty:6.2f} ms")
    print(
        f"PATCH of one status            median {median:6.2f} ms = {median / empty:4.1f} x empty, "
        f"95 % within {late:.1f} ms (target below {TARGET_MS:.0f} ms)"
    )
    print(f"first schedule after the edit  median {statistics.median(reads):6.2f} ms")
    return median


def main() -> int:
    """Measure on a service of its own."""
    with (
        tempfile.TemporaryDirectory(prefix="ribstitch-bench-") as folder,
        running_service(f"sqlite:///{Path(folder) / 'ribstitch.db'}") as service,
    ):
        return 0 if measure(service.address) < TARGET_MS else 1


if __name__ == "__main__":
    sys.exit(main())
