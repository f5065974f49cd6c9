"""The title block that stands on every page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.planning.uncertainty import Simulation
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import critical_numbers


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the page is about and when it will be finished."""

    project: str
    aircraft: str
    serial: str
    as_of: date
    finish: date
    """If everything goes as written."""
    likely: date | None
    """The finish that is kept with 5 chances in 10; None while that is not known."""
    by80: date | None
    """Likewise with 8 chances in 10."""
    p10: date | None
    p90: date | None
    chance_of_target: float | None
    """0 to 1; None while that is not known, or without a wanted finish."""
    target_finish: date | None
    late_days: int | None
    """Calendar days by which the forecast is after the wanted finish; negative: before."""
    critical_count: int
    work_count: int
    """Tasks and legs of items, done or not; without any the finish says nothing."""
    plan_version: int


def title_block(current: CurrentPlan, simulation: Simulation | None = None) -> TitleBlock:
    """Return the title block of a plan; without its simulation as long as that runs."""
    project = current.plan.project
    spread = None if simulation is None else simulation.finish_spread
    target, chance = project.target_finish, None
    if simulation is not None and target is not None:
        chance = simulation.chance_by(target).probability
    return TitleBlock(
        project=project.name,
        aircraft=project.aircraft,
        serial=project.serial,
        as_of=project.as_of,
        finish=current.finish_on,
        likely=None if spread is None else spread.p50,
        by80=None if spread is None else spread.p80,
        p10=None if spread is None else spread.p10,
        p90=None if spread is None else spread.p90,
        chance_of_target=chance,
        target_finish=target,
        late_days=late_days(current),
        critical_count=len(critical_numbers(current)),
        work_count=len(current.schedule.activities),
        plan_version=current.plan_version,
    )


def late_days(current: CurrentPlan) -> int | None:
    """Return by how many calendar days the forecast is after the wanted finish."""
    target = current.plan.project.target_finish
    return None if target is None else (current.finish_on - target).days
