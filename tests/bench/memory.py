"""Memory of the service with the demo loaded, after everything was looked at.

Run with ``python -m tests.bench.memory``. Every GET of the OpenAPI description is asked for
every thing of the demo, then edits are made and all views asked again, several rounds.
Prints the resident set after each round; ends with status 1 at 300 MB or more.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from urllib.parse import quote

import httpx
import psutil

from tests.bench.service import running_demo_in

TARGET_MB = 300.0
ROUNDS = 4
EDITS = 10


def paths(client: httpx.Client) -> Iterator[str]:
    """Yield the path of everything that can be read."""

    def listed(path: str, name: str, key: str = "id") -> list[str]:
        found = client.get(f"/api/v1{path}").json()[name]
        return [quote(str(one[key]), safe="") for one in found]

    project = "/projects/1"
    vendors = client.get(f"/api/v1{project}/away").json()["vendors"]
    for path, operations in client.get("/api/v1/openapi.json").json()["paths"].items():
        if "get" not in operations:
            continue
        at = path.replace("{project_id}", "1")
        if at.endswith("/late-curve"):
            yield from (f"{at}?vendor={one['id']}&days=120" for one in vendors if one["open"])
        elif "{task_id}" in at:
            ids = listed(f"{project}/tasks?limit=1000", "tasks")
            yield from (at.replace("{task_id}", one) for one in ids)
        elif "{send_out_id}" in at:
            ids = listed(f"{project}/away", "send_outs")
            yield from (at.replace("{send_out_id}", one) for one in ids)
        elif "{key}" in at:
            plural = at.split("/")[-2]
            keys = listed(f"{project}/{plural}", plural, "key")
            yield from (at.replace("{key}", one) for one in keys)
        elif "{" not in at:
            yield at
    yield from ("/", "/today", "/schedule", "/away", "/what-if", "/forecast")
    yield "/assets/vendor/plotly-basic-4.1.1.min.js"


def look_at_everything(client: httpx.Client) -> int:
    """Ask for everything; return how many answers came."""
    count = 0
    for path in paths(client):
        answer = client.get(path, follow_redirects=True)
        if answer.is_error:
            raise SystemExit(f"{path}: {answer.text}")
        count += 1
    return count


def edit(client: httpx.Client) -> None:
    """Put some tasks' durations up and down."""
    tasks = client.get("/api/v1/projects/1/tasks?state=not_started").json()["tasks"]
    for task in tasks[:EDITS]:
        answer = client.patch(
            f"/api/v1/projects/1/tasks/{task['id']}",
            json={"days": task["days"] + 1},
            headers={"If-Match": f'"{task["version"]}"'},
        )
        if answer.is_error:
            raise SystemExit(answer.text)
        client.get("/api/v1/projects/1/schedule")


def main() -> int:
    """Measure on a demo of its own."""
    with (
        tempfile.TemporaryDirectory(prefix="ribstitch-bench-") as folder,
        running_demo_in(folder) as service,
        httpx.Client(base_url=service.address, timeout=60) as client,
    ):
        process = psutil.Process(service.process)
        used = process.memory_info().rss / 1e6
        print(f"demo loaded, nothing asked: {used:6.1f} MB")
        for number in range(1, ROUNDS + 1):
            count = look_at_everything(client)
            used = process.memory_info().rss / 1e6
            print(f"round {number}, {count} answers:    {used:6.1f} MB")
            edit(client)
    print(f"at the end {used:.1f} MB (target below {TARGET_MB:.0f} MB)")
    return 0 if used < TARGET_MB else 1


if __name__ == "__main__":
    sys.exit(main())
