"""Names and places that many views look up, found once per plan."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ribstitch.charts.bars import name_of
from ribstitch.charts.lanes import NO_ZONE, zones_of_send_outs
from ribstitch.planning.model import CrewLink, SendOut, Task
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.services.forecast import CurrentPlan


def zone_names(current: CurrentPlan) -> Mapping[str, str]:
    """Return the name of each zone by id."""
    return current.derived(
        "zone_names", lambda: {zone.id: zone.name or zone.id for zone in current.plan.zones}
    )


def vendor_names(current: CurrentPlan) -> Mapping[str, str]:
    """Return the name of each vendor by id."""
    return current.derived(
        "vendor_names", lambda: {one.id: one.name or one.id for one in current.plan.vendors}
    )


def send_outs(current: CurrentPlan) -> Mapping[str, SendOut]:
    """Return the send-outs by id."""
    return current.derived("send_outs", lambda: {one.id: one for one in current.plan.send_outs})


def superseded(current: CurrentPlan) -> frozenset[str]:
    """Return the send-outs whose item went out again on a further trip."""
    return current.derived(
        "superseded",
        lambda: frozenset(one.trip_of for one in current.plan.send_outs if one.trip_of),
    )


def task_at(current: CurrentPlan, number: int) -> Task | None:
    """Return the task that an activity is, or None where it is a leg of a send-out."""
    return current.plan.tasks[number] if number < len(current.plan.tasks) else None


def zone_of(current: CurrentPlan, number: int) -> str | None:
    """Return the zone of an activity; a leg belongs where its item does."""
    task = task_at(current, number)
    if task is not None:
        return task.zone
    homes = current.derived("homes", lambda: zones_of_send_outs(current.plan))
    home = homes[current.schedule.activities[number].send_out or ""]
    return None if home == NO_ZONE else home


def zone_name_of(current: CurrentPlan, number: int) -> str:
    """Return the name of an activity's zone, empty where it has none."""
    zone = zone_of(current, number)
    return zone_names(current)[zone] if zone else ""


def activity_name(current: CurrentPlan, number: int) -> str:
    """Return what an activity is called."""
    names: list[str] = current.derived(
        "activity_names",
        lambda: [name_of(current.schedule, one) for one in range(len(current.schedule.activities))],
    )
    return names[number]


def link_keys(current: CurrentPlan) -> tuple[str, ...]:
    """Return the keys of the plan's own links; they stand first among those scheduled."""
    return current.derived("link_keys", lambda: tuple(current.versions["link"]))


def people_of_trade(current: CurrentPlan, trade: str | None) -> str:
    """Return who works at a trade: the labels of the crew, or the trade's own name."""
    if trade is None:
        return ""
    labels = [one.label for one in current.plan.crew if one.trade == trade and one.label]
    return " or ".join(labels) or trade


def crew_link_between(current: CurrentPlan, before: int, after: int) -> CrewLink | None:
    """
    Return the crew link along which one activity sets the date of another.

    None where they are tied by the work itself: then that is why the one waits.
    """

    def find() -> dict[tuple[int, int], CrewLink | None]:
        schedule = current.schedule
        expansion, number = schedule.prepared.expansion, schedule.prepared.number
        found: dict[tuple[int, int], CrewLink | None] = {}
        for place in np.flatnonzero(schedule.driving).tolist():
            link = expansion.links[place]
            ends = number[link.before], number[link.after]
            found.setdefault(ends, expansion.crew_link(place))
        return found

    return current.derived("driving_crew_links", find).get((before, after))


def float_days(current: CurrentPlan, number: int) -> float:
    """Return the total float of an activity. [days]"""
    return days_from_ticks(int(current.schedule.total_float[number]))


def is_critical(current: CurrentPlan, number: int) -> bool:
    """
    Return whether an activity is on the critical path, or has no float.

    Across different calendars, an activity of the chain that sets the finish can have a
    little float of its own: the next one would not have worked that day anyway.
    """
    return number in critical_numbers(current)


def critical_numbers(current: CurrentPlan) -> frozenset[int]:
    """Return all activities for which that is so."""

    def find() -> frozenset[int]:
        schedule = current.schedule
        everything = range(len(schedule.activities))
        return frozenset(schedule.critical_path) | set(filter(schedule.is_critical, everything))

    return current.derived("critical_numbers", find)
