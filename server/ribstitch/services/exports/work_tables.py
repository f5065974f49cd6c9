"""The tables of the work: tasks with their dates, the links between them, the crew."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ribstitch.money.labour import rate_on
from ribstitch.planning.model import State
from ribstitch.services.exports.table import Export, Row, in_days, yes_or_no
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import is_critical, zone_name_of


def _tasks(current: CurrentPlan) -> Iterator[Row]:
    """Yield the tasks in order of entry, with their dates as computed."""
    for number, task in enumerate(current.plan.tasks):
        low, _, high = task.duration_range or (None, None, None)
        left = task.status.remaining
        yield {
            "id": task.id,
            "name": task.name,
            "zone": task.zone,
            "zone_name": zone_name_of(current, number),
            "chapter": task.chapter,
            "trade": task.trade,
            "people": Decimal(task.people),
            "state": task.status.state.value,
            **_dates(current, number, task.status.state),
            "days": in_days(task.duration),
            "low_days": None if low is None else in_days(low),
            "high_days": None if high is None else in_days(high),
            "remaining_days": None if left is None else in_days(left),
            "calendar": current.plan.calendar_of_task(task),
            "milestone": None if task.milestone is None else task.milestone.value,
            "not_before": task.not_before,
            "deadline": task.deadline,
            "held_until": task.status.held_until,
            "held_reason": task.status.held_reason,
            "places": ", ".join(task.places),
            "hazards": ", ".join(task.hazards),
            "why": task.why,
            "notes": task.notes,
        }


def _dates(current: CurrentPlan, number: int, state: State) -> Row:
    """Return the dates of a task; none of what is dropped, no room for what is done."""
    schedule = current.schedule
    is_there, is_open = state is not State.DROPPED, state.is_open
    return {
        "start": schedule.start_on(number) if is_there else None,
        "finish": schedule.finish_on_of(number) if is_there else None,
        "late_start": schedule.late_start_on(number) if is_open else None,
        "late_finish": schedule.late_finish_on(number) if is_open else None,
        "total_float_days": in_days(int(schedule.total_float[number])) if is_open else None,
        "free_float_days": in_days(int(schedule.free_float[number])) if is_open else None,
        "critical": yes_or_no(is_open and is_critical(current, number)),
    }


def _links(current: CurrentPlan) -> Iterator[Row]:
    """Yield the plan's own links in order of entry."""
    names = {task.id: task.name for task in current.plan.tasks}
    drives = current.schedule.driving[: len(current.plan.links)].tolist()
    for link, is_driving in zip(current.plan.links, drives, strict=True):
        yield {
            "from": link.before,
            "from_name": names[link.before],
            "to": link.after,
            "to_name": names[link.after],
            "type": link.relation.value,
            "lag_days": in_days(link.lag),
            "lag_on": link.lag_on.value,
            "driving": yes_or_no(is_driving),
        }


def _crew(current: CurrentPlan) -> Iterator[Row]:
    """Yield the crew in order of entry."""
    for row in current.plan.crew:
        yield {
            "label": row.label,
            "trade": row.trade,
            "people": Decimal(row.people),
            "calendar": row.calendar or current.plan.project.calendar,
            "rate": rate_on(row, current.as_of),
            "project_currency": current.plan.project.currency,
        }


TASKS = Export(
    "tasks",
    (
        "id", "name", "zone", "zone_name", "chapter", "trade", "people", "state", "start",
        "finish", "late_start", "late_finish", "total_float_days", "free_float_days",
        "critical", "days", "low_days", "high_days", "remaining_days", "calendar", "milestone",
        "not_before", "deadline", "held_until", "held_reason", "places", "hazards", "why",
        "notes",
    ),
    _tasks,
)  # fmt: skip
LINKS = Export(
    "links",
    ("from", "from_name", "to", "to_name", "type", "lag_days", "lag_on", "driving"),
    _links,
)
CREW = Export(
    "crew",
    ("label", "trade", "people", "calendar", "rate", "project_currency"),
    _crew,
    money={"rate": "project_currency"},
)
