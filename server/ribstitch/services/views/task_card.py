"""A task as it is worked with on the floor."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.charts.paper import plural
from ribstitch.planning.model import State, Task
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.check_lines import CheckLine, check_line
from ribstitch.services.views.hours_worked import HoursSum, hours_of_task
from ribstitch.services.views.lookups import float_days, is_critical, zone_name_of
from ribstitch.services.views.waiting import WaitsFor, can_begin, held_for, waiting_sentence


@dataclass(frozen=True, slots=True)
class TaskCard:
    """A task with what is computed of it and one sentence on how it stands."""

    id: str
    name: str
    zone: str | None
    zone_name: str
    trade: str | None
    state: State
    version: int
    days: float
    remaining_days: float | None
    start: date
    finish: date
    total_float_days: float
    critical: bool
    hazards: tuple[str, ...]
    held_reason: str
    held_for: list[WaitsFor]
    """What somebody else must do before held work goes on; the reason says the rest."""
    why: str
    started: date | None
    spread: Spread | None
    """When open work may be done; None where that was not asked, or is not known yet."""
    hours: HoursSum
    check: CheckLine | None
    """What has to be settled before it counts as done; None: nothing."""


def task_card(current: CurrentPlan, task_id: str) -> TaskCard:
    """
    Return the card of a task.

    Raises
    ------
    UnknownThingError
        If there is no such task.
    """
    thing_of(current.plan, current.versions, "task", task_id)
    return card_at(current, current.schedule.number(task_id))


def card_at(current: CurrentPlan, number: int, simulation: Simulation | None = None) -> TaskCard:
    """Return the card of the task with this number, with its spread where that is known."""
    task, schedule = current.plan.tasks[number], current.schedule
    remaining = task.status.remaining
    return TaskCard(
        id=task.id,
        name=task.name,
        zone=task.zone,
        zone_name=zone_name_of(current, number),
        trade=task.trade,
        state=task.status.state,
        version=current.versions["task"][task.id],
        days=days_from_ticks(task.duration),
        remaining_days=None if remaining is None else days_from_ticks(remaining),
        start=schedule.start_on(number),
        finish=schedule.finish_on_of(number),
        total_float_days=float_days(current, number),
        critical=is_critical(current, number),
        hazards=task.hazards,
        held_reason=task.status.held_reason,
        held_for=held_for(current, number),
        why=_standing(current, number, task),
        started=task.status.started,
        spread=None if simulation is None else simulation.spread_of(task.id),
        hours=hours_of_task(current, number),
        check=check_line(current, task.id),
    )


def urgency(current: CurrentPlan, number: int) -> tuple[int, int, int]:
    """Return the key that puts first what protects the finish."""
    return current.schedule.urgency(number)


def _standing(current: CurrentPlan, number: int, task: Task) -> str:
    """Say in a sentence how a task stands."""
    match task.status.state:
        case State.DONE:
            return f"Done on {task.status.finished}."
        case State.DROPPED:
            return "Dropped: it is not done at all."
        case State.HELD:
            reason = task.status.held_reason or "no reason given"
            until = f" until {task.status.held_until}" if task.status.held_until else ""
            return f"Held{until}: {reason}. {_room(current, number)}"
        case State.IN_WORK:
            left = days_from_ticks(
                task.duration if task.status.remaining is None else task.status.remaining
            )
            return (
                f"In work since {task.status.started}, {plural(round(left, 1), 'day')} left. "
                f"{_room(current, number)}"
            )
        case State.NOT_STARTED if can_begin(current, number):
            return f"Can be begun. {_room(current, number)}"
        case State.NOT_STARTED:
            return waiting_sentence(current, number)


def _room(current: CurrentPlan, number: int) -> str:
    """Say how long a task can wait."""
    days = float_days(current, number)
    if days < 0:
        return f"{plural(-days, 'day')} too late for a deadline."
    if days == 0:
        return "A day lost here is a day lost at the finish."
    if days < 1:
        return "It can wait less than a day before the finish moves."
    return f"It can wait {plural(int(days), 'day')} before the finish moves."
