"""What is still open: work, items that are away, decisions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ribstitch.planning.model import Decision, Task
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import zone_names


@dataclass(frozen=True, slots=True)
class OpenItem:
    """One thing that is open."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class OpenGroup:
    """What is open of one sort, such as the work in a zone."""

    title: str
    items: list[OpenItem]


def open_items(current: CurrentPlan) -> list[OpenGroup]:
    """Return the list, zone by zone and then what is no work; nothing empty is in it."""
    return [group for group in _groups(current) if group.items]


def _groups(current: CurrentPlan) -> Iterator[OpenGroup]:
    plan = current.plan
    names = zone_names(current)
    tasks = [task for task in plan.tasks if _is_open(task)]
    for zone in (*names, None):
        title = "Work in no zone" if zone is None else f"Work: {names[zone]}"
        yield OpenGroup(title, [OpenItem(one.id, one.name) for one in tasks if one.zone == zone])
    open_legs = current.schedule.prepared.expansion.open_legs
    away = [one for one in plan.send_outs if one.id in open_legs]
    yield OpenGroup("Items not accepted yet", [OpenItem(one.id, one.name) for one in away])
    undecided = [one for one in plan.findings if one.treatment is None and not one.dropped]
    yield OpenGroup(
        "Findings without a decision",
        [OpenItem(one.id, one.title or one.seen) for one in undecided],
    )
    waiting = [one for one in plan.over_and_above if one.state is Decision.WAITING]
    yield OpenGroup("Waiting for the owner's yes", [OpenItem(one.id, one.name) for one in waiting])


def _is_open(task: Task) -> bool:
    return task.milestone is None and task.status.state.is_open
