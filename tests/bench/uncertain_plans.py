"""Plans with uncertain work for the simulation's benchmarks; the same seed, the same plan."""

from __future__ import annotations

from datetime import date
from random import Random

from ribstitch.planning.model import ELAPSED, Calendar, Link, Plan, Project, Task, Zone
from ribstitch.planning.ticks import EIGHTH

START = date(2026, 1, 5)
CALENDARS = (
    Calendar("shop", holidays="IE", closed=((date(2026, 8, 3), date(2026, 8, 14)),)),
    Calendar("four-day", day_hours=10, week_hours=(10, 10, 10, 10, 0, 0, 0), holidays="GB-ENG"),
    ELAPSED,
)
SHARES = (6, 2, 2)
"""Of ten activities so many are on each calendar."""
LANES = 20
TRADES = ("metal", "fabric", "engine", "electrical", "paint")


def uncertain_lanes(size: int, seed: int, *, spread: float = 0.0) -> Plan:
    """
    Return a plan of `size` tasks in 20 zones, every task with low, likely and high.

    In its zone a task follows the one before; it also waits for a task of any zone, one
    step earlier: two links a task. Likely work is half a day to five days, skewed to the
    right. `spread` is that of the shared zone and trade factors.
    """
    draw = Random(seed)
    tasks: list[Task] = []
    links: list[Link] = []
    for number in range(size):
        step, lane = divmod(number, LANES)
        tasks.append(_task(number, lane, draw))
        if step == 0:
            continue
        other = (lane + draw.randrange(1, LANES)) % LANES
        links += [Link(f"T{LANES * (step - 1) + before}", f"T{number}") for before in (lane, other)]
    project = Project(START, START, zone_spread=spread, trade_spread=spread)
    zones = tuple(Zone(f"Z{lane}") for lane in range(LANES))
    return Plan(project, CALENDARS, zones, tuple(tasks), tuple(links))


def _task(number: int, lane: int, draw: Random) -> Task:
    """Return a task whose high is farther from the likely work than its low."""
    likely = EIGHTH * draw.randint(4, 40)
    low = EIGHTH * round(likely / EIGHTH * draw.uniform(0.5, 0.95))
    high = EIGHTH * round(likely / EIGHTH * draw.uniform(1.1, 2.5) + 0.5)
    (calendar,) = draw.choices([one.id for one in CALENDARS], SHARES)
    return Task(
        f"T{number}",
        likely,
        name=f"Work {number}",
        zone=f"Z{lane}",
        trade=draw.choice(TRADES),
        calendar=calendar,
        duration_range=(low, likely, high),
    )
