"""Practices 6, 7 and 9: the critical path, floats, and the status held against the dates."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribstitch.planning.activities import floor_of
from ribstitch.planning.health.check import Found, Offender, in_days
from ribstitch.planning.health.look import Look, reaching
from ribstitch.planning.health.rules import LARGE_FLOAT_DAYS
from ribstitch.planning.model import Relation
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks, end_of


def look_at_dates(look: Look) -> Iterator[tuple[str, Found]]:
    """Yield what is found in the schedule's dates, by check."""
    yield "path_length_index", _path_length_index(look)
    yield "path_by_date", _by_date(look)
    yield from _floats(look)
    yield "dates_out_of_time", _out_of_time(look)
    yield "out_of_sequence", _out_of_sequence(look)


def _path_length_index(look: Look) -> Found:
    """
    Return the critical path length index.

    ``(length + float) / length``, with the length of what remains of the critical path
    from the as-of date to the finish, and the float of the finish against the target, both
    in working days of the project's calendar (NDIA Planning & Scheduling Excellence Guide).
    """
    target = look.plan.project.target_finish
    if target is None or not look.schedule.critical_path:
        return Found(0, 0)
    prepared, required = reaching(look.schedule.prepared, end_of(target))
    network = prepared.network
    calendars = [one.id for one in calendars_of(look.plan)]
    on = network.tables.on(np.array([calendars.index(look.plan.project.calendar)]))
    instants = np.array([floor_of(look.plan), look.schedule.project_finish, required])
    begun, finished, wanted = network.tables.work_before(on, instants - network.origin).tolist()
    return Found(days_from_ticks(wanted - begun), days_from_ticks(finished - begun))


def _by_date(look: Look) -> Found:
    """Return the tasks of the critical path that wait for a date of their own."""
    schedule, path = look.schedule, look.schedule.critical_path
    floor = floor_of(look.plan)
    found = tuple(
        Offender(look.activities[number].id, f"waits for {schedule.start_on(number)}")
        for number in path
        if look.activities[number].task is not None
        and look.activities[number].floor > floor
        and not schedule.drivers[number]
        and not look.activities[number].is_under_way
    )
    return Found(len(found), len(path), found)


def _floats(look: Look) -> Iterator[tuple[str, Found]]:
    """Yield tasks that can wait very long, and those that are too late already."""
    of = len(look.open_tasks)
    most = TICKS_PER_DAY * (look.limits[LARGE_FLOAT_DAYS.id] or 0)
    spare = [(int(look.floats[number]), look.activities[number].id) for number in look.open_tasks]
    large = sorted((one for one in spare if one[0] > most), key=lambda one: -one[0])
    negative = sorted((one for one in spare if one[0] < 0), key=lambda one: one[0])
    yield "large_floats", Found(
        len(large),
        of,
        tuple(Offender(name, f"{in_days(days_from_ticks(ticks))} to spare")
              for ticks, name in large),
    )  # fmt: skip
    yield "negative_floats", Found(
        len(negative),
        of,
        tuple(Offender(name, f"{in_days(days_from_ticks(-ticks))} too late")
              for ticks, name in negative),
    )  # fmt: skip


def _out_of_time(look: Look) -> Found:
    """Return what is planned before the as-of date, or done after it."""
    floor, over = floor_of(look.plan), end_of(look.plan.project.as_of)
    wrong, of = [], 0
    for number, one in enumerate(look.activities):
        if one.dropped:
            continue
        of += 1
        if not one.is_done and int(look.schedule.begin[number]) < floor:
            wrong.append(Offender(one.id, "planned before the as-of date"))
        elif max(one.started or 0, one.finished or 0) > over:
            wrong.append(Offender(one.id, "recorded after the as-of date"))
    return Found(len(wrong), of, tuple(wrong))


def _out_of_sequence(look: Look) -> Found:
    """Return tasks that began, though a task that should be finished first is still open."""
    still_open = {one.id for one in look.activities if not one.is_done and not one.dropped}
    begun = {look.activities[n].id for n in look.tasks if look.activities[n].started is not None}
    early: dict[str, list[str]] = {}
    for link in look.plan.links:
        waits = link.relation is Relation.FINISH_START and link.before in still_open
        if waits and link.after in begun:
            early.setdefault(link.after, []).append(look.name(look.schedule.number(link.before)))
    found = tuple(
        Offender(name, f"begun before {' and '.join(first)} was done")
        for name, first in early.items()
    )
    return Found(len(found), len(begun), found)
