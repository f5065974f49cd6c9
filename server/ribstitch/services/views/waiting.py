"""What keeps a task from being begun, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ribstitch.planning.holding import Standing
from ribstitch.planning.model import CrewLinkKind, Decision, Relation, SendOut, State
from ribstitch.planning.ticks import end_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.holds import holding_of, told
from ribstitch.services.views.crew_words import taken_from
from ribstitch.services.views.lookups import (
    activity_name,
    crew_link_between,
    people_of_trade,
    send_outs,
    task_at,
    vendor_names,
)
from ribstitch.services.views.stages import place_words, stage_of

_START_LINKS = (Relation.FINISH_START, Relation.START_START)


@dataclass(frozen=True, slots=True)
class WaitsFor:
    """One thing that keeps a task from being begun, and who must act."""

    id: str
    name: str
    """The other work or item; where the crew does that first, in those words."""
    who: str
    """Who must act; empty where the name says so already."""


def blockers(current: CurrentPlan, number: int) -> tuple[int, ...]:
    """
    Return the activities that keep another one from being begun at the as-of date.

    Those are the ones whose links set its start. A milestone (or what was dropped) is
    nobody's work: what keeps it waiting stands in its place. What was finished today
    keeps nothing waiting, though the plan counts on it from tomorrow.
    """
    found: dict[int, None] = {}
    todo, seen = list(_start_drivers(current)[number]), {number}
    while todo:
        at = todo.pop(0)
        if at in seen:
            continue
        seen.add(at)
        if _is_passed_through(current, at):
            todo += _start_drivers(current)[at]
        else:
            found[at] = None
    return tuple(found)


def can_begin(current: CurrentPlan, number: int) -> bool:
    """Return whether a task that has not begun could be begun at the as-of date."""
    floor = current.schedule.activities[number].floor
    is_free = floor < end_of(current.as_of) and not blockers(current, number)
    return is_free and not _open_checks(current, number)


def waits_for(current: CurrentPlan, number: int) -> list[WaitsFor]:
    """Return what a task waits for, the last to come first, and who must act."""
    waiting = [
        WaitsFor(
            current.schedule.activities[one].id,
            _named(current, one, number),
            _who_to_ask(current, one, number),
        )
        for one in by_finish(current, blockers(current, number))
    ]
    task = task_at(current, number)
    if waiting or task is None:
        return waiting
    checks = _open_checks(current, number)
    waiting += [WaitsFor(one.task.id, told(one), "") for one in checks]
    if not waiting and task.not_before is not None:
        waiting.append(WaitsFor(task.id, f"not before {task.not_before}", "the calendar"))
    return waiting


def held_for(current: CurrentPlan, number: int) -> list[WaitsFor]:
    """
    Return what somebody else must do before held work goes on, and who that is.

    The owner, where a price that belongs to the work or to its item waits for a yes; who has
    the item that the work waits for, where it is away. Otherwise the reason says it alone.
    """
    task = task_at(current, number)
    if task is None or task.status.state is not State.HELD:
        return []
    items = {one.id: one for one in current.plan.send_outs if task.id in one.before}
    asked = [
        WaitsFor(one.id, f"{one.name or one.id} waits for a yes", "the owner")
        for one in current.plan.over_and_above
        if one.state is Decision.WAITING and (one.task == task.id or one.send_out in items)
    ]
    away = [
        WaitsFor(one.id, f"{one.name or one.id}: {place_words(current, one)}", _has(current, one))
        for one in items.values()
        if stage_of(current, one).is_away
    ]
    return asked + away


def waiting_sentence(current: CurrentPlan, number: int) -> str:
    """Say what a task waits for."""
    waiting = by_finish(current, blockers(current, number))
    if not waiting:
        task = task_at(current, number)
        checks = _open_checks(current, number)
        if checks:
            return f"{told(checks[0])}."
        return f"Not before {task.not_before}." if task and task.not_before else ""
    first, rest = waiting[0], len(waiting) - 1
    more = f", and for {rest} more" if rest else ""
    return f"Waits for {_in_words(current, first, number)}{more}."


def _open_checks(current: CurrentPlan, number: int) -> tuple[Standing, ...]:
    """Return the checks on the way to a task that are not settled."""
    task = task_at(current, number)
    return () if task is None else holding_of(current).before_task(task.id)


def by_finish(current: CurrentPlan, numbers: Sequence[int]) -> list[int]:
    """Return activities, the last to finish first."""
    return sorted(numbers, key=lambda one: -int(current.schedule.finish[one]))


def who_acts(current: CurrentPlan, number: int) -> str:
    """Return who moves an activity on."""
    one = current.schedule.activities[number]
    task = task_at(current, number)
    if task is not None:
        return "time" if one.is_done else people_of_trade(current, task.trade)
    return _has(current, send_outs(current)[one.send_out or ""])


def _has(current: CurrentPlan, item: SendOut) -> str:
    """Return who moves an item on: whoever has it, or decides about it."""
    match stage_of(current, item).name:
        case "in shop" | "accept":
            return "the shop"
        case "approval":
            return "the owner"
        case "intake" | "vendor_work":
            return vendor_names(current)[item.vendor]
        case _:
            return "the carrier"


def _who_to_ask(current: CurrentPlan, blocker: int, number: int) -> str:
    """Return who moves a blocker on, unless it is named by its people."""
    link = crew_link_between(current, blocker, number)
    names_people = link is not None and link.kind is CrewLinkKind.TRADE
    return "" if names_people else who_acts(current, blocker)


def _named(current: CurrentPlan, blocker: int, number: int) -> str:
    """Return what a blocker is called, with the people or place that it keeps."""
    link = crew_link_between(current, blocker, number)
    name = activity_name(current, blocker)
    return name if link is None else taken_from(current.plan, link, name)


def _in_words(current: CurrentPlan, blocker: int, number: int) -> str:
    """Say what a blocker is and until when it blocks."""
    one = current.schedule.activities[blocker]
    if one.send_out is not None:
        item = send_outs(current)[one.send_out]
        return f"{item.name or item.id}: {place_words(current, item)}"
    name = _named(current, blocker, number)
    if one.is_done:
        return f"the time after {name} ({one.id}), until {current.schedule.start_on(number)}"
    task = task_at(current, blocker)
    if task is not None and task.status.state is State.HELD:
        reason = f": {task.status.held_reason}" if task.status.held_reason else ""
        return f"{name} ({one.id}), which is held{reason}"
    verb = "in work" if one.is_under_way else "planned"
    return f"{name} ({one.id}), {verb} until {current.schedule.finish_on_of(blocker)}"


def _is_passed_through(current: CurrentPlan, number: int) -> bool:
    """Return whether an activity is nobody's work and free to happen."""
    one = current.schedule.activities[number]
    nothing_to_do = one.task is not None and one.work == 0 and not one.is_done
    return nothing_to_do and not one.is_under_way and one.floor < end_of(current.as_of)


def _start_drivers(current: CurrentPlan) -> list[list[int]]:
    """Return for each activity those whose finish-start or start-start link sets its date."""

    def find() -> list[list[int]]:
        schedule = current.schedule
        found: list[list[int]] = [[] for _ in schedule.activities]
        links = schedule.prepared.expansion.links
        for place in np.flatnonzero(schedule.driving).tolist():
            link = links[place]
            before = schedule.number(link.before)
            over = schedule.activities[before].is_done and link.lag <= 0
            if link.relation in _START_LINKS and not over:
                found[schedule.number(link.after)].append(before)
        return found

    return current.derived("start_drivers", find)
