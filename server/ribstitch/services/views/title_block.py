"""The title block that stands on every page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

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
    target_finish: date | None
    late_days: int | None
    """Calendar days by which the forecast is after the wanted finish; negative: before."""
    critical_count: int
    plan_version: int


def title_block(current: CurrentPlan) -> TitleBlock:
    """Return the title block of a plan."""
    project = current.plan.project
    return TitleBlock(
        project=project.name,
        aircraft=project.aircraft,
        serial=project.serial,
        as_of=project.as_of,
        finish=current.finish_on,
        target_finish=project.target_finish,
        late_days=late_days(current),
        critical_count=len(critical_numbers(current)),
        plan_version=current.plan_version,
    )


def late_days(current: CurrentPlan) -> int | None:
    """Return by how many calendar days the forecast is after the wanted finish."""
    target = current.plan.project.target_finish
    return None if target is None else (current.finish_on - target).days
