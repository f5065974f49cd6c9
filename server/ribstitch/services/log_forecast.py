"""Keep how sure each forecast was: the day's first one, and each that has moved.

The finish date itself is logged with every change, in the change's own transaction. How
sure it is comes later, once the plan is simulated, and goes into a log of its own, together
with the plan file: so the same forecast can be computed again at any time.
"""

from __future__ import annotations

import logging
from datetime import datetime

from ribstitch.planfile import dump_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.uncertainty import ENGINE, Simulation
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.simulations import Simulations
from ribstitch.store import LoggedSpread, Person, Reading, Store

_LOG = logging.getLogger("ribstitch.services")
_CLOCKWORK = Person("Forecast log", "service")
_LONGEST_SECONDS = 600.0


def log_forecast(
    store: Store, current: CurrentPlan, simulation: Simulation, at: datetime
) -> LoggedSpread | None:
    """
    Log a simulated forecast, if it is the day's first or has moved; return what was logged.

    It has moved if the finish as written, the likely date or the 80 % date is another one
    than in the last entry.

    Parameters
    ----------
    store
        Where the log is.
    current, simulation
        The plan and its simulation.
    at
        Now, in UTC, whose date counts.
    """
    spread = spread_of(current, simulation, at)
    with store.reading() as look:
        if not _is_news(look, current.project_id, spread):
            return None
    with store.begin(_CLOCKWORK, at) as work:
        work.lock(current.project_id)
        if not _is_news(work, current.project_id, spread):
            return None
        work.log_spread(current.project_id, spread, dump_plan(current.plan))
    return spread


def log_the_day(forecasts: Forecasts, simulations: Simulations, at: datetime) -> None:
    """Log today's first forecast of every project that has none yet, one after the other."""
    store = forecasts.store
    with store.reading() as look:
        due = [one.id for one in look.projects() if not _is_logged_on(look, one.id, at)]
    for project_id in due:
        try:
            current = forecasts.current(project_id)
        except PlanError:
            _LOG.exception("project %d cannot be scheduled any more", project_id)
            continue
        found = simulations.current(current, _LONGEST_SECONDS)
        if found.result is not None:
            log_forecast(store, current, found.result, at)


def spread_of(current: CurrentPlan, simulation: Simulation, at: datetime) -> LoggedSpread:
    """Return the entry of the forecast log for a simulation."""
    spread, target = simulation.finish_spread, current.plan.project.target_finish
    return LoggedSpread(
        plan_version=current.plan_version,
        logged_on=at.date(),
        finish=current.finish_on,
        p10=spread.p10,
        p50=spread.p50,
        p80=spread.p80,
        p90=spread.p90,
        chance_of_target=None if target is None else simulation.chance_by(target).probability,
        runs=simulation.runs,
        seed=simulation.seed,
        engine=ENGINE,
    )


def _is_logged_on(look: Reading, project_id: int, at: datetime) -> bool:
    """Return whether a project has an entry on a date."""
    last = look.spreads(project_id, last=True)
    return bool(last) and last[0].logged_on >= at.date()


def _is_news(look: Reading, project_id: int, spread: LoggedSpread) -> bool:
    """Return whether an entry is the day's first, or differs from the one before it."""
    logged = look.spreads(project_id, last=True)
    if not logged:
        return True
    last = logged[0]
    if spread.plan_version < last.plan_version:
        return False
    if last.logged_on < spread.logged_on:
        return True
    return last.plan_version < spread.plan_version and _dates(last) != _dates(spread)


def _dates(spread: LoggedSpread) -> tuple[object, ...]:
    """Return the dates whose move is worth an entry."""
    return spread.finish, spread.p50, spread.p80
