"""Refuse a plan that cannot be scheduled, naming the field and the value.

`check_plan` looks at every field on its own and at every reference; loops of links are
found when the network is built, because they can run through send-outs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.calendars import check_calendar
from ribstitch.planning.check_values import (
    FIRST_YEAR,
    LAST_YEAR,
    LONGEST,
    LONGEST_YEARS,
    check_date,
    check_duration,
    check_known,
    check_names,
    check_not_after,
    check_range,
    check_unique,
)
from ribstitch.planning.checks_crew import check_crew_links, check_expedites
from ribstitch.planning.checks_drawings import check_drawings
from ribstitch.planning.checks_money import check_money
from ribstitch.planning.checks_survey import SurveyIds, check_survey
from ribstitch.planning.checks_uncertain import check_uncertain
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.health.rules import check_limits
from ribstitch.planning.model import (
    ELAPSED,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    State,
    Task,
)
from ribstitch.planning.ticks import days_from_ticks

__all__ = [
    "FIRST_YEAR",
    "LAST_YEAR",
    "LONGEST",
    "LONGEST_YEARS",
    "check_date",
    "check_plan",
    "leg_field",
]

_LEGS = ("prepare", "ship_out", "customs_out", "intake", "approval", "lead",
         "ship_back", "customs_back", "accept", "return_leg")  # fmt: skip
_LEG_NAMES = {*_LEGS, "vendor_work", "return"}
_EVENTS = ("shipped", "arrived", "quoted", "approved", "left_vendor", "received")


def leg_field(leg: str) -> str:
    """Return the plan-file key of a leg's duration."""
    return "return_days" if leg == "return_leg" else f"{leg}_days"


@dataclass(frozen=True, slots=True)
class _Ids:
    """The ids that references can name."""

    calendars: set[str]
    zones: set[str]
    tasks: set[str]
    kinds: set[str]
    vendors: set[str]
    send_outs: set[str]
    places: set[str]


def check_plan(plan: Plan) -> None:
    """
    Refuse a plan whose fields or references make no sense.

    Raises
    ------
    InvalidValueError, DuplicateIdError, UnknownReferenceError, EmptyCalendarError
        `where` is the key path of the first fault in the plan file's own terms.
    """
    ids = _check_ids(plan)
    _check_project(plan, ids)
    _check_tasks(plan, ids)
    _check_links(plan, ids)
    check_crew_links(plan, ids.tasks, ids.places)
    check_expedites(plan, ids.tasks)
    _check_vendors_and_crew(plan, ids)
    _check_send_outs(plan, ids)
    check_money(plan, ids.tasks, ids.send_outs)
    check_uncertain(plan, ids.tasks, ids.send_outs)
    items = {one.id for one in plan.over_and_above}
    check_survey(plan, SurveyIds(ids.zones, ids.tasks, ids.send_outs, items))
    check_drawings(plan, ids.zones)


def _check_ids(plan: Plan) -> _Ids:
    """Check calendars, and that every id is used once; return those that can be named."""
    calendars = check_unique(plan.calendars, "calendars", "calendar")
    for number, calendar in enumerate(plan.calendars):
        check_calendar(calendar, f"calendars[{number}]")
    ids = _Ids(
        calendars=calendars | {ELAPSED.id},
        zones=check_unique(plan.zones, "zones", "zone"),
        tasks=check_unique(plan.tasks, "tasks", "task"),
        kinds=check_unique(plan.kinds, "kinds", "kind of send-out"),
        vendors=check_unique(plan.vendors, "vendors", "vendor"),
        send_outs=check_unique(plan.send_outs, "send_outs", "send-out"),
        places=check_unique(plan.places, "places", "place"),
    )
    check_unique(plan.expedites, "expedites", "expedite")
    check_unique(plan.risks, "risks", "risk")
    check_unique(plan.costs, "costs", "cost line")
    _check_leg_names(plan.tasks, ids.send_outs)
    return ids


def _check_tasks(plan: Plan, ids: _Ids) -> None:
    """Check tasks and what they name."""
    for number, task in enumerate(plan.tasks):
        where = f"tasks[{number}]"
        check_known(task.calendar, ids.calendars, f"{where}.calendar", "calendar")
        check_known(task.zone, ids.zones, f"{where}.zone", "zone")
        check_names(task.places, ids.places, f"{where}.places", "place")
        _check_task(task, plan.project.as_of, where)


def _check_links(plan: Plan, ids: _Ids) -> None:
    """Check that links tie two tasks that are there."""
    for number, link in enumerate(plan.links):
        where = f"links[{number}]"
        check_known(link.before, ids.tasks, f"{where}.from", "task")
        check_known(link.after, ids.tasks, f"{where}.to", "task")
        if link.before == link.after:
            raise InvalidValueError(where, f'"{link.before}" is linked to itself', link.before)
        check_duration(abs(link.lag), f"{where}.lag_days")


def _check_vendors_and_crew(plan: Plan, ids: _Ids) -> None:
    """Check who works, on which calendar, and what a vendor takes."""
    for number, vendor in enumerate(plan.vendors):
        where = f"vendors[{number}]"
        check_known(vendor.calendar, ids.calendars, f"{where}.calendar", "calendar")
        check_names(vendor.kinds, ids.kinds, f"{where}.kinds", "kind of send-out")
    for number, crew in enumerate(plan.crew):
        check_known(crew.calendar, ids.calendars, f"crew[{number}].calendar", "calendar")
        if crew.people < 0:
            raise InvalidValueError(
                f"crew[{number}].people", f"{crew.people} people cannot be", crew.people
            )


def _check_send_outs(plan: Plan, ids: _Ids) -> None:
    """Check send-outs and what they name."""
    for number, item in enumerate(plan.send_outs):
        where = f"send_outs[{number}]"
        check_known(item.vendor, ids.vendors, f"{where}.vendor", "vendor")
        for key, tasks in (("after", item.after), ("before", item.before)):
            for place, task_id in enumerate(tasks):
                check_known(task_id, ids.tasks, f"{where}.{key}[{place}]", "task")
        check_known(item.trip_of, ids.send_outs, f"{where}.trip_of", "send-out")
        _check_send_out(item, plan.project.as_of, where)
    _check_trips(plan.send_outs)


def _check_leg_names(tasks: Sequence[Task], send_outs: set[str]) -> None:
    """Refuse a task whose id is that of a leg, as in ``S1/accept``."""
    for number, task in enumerate(tasks):
        send_out, _, leg = task.id.rpartition("/")
        if send_out in send_outs and leg in _LEG_NAMES:
            raise InvalidValueError(
                f"tasks[{number}].id",
                f'"{task.id}" is the name of a leg of the send-out "{send_out}"',
                task.id,
            )


def _check_project(plan: Plan, ids: _Ids) -> None:
    """Check the project's own fields."""
    project = plan.project
    for key in ("start", "as_of", "target_finish"):
        check_date(getattr(project, key), f"project.{key}")
    check_known(project.calendar, ids.calendars, "project.calendar", "calendar")
    check_limits(dict(project.health_limits), "project.health_limits")


def _check_task(task: Task, as_of: date, where: str) -> None:
    """Check one task and its status."""
    check_duration(task.duration, f"{where}.days")
    for key in ("not_before", "deadline"):
        check_date(getattr(task, key), f"{where}.{key}")
    if task.milestone is not None and task.duration:
        days = days_from_ticks(task.duration)
        raise InvalidValueError(
            f"{where}.days", f'"{task.id}" is a milestone, so it cannot take {days:g} days', days
        )
    check_range(task.duration_range, f"{where}.days_range")
    if task.people < 0:
        raise InvalidValueError(f"{where}.people", f"{task.people} people cannot be", task.people)
    _check_status(task, as_of, f"{where}.status")


def _check_status(task: Task, as_of: date, where: str) -> None:
    """Check that a status is true at the as-of date and whole."""
    status = task.status
    for key in ("started", "finished", "held_until"):
        check_date(getattr(status, key), f"{where}.{key}")
    for key in ("started", "finished"):
        check_not_after(getattr(status, key), as_of, f"{where}.{key}", task.id)
    if status.started and status.finished and status.finished < status.started:
        raise InvalidValueError(
            f"{where}.finished",
            f'"{task.id}" finished ({status.finished}) before it started ({status.started})',
            status.finished,
        )
    if status.remaining is not None:
        check_duration(status.remaining, f"{where}.remaining_days")
    needs = {
        State.NOT_STARTED: (None, ("started", "finished")),
        State.IN_WORK: ("started", ("finished",)),
        State.HELD: (None, ("finished",)),
        State.DONE: ("finished", ()),
        State.DROPPED: (None, ()),
    }
    needed, refused = needs[status.state]
    if needed is not None and getattr(status, needed) is None:
        raise InvalidValueError(
            f"{where}.{needed}", f'"{task.id}" is {status.state}, so it needs a date here', None
        )
    for key in refused:
        if getattr(status, key) is not None:
            raise InvalidValueError(
                f"{where}.{key}",
                f'"{task.id}" is {status.state}, so there can be no date here',
                getattr(status, key),
            )


def _check_send_out(item: SendOut, as_of: date, where: str) -> None:
    """Check one send-out's legs and actual dates."""
    for leg in _LEGS:
        check_duration(getattr(item, leg), f"{where}.{leg_field(leg)}")
    status = item.status
    if status.accepted and status.rejected:
        raise InvalidValueError(
            f"{where}.status.rejected", f'"{item.id}" is accepted already', status.rejected
        )
    for key in (*_EVENTS, "accepted", "rejected", "returned"):
        day: date | None = getattr(status, key)
        check_date(day, f"{where}.status.{key}")
        check_not_after(day, as_of, f"{where}.status.{key}", item.id)
    ended = "rejected" if status.rejected else "accepted"
    if item.source is Source.EXCHANGE:
        _check_order(status, _EVENTS[:2], where)
        _check_order(status, (*_EVENTS[2:], ended), where)
    else:
        _check_order(status, (*_EVENTS, ended), where)
    check_date(status.promised, f"{where}.status.promised")
    for number, contact in enumerate(item.contacts):
        check_date(contact.on, f"{where}.contacts[{number}].on")
        check_not_after(contact.on, as_of, f"{where}.contacts[{number}].on", item.id)


def _check_order(status: SendOutStatus, events: Sequence[str], where: str) -> None:
    """Refuse an actual date that is before the one of an earlier event."""
    last: tuple[str, date] | None = None
    for key in events:
        day: date | None = getattr(status, key)
        if day is None:
            continue
        if last is not None and day < last[1]:
            raise InvalidValueError(
                f"{where}.status.{key}", f"{day} is before {last[0]} ({last[1]})", day
            )
        last = (key, day)


def _check_trips(send_outs: Sequence[SendOut]) -> None:
    """Refuse trips that run in a circle, or two further trips of one send-out."""
    parents = {item.id: item.trip_of for item in send_outs}
    seen: dict[str, str] = {}
    for number, item in enumerate(send_outs):
        if item.trip_of is None:
            continue
        where = f"send_outs[{number}].trip_of"
        if item.trip_of in seen:
            raise InvalidValueError(
                where, f'"{seen[item.trip_of]}" is the further trip of "{item.trip_of}" already',
                item.trip_of,
            )  # fmt: skip
        seen[item.trip_of] = item.id
        walk: str | None = item.trip_of
        steps = 0
        while walk is not None and steps <= len(send_outs):
            walk, steps = parents.get(walk), steps + 1
        if walk is not None:
            raise InvalidValueError(where, f'the trips of "{item.id}" run in a circle', item.id)
