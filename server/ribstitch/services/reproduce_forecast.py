"""Compute a past forecast again, from the plan that was kept with it."""

from __future__ import annotations

from dataclasses import dataclass

from ribstitch.planfile import parse_plan
from ribstitch.planning.uncertainty import ENGINE, Simulation, Spread, simulate
from ribstitch.store import LoggedSpread, Store, UnknownThingError


class OtherEngineError(Exception):
    """The forecast was computed in another way than this release does; says so."""


@dataclass(frozen=True, slots=True)
class Reproduced:
    """A past forecast as it was logged, and as it comes out now."""

    logged: LoggedSpread
    again: Simulation

    @property
    def agrees(self) -> bool:
        """Whether both are the same, date by date."""
        one = self.logged
        return self.again.finish_spread == Spread(one.p10, one.p50, one.p80, one.p90)


def reproduce_forecast(store: Store, project_id: int, plan_version: int) -> Reproduced:
    """
    Simulate the plan of a logged forecast once more, with its runs and seed.

    Raises
    ------
    UnknownProjectError, UnknownThingError
        If there is no such project, or no forecast of that plan version was logged.
    OtherEngineError
        If this release simulates in another way than the one that logged it.
    """
    with store.reading() as look:
        look.plan_version(project_id)
        logged = look.spreads(project_id, plan_version=plan_version, last=True)
        plan_file = look.snapshot(project_id, plan_version)
    if not logged or plan_file is None:
        raise UnknownThingError("forecast", str(plan_version))
    if logged[0].engine != ENGINE:
        raise OtherEngineError(
            f"The forecast of plan version {plan_version} was computed by engine "
            f"{logged[0].engine}; this release has engine {ENGINE} and would find other dates."
        )
    plan = parse_plan(plan_file, f"plan version {plan_version}")
    again = simulate(plan, runs=logged[0].runs, seed=logged[0].seed)
    return Reproduced(logged[0], again)
