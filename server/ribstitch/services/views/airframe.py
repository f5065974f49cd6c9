"""The airframe map: how far each zone has come, and what of it is away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.planning.model import State, Task
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import is_critical, vendor_names, zone_of
from ribstitch.services.views.progress import share_done
from ribstitch.services.views.stages import legs_of, stage_of


@dataclass(frozen=True, slots=True)
class AwayItem:
    """An item that is away from its zone."""

    send_out: str
    name: str
    vendor: str
    need_by: date | None


@dataclass(frozen=True, slots=True)
class AirframeZone:
    """How far a zone has come."""

    id: str
    name: str
    share_done: float
    tasks: int
    done: int
    in_work: int
    held: int
    critical: bool
    away: list[AwayItem]


@dataclass(frozen=True, slots=True)
class Airframe:
    """All zones, in the plan's order."""

    zones: list[AirframeZone]


def airframe(current: CurrentPlan) -> Airframe:
    """Return the state of every zone."""
    tasks: dict[str, list[Task]] = {zone.id: [] for zone in current.plan.zones}
    critical: set[str] = set()
    for number, task in enumerate(current.plan.tasks):
        if task.zone is None or task.status.state is State.DROPPED:
            continue
        tasks[task.zone].append(task)
        if is_critical(current, number):
            critical.add(task.zone)
    away = _away(current)
    return Airframe(
        [
            AirframeZone(
                id=zone.id,
                name=zone.name or zone.id,
                share_done=share_done(tasks[zone.id]),
                tasks=len(tasks[zone.id]),
                done=_count(tasks[zone.id], State.DONE),
                in_work=_count(tasks[zone.id], State.IN_WORK),
                held=_count(tasks[zone.id], State.HELD),
                critical=zone.id in critical,
                away=away.get(zone.id, []),
            )
            for zone in current.plan.zones
        ]
    )


def _count(tasks: list[Task], state: State) -> int:
    return sum(task.status.state is state for task in tasks)


def _away(current: CurrentPlan) -> dict[str, list[AwayItem]]:
    """Return the items that are away, by zone."""
    found: dict[str, list[AwayItem]] = {}
    for item in current.plan.send_outs:
        if not stage_of(current, item).is_away:
            continue
        zone = zone_of(current, legs_of(current)[item.id][0])
        if zone is not None:
            need_by = current.send_out_graces[item.id].need_by
            vendor = vendor_names(current)[item.vendor]
            found.setdefault(zone, []).append(
                AwayItem(item.id, item.name or item.id, vendor, need_by)
            )
    return found
