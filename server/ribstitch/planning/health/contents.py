"""Practices 1, 3, 4, 5 and 8: what the plan says of each task and each item away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from ribstitch.planning.health.check import Found, Offender, in_days
from ribstitch.planning.health.crew_hours import overloaded
from ribstitch.planning.health.look import Look
from ribstitch.planning.health.rules import LONG_TASK_DAYS
from ribstitch.planning.model import Source, Task
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks


def look_at_contents(look: Look) -> Iterator[tuple[str, Found]]:
    """Yield what is found in tasks and send-outs, by check."""
    tasks = [look.task(number) for number in look.open_tasks]

    def those(is_meant: Callable[[Task], bool], note: Callable[[Task], str] = _nothing) -> Found:
        found = tuple(Offender(one.id, note(one)) for one in tasks if is_meant(one))
        return Found(len(found), len(tasks), found)

    names = Counter(_plain(one.name) for one in tasks)
    yield (
        "names",
        those(
            lambda one: not _plain(one.name) or names[_plain(one.name)] > 1,
            lambda one: (
                f"{names[_plain(one.name)]} tasks have it" if _plain(one.name) else "no name"
            ),
        ),
    )
    yield "cost_codes", those(lambda one: one.chapter is None)
    yield "no_zone", those(lambda one: one.zone is None)
    yield "no_range", those(lambda one: one.duration_range is None)
    most = TICKS_PER_DAY * (look.limits[LONG_TASK_DAYS.id] or 0)
    yield (
        "long_tasks",
        those(lambda one: one.duration > most, lambda one: in_days(days_from_ticks(one.duration))),
    )
    yield "no_crew", _without_crew(look, those)
    yield "over_crew", overloaded(look)
    yield "loose_send_outs", _loose_send_outs(look)


def _nothing(_: Task) -> str:
    return ""


def _plain(name: str) -> str:
    """Return a name as it is compared."""
    return " ".join(name.casefold().split())


def _without_crew(look: Look, those: Callable[..., Found]) -> Found:
    """
    Return tasks that no trade of the crew does and no cost line pays for.

    What takes elapsed time and names no trade (drying, curing) needs nobody.
    """
    by_itself = {one.id for one in calendars_of(look.plan) if one.elapsed}
    trades = {one.trade for one in look.plan.crew if one.people > 0}
    paid = {one.task for one in look.plan.costs}
    has_crew = bool(look.plan.crew)

    def has_nobody(one: Task) -> bool:
        if one.id in paid:
            return False
        if one.trade is None:
            return look.plan.calendar_of_task(one) not in by_itself
        return has_crew and one.trade not in trades

    def note(one: Task) -> str:
        return "no trade" if one.trade is None else f'nobody has the trade "{one.trade}"'

    return those(has_nobody, note)


def _loose_send_outs(look: Look) -> Found:
    """Return items still to come back that nothing frees or nothing waits for."""
    ties = look.ties
    legs: dict[str, list[int]] = {}
    for number, one in enumerate(look.activities):
        if one.send_out is not None:
            legs.setdefault(one.send_out, []).append(number)
    loose = []
    still_open = look.schedule.prepared.expansion.open_legs
    for item in look.plan.send_outs:
        if item.id not in still_open:
            continue
        mine = legs[item.id]
        is_here = all(look.activities[one].started is None for one in mine)
        is_freed = item.source is Source.IN_HAND or bool(ties.before[mine].any())
        if not ties.after[mine].any():
            loose.append(Offender(item.id, "nothing waits for it"))
        elif is_here and not is_freed:
            loose.append(Offender(item.id, "no task frees it"))
    return Found(len(loose), len(still_open), tuple(loose))
