"""The chain that sets the finish, step by step, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from ribstitch.charts.paper import plural
from ribstitch.planning.model import LagOn, Link, Relation, State
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.crew_words import taken_from
from ribstitch.services.views.lookups import (
    activity_name,
    crew_link_between,
    send_outs,
    task_at,
    zone_name_of,
)
from ribstitch.services.views.stages import place_words, stage_of


@dataclass(frozen=True, slots=True)
class ChainStep:
    """One activity of a chain, and why it stands where it does."""

    id: str
    name: str
    zone_name: str
    start: date
    finish: date
    sentence: str
    in_work: bool
    """Whether it is a task that has been begun, and neither held nor finished."""


def critical_chain(current: CurrentPlan) -> list[ChainStep]:
    """Return the critical path, first to last."""
    path = current.schedule.critical_path
    links = _links_between(current, path)
    steps = []
    for place, number in enumerate(path):
        before = path[place - 1] if place else None
        sentence = _first(current, number)
        if before is not None:
            sentence = _follows(current, before, number, links.get((before, number)))
        if place == len(path) - 1:
            sentence += " This sets the finish."
        steps.append(step(current, number, sentence))
    return steps


def step(current: CurrentPlan, number: int, sentence: str) -> ChainStep:
    """Return an activity with its dates and a sentence."""
    schedule, task = current.schedule, task_at(current, number)
    return ChainStep(
        id=schedule.activities[number].id,
        name=activity_name(current, number),
        zone_name=zone_name_of(current, number),
        start=schedule.start_on(number),
        finish=schedule.finish_on_of(number),
        sentence=sentence,
        in_work=task is not None and task.status.state is State.IN_WORK,
    )


def _first(current: CurrentPlan, number: int) -> str:
    """Say why the first activity of the chain stands where it does."""
    one = current.schedule.activities[number]
    if one.send_out is not None:
        item = send_outs(current)[one.send_out]
        if stage_of(current, item).number == number:
            where = place_words(current, item)
            return f"{where[0].upper()}{where[1:]}."
    task = task_at(current, number)
    if task is not None and task.status.started is not None:
        left = plural(round(days_from_ticks(one.work), 1), "day")
        return f"Begun on {task.status.started}, {left} left."
    if task is not None and task.not_before is not None and task.not_before > current.as_of:
        return f"Not before {task.not_before}."
    return f"Can begin on {current.schedule.start_on(number)}."


def _follows(current: CurrentPlan, before: int, number: int, link: Link | None) -> str:
    """Say how an activity hangs on the one before it."""
    name, schedule = activity_name(current, before), current.schedule
    crew = crew_link_between(current, before, number)
    if crew is not None:
        first = taken_from(current.plan, crew, name)
        return f"Waits for {first} (until {schedule.finish_on_of(before)})."
    finished = f"{name} is finished ({schedule.finish_on_of(before)})"
    if link is None:
        return f"Begins once {finished}; what lay between was dropped."
    begun = f"{name} has begun ({schedule.start_on(before)})"
    match link.relation:
        case Relation.FINISH_START:
            return f"Begins {_lag(link) or 'once'} {finished}."
        case Relation.START_START:
            return f"Begins {_lag(link) or 'once'} {begun}."
        case Relation.FINISH_FINISH:
            return f"Cannot finish until {_lag(link)} {finished}.".replace("  ", " ")
        case Relation.START_FINISH:
            return f"Cannot finish until {_lag(link)} {begun}.".replace("  ", " ")


def _lag(link: Link) -> str:
    """Say how much time lies between two activities, as in ``3 working days after``."""
    if link.lag == 0:
        return ""
    kind = "elapsed day" if link.lag_on is LagOn.ELAPSED else "working day"
    days = plural(days_from_ticks(abs(link.lag)), kind)
    return f"{days} {'after' if link.lag > 0 else 'before'}"


def _links_between(current: CurrentPlan, path: Sequence[int]) -> dict[tuple[int, int], Link]:
    """Return for each step of a chain the driving link that it goes along."""
    schedule = current.schedule
    steps = set(pairwise(path))
    found: dict[tuple[int, int], Link] = {}
    for place, link in enumerate(schedule.prepared.expansion.links):
        if schedule.driving[place]:
            ends = schedule.number(link.before), schedule.number(link.after)
            if ends in steps:
                found.setdefault(ends, link)
    return found
