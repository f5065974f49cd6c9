"""
Kill the service again and again while people write, and look what is left.

``python -m tests.faults.killing --kills 200`` on SQLite; ``--postgresql`` runs a server of its own.
Ends with status 1 if anything that was acknowledged is gone, doubled, or out of its order.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from tests.faults.served import Served
from tests.faults.unbroken import faults_of
from tests.faults.writing import TASKS, Writer, plan_to_write_in, take_in
from tests.support.trials import trial_database

_WRITERS = 4
_LONGEST_WAIT = 1.0
"""Before the plug is pulled. [s]"""


@dataclass(frozen=True)
class Outcome:
    """What is left after the kills."""

    kills: int
    acknowledged: int
    unanswered: int
    refused: int
    faults: list[str]


def killed(database_url: str, folder: Path, kills: int, seed: int) -> Outcome:
    """
    Write with several writers at once, two of them on the same tasks, and kill the service.

    Parameters
    ----------
    database_url
        An empty database.
    folder
        Where the service is started.
    kills
        How often; the moments are drawn from `seed`.
    seed
        Of the moments.
    """
    draw = random.Random(seed)
    served = Served(database_url, folder)
    served.start()
    project = take_in(served.address, plan_to_write_in())
    tasks = [f"T{number}" for number in range(TASKS)]
    share = TASKS // (_WRITERS - 1)
    parts = [tasks[n * share : (n + 1) * share] for n in range(_WRITERS - 1)]
    writers = [Writer(f"W{n}", project, part) for n, part in enumerate([*parts, parts[0]])]
    try:
        for writer in writers:
            writer.start()
        for _ in range(kills):
            time.sleep(draw.uniform(0, _LONGEST_WAIT))
            served.kill()
            served.start()
        time.sleep(_LONGEST_WAIT)
        for writer in writers:
            writer.stop()
    finally:
        served.kill()
    written = [writer.written for writer in writers]
    return Outcome(
        kills,
        sum(len(one.acknowledged) for one in written),
        sum(len(one.unanswered) for one in written),
        sum(len(one.refused) for one in written),
        faults_of(database_url, int(project.rpartition("/")[2]), written),
    )


def main() -> int:
    """Kill as often as asked for; print what was seen."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--kills", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--postgresql", action="store_true")
    given = asked.parse_args()
    with trial_database(postgresql=given.postgresql) as (url, folder):
        begun = time.monotonic()
        seen = killed(url, folder, given.kills, given.seed)
    print(
        f"{seen.kills} kills in {time.monotonic() - begun:.0f} s: {seen.acknowledged} writes were "
        f"acknowledged, {seen.unanswered} had no answer, {seen.refused} were refused as stale; "
        f"{len(seen.faults)} faults"
    )
    print(*seen.faults[:20], sep="\n")
    return 1 if seen.faults or not seen.acknowledged else 0


if __name__ == "__main__":
    sys.exit(main())
