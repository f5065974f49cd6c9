"""Random plans with uncertain work: ranges, shared factors, hidden work, risks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from ribstitch.planning.model import Plan, Risk, Task, WorkShape, Zone
from ribstitch.planning.ticks import EIGHTH
from tests.property.strategies import Chooser, plans

ZONES = ("nose", "tail")
TRADES = ("metal", "fabric")


@st.composite
def uncertain_plans(
    draw: st.DrawFn, /, *, factors: bool = True, risks: bool = True, **fields: Any
) -> Plan:
    """Draw a plan as `plans` does, with low, likely and high for most of its tasks."""
    made = draw(plans(**fields))
    choose = Chooser(draw)
    tasks = tuple(_uncertain(choose, task) for task in made.tasks)
    project = replace(
        made.project,
        work_shape=choose.one_of(tuple(WorkShape)),
        zone_spread=choose.one_of((0.0, 0.1, 0.3)) if factors else 0.0,
        trade_spread=choose.one_of((0.0, 0.1)) if factors else 0.0,
    )
    return replace(
        made,
        project=project,
        tasks=tasks,
        zones=tuple(_zone(choose, name, len(tasks), factors) for name in ZONES),
        risks=tuple(_risk(choose, n, tasks) for n in range(choose.number(0, 2) if risks else 0)),
    )


def _uncertain(choose: Chooser, task: Task) -> Task:
    """Return a task with a range (mostly), a zone and a trade (perhaps)."""
    placed = replace(task, zone=choose.one_of((None, *ZONES)), trade=choose.one_of((None, *TRADES)))
    if task.milestone or task.duration == 0 or choose.chance(25):
        return placed
    low = choose.number(0, task.duration // EIGHTH) * EIGHTH
    return replace(
        placed, duration_range=(low, task.duration, task.duration + choose.eighths(0, 8))
    )


def _zone(choose: Chooser, name: str, count: int, hidden: bool) -> Zone:
    """Return a zone that hides work until one of the tasks has opened it, or none."""
    if not hidden or choose.chance(50):
        return Zone(name)
    return Zone(name, hidden_work_percent=40, opened_by=f"T{choose.number(0, count - 1)}")


def _risk(choose: Chooser, number: int, tasks: tuple[Task, ...]) -> Risk:
    """Return a risk that makes a task longer."""
    return Risk(
        f"R{number}",
        task=choose.one_of(tasks).id,
        probability=choose.one_of((0.3, 0.05, 1.0, 0.0)),
        impact_range=(EIGHTH, 3 * EIGHTH, 40 * EIGHTH),
        closed=choose.chance(15),
    )
