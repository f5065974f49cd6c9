"""How sure the dates of open work are; nothing of it while the simulation still runs."""

from __future__ import annotations

from collections.abc import Iterable

from ribstitch.planning.model import SendOut
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.forecast import CurrentPlan


def spreads_of(current: CurrentPlan, simulation: Simulation | None) -> dict[str, Spread]:
    """Return when each open activity may end, by id."""
    if simulation is None:
        return {}
    return {
        one.id: simulation.spread_of(one.id)
        for one in current.schedule.activities
        if not one.is_done and not one.dropped
    }


def spread_at(current: CurrentPlan, simulation: Simulation | None, number: int) -> Spread | None:
    """Return when one activity may end; None where it is not open, or that is not known."""
    one = current.schedule.activities[number]
    is_known = simulation is not None and not one.is_done and not one.dropped
    return simulation.spread_of(one.id) if simulation is not None and is_known else None


def back_of(current: CurrentPlan, simulation: Simulation | None, item: SendOut) -> Spread | None:
    """Return when an item may be accepted; None once it is not open any more."""
    legs = current.schedule.prepared.expansion.open_legs.get(item.id)
    return None if simulation is None or legs is None else simulation.spread_of(legs.gate)


def criticality_of(
    current: CurrentPlan, simulation: Simulation | None, numbers: Iterable[int]
) -> float | None:
    """
    Return the share of the courses in which open activities are on a chain to the finish.

    Of several it is the largest share of one; None where nothing of them is open.
    """
    activities = current.schedule.activities
    still_open = [
        one for one in numbers if not activities[one].is_done and not activities[one].dropped
    ]
    if simulation is None or not still_open:
        return None
    return float(simulation.criticality[still_open].max())
