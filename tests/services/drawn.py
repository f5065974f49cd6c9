"""Simulations whose outcome is known beforehand."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty import Cause, Simulation
from ribstitch.services.simulate_cases import CaseSimulations
from ribstitch.services.simulations import Simulations


def _ignore(_share: float) -> None:
    """Watch no progress."""


def up_to_nine_days_late(
    plan: Plan,
    *,
    runs: int,
    seed: int,
    delays: Mapping[str, int] | None = None,
    on_progress: Callable[[float], None] = _ignore,
) -> Simulation:
    """
    Return a simulation in which run by run all ends 0, 1, ... 9 calendar days late, over again.

    So P10, P50, P80 and P90 of every date are 0, 4, 7 and 8 days after the date as written.
    """
    planned = schedule(plan, delays=delays)
    late = (np.arange(runs) % 10) * TICKS_PER_DAY
    on_progress(0.5)
    return Simulation(
        planned=planned,
        runs=runs,
        seed=seed,
        finish=planned.project_finish + late,
        percentile_finishes=planned.finish[:, None] + np.array([0, 4, 7, 8]) * TICKS_PER_DAY,
        criticality=np.linspace(0, 1, len(planned.activities)),
        vendor_criticality={vendor.id: 0.25 for vendor in plan.vendors},
        met_deadlines={},
        crew_hours={},
    )


def one_cause(
    plan: Plan, *, runs: int, seed: int, on_progress: Callable[[float], None] = _ignore
) -> tuple[Cause, ...]:
    """Return the first task as the only cause."""
    on_progress(float(bool(runs and seed)))
    return (Cause("task", plan.tasks[0].id, 3.6, 0.2, 0.5, 0.4),)


def case_simulations(runs: int = 1_000) -> CaseSimulations:
    """Return simulations of cases that are up to nine days late, whatever the case."""
    return CaseSimulations(
        Simulations(runs, 1, simulate=up_to_nine_days_late, find_causes=one_cause)
    )
