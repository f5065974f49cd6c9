"""
Two who count in one task, each in a process's own memory of the plan, and never over each other.

``python -m tests.faults.two_writers --times 10000`` on SQLite; ``--postgresql`` runs a server of
its own. Ends with status 1 if the count is not what was counted, or the log is not whole.
"""

from __future__ import annotations

import argparse
import sys
import threading
import time
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime

import orjson

from ribstitch.planfile import parse_plan
from ribstitch.services.edit_thing import edit_thing
from ribstitch.services.forecast import Forecasts
from ribstitch.services.import_plan import import_plan
from ribstitch.store import Person, StaleEditError, Store, UnavailableError, make_engine, upgrade
from tests.faults.unbroken import faults_of
from tests.faults.writing import plan_to_write_in
from tests.support.trials import trial_database

_AT = datetime(2026, 2, 2, 9, tzinfo=UTC)
_TASK = "T0"


@dataclass
class Counting:
    """What two who counted came to."""

    count: int
    """What stands in the task at the end."""
    refused: int
    """How often one of them was told that the other was first."""
    put_off: int
    """How often one was told that the database was busy for too long; on SQLite nobody queues."""
    faults: list[str]


@dataclass
class _Counter:
    """One of them: a store, and forecasts, that nobody else has."""

    database_url: str
    name: str
    times: int
    refused: int = 0
    put_off: int = 0
    failed: list[str] = field(default_factory=list)

    def count(self, project_id: int) -> None:
        """Add one, so many times, reading again whenever somebody else was first."""
        store = Store(make_engine(self.database_url))
        forecasts = Forecasts(store)
        try:
            for _ in range(self.times):
                while not self._add_one(forecasts, project_id):
                    pass
        except Exception as error:  # noqa: BLE001 - reported by the main thread
            self.failed.append(f"{self.name}: {error!r}")
        finally:
            store.close()

    def _add_one(self, forecasts: Forecasts, project_id: int) -> bool:
        try:
            current = forecasts.current(project_id)
            task = current.plan.tasks[0]
            counted = replace(task, name=str(int(task.name) + 1))
            version = current.versions["task"][_TASK]
            edit_thing(
                forecasts, project_id, "task", _TASK, counted, version,
                Person(self.name, "lead"), _AT,
            )  # fmt: skip
        except StaleEditError:
            self.refused += 1
            return False
        except UnavailableError:
            self.put_off += 1
            return False
        return True


def counted(database_url: str, times: int) -> Counting:
    """Let two count to `times` together, half of it each, on an empty database."""
    engine = make_engine(database_url)
    upgrade(engine)
    store = Store(engine)
    plan = plan_to_write_in(tasks=1)
    plan["tasks"][0]["name"] = "0"
    project_id = import_plan(
        store, parse_plan(orjson.dumps(plan), ""), Person("First", "lead"), _AT
    )
    both = [_Counter(database_url, name, times // 2) for name in ("One", "Another")]
    threads = [threading.Thread(target=one.count, args=(project_id,)) for one in both]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as look:
        count = int(look.plan(project_id).plan.tasks[0].name)
    store.close()
    failed = [failure for one in both for failure in one.failed]
    faults = faults_of(database_url, project_id, [])
    return Counting(
        count,
        sum(one.refused for one in both),
        sum(one.put_off for one in both),
        failed + faults,
    )


def main() -> int:
    """Count as far as asked for; print what was seen."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--times", type=int, default=10_000)
    asked.add_argument("--postgresql", action="store_true")
    given = asked.parse_args()
    with trial_database(postgresql=given.postgresql) as (url, _):
        begun = time.monotonic()
        seen = counted(url, given.times)
    print(
        f"Two counted to {seen.count} of {given.times} in {time.monotonic() - begun:.0f} s; one "
        f"was told {seen.refused} times that the other was first, {seen.put_off} times to come "
        f"again; {len(seen.faults)} faults"
    )
    print(*seen.faults[:20], sep="\n")
    return 1 if seen.faults or seen.count != given.times else 0


if __name__ == "__main__":
    sys.exit(main())
