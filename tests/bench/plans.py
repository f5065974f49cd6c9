"""Plans of a given size and shape for the benchmarks; the same seed gives the same plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

from ribstitch.planning.model import (
    Calendar,
    Link,
    Plan,
    Project,
    Relation,
    SendOut,
    Task,
    TaskStatus,
    Vendor,
)
from ribstitch.planning.ticks import TICKS_PER_DAY

START = date(2026, 1, 5)
CALENDARS = (
    Calendar("shop", holidays="IE", closed=((date(2026, 8, 3), date(2026, 8, 14)),)),
    Calendar("six-day", week_hours=(8, 8, 8, 8, 8, 4, 0)),
    Calendar("four-day", day_hours=9, week_hours=(9, 9, 9, 9, 0, 0, 0), holidays="GB-ENG"),
)
_NAMES = tuple(calendar.id for calendar in CALENDARS)


def lanes(count: int, length: int, seed: int, *, mixed: float = 0) -> Plan:
    """
    Return a plan of `count` zones, each a chain of `length` tasks.

    Every task also waits for a task of one other zone, one step earlier. `mixed` is the
    share of links with another relation or a lag.
    """
    draw = Random(seed)
    tasks, links = [], []
    for step in range(length):
        for lane in range(count):
            tasks.append(_task(f"L{lane}.{step}", draw))
            if step == 0:
                continue
            links.append(_link(f"L{lane}.{step - 1}", tasks[-1].id, draw, mixed=mixed))
            other = draw.randrange(count)
            if other != lane:
                links.append(_link(f"L{other}.{step - 1}", tasks[-1].id, draw, mixed=mixed))
    return _plan(tasks, links)


def windows(size: int, window: int, seed: int, *, mixed: float = 0) -> Plan:
    """Return a plan of `size` tasks that each wait for two of the `window` before them."""
    draw = Random(seed)
    tasks, links = [], []
    for number in range(size):
        tasks.append(_task(f"T{number}", draw))
        earlier = range(max(0, number - window), number)
        links += [
            _link(f"T{before}", tasks[-1].id, draw, mixed=mixed)
            for before in draw.sample(earlier, min(2, len(earlier)))
        ]
    return _plan(tasks, links)


def with_vendor(plan: Plan) -> Plan:
    """Return the plan with three items of one vendor that hang between tasks of it."""
    count = len(plan.tasks)
    items = tuple(
        SendOut(
            f"S{n}",
            "V1",
            after=(plan.tasks[n * count // 6].id,),
            before=(plan.tasks[(n + 3) * count // 6].id,),
            prepare=TICKS_PER_DAY,
            ship_out=3 * TICKS_PER_DAY,
            lead=60 * TICKS_PER_DAY,
            ship_back=3 * TICKS_PER_DAY,
            accept=TICKS_PER_DAY,
        )
        for n in range(3)
    )
    vendor = Vendor("V1", name="Bench vendor", calendar="four-day")
    return replace(plan, vendors=(vendor,), send_outs=items)


def _task(name: str, draw: Random) -> Task:
    """Return a task of half a day to four days; one in forty has a not-before date."""
    not_before = None
    if draw.random() < 0.025:
        not_before = START + timedelta(days=draw.randrange(400))
    return Task(
        name,
        duration=TICKS_PER_DAY // 2 * draw.randint(1, 8),
        name=f"Work on {name}",
        calendar=draw.choice(_NAMES),
        not_before=not_before,
        status=TaskStatus(),
    )


def _link(before: str, after: str, draw: Random, *, mixed: float) -> Link:
    """Return a link: finish-start, or in a share of the cases something else."""
    if draw.random() >= mixed:
        return Link(before, after)
    relation = draw.choice(tuple(Relation))
    return Link(before, after, relation, TICKS_PER_DAY * draw.randint(0, 3))


def _plan(tasks: list[Task], links: list[Link]) -> Plan:
    """Put tasks and links into a plan that has not begun."""
    return Plan(Project(START, START), CALENDARS, tasks=tuple(tasks), links=tuple(links))
