"""Short ways to write a plan whose work is uncertain, on plain days without weekends."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribstitch.planning.model import Link, Plan, Task, WorkShape
from ribstitch.planning.ticks import TICKS_PER_DAY, start_of
from ribstitch.planning.uncertainty import Simulation
from tests.core.making import plan, ticks

Floats = NDArray[np.float64]


def ranged(name: str, low: float, likely: float, high: float, **fields: Any) -> Task:
    """Return a task with low, likely and high work in days; it is planned at the likely."""
    return Task(
        id=name,
        duration=ticks(likely),
        duration_range=(ticks(low), ticks(likely), ticks(high)),
        **fields,
    )


def follow(text: str) -> list[Link]:
    """Read finish-start links: ``"A-B A-C"``."""
    pairs = [pair.split("-") for pair in text.split()]
    return [Link(before, after) for before, after in pairs]


def plain_days(
    tasks: Sequence[Task],
    links: Sequence[Link] = (),
    *,
    shape: WorkShape = WorkShape.PERT,
    zone_spread: float = 0.0,
    trade_spread: float = 0.0,
    **fields: Any,
) -> Plan:
    """Return a plan on elapsed time, without shared factors unless they are asked for."""
    return plan(
        tasks,
        links,
        calendar="elapsed",
        project={"work_shape": shape, "zone_spread": zone_spread, "trade_spread": trade_spread},
        **fields,
    )


def lengths(simulation: Simulation) -> Floats:
    """Return the length of the project in every run, in elapsed days from its start."""
    begin = start_of(simulation.prepared.plan.project.start)
    days: Floats = (simulation.finish - begin) / TICKS_PER_DAY
    return days
