"""Refuse a plan that cannot be scheduled, naming the field and the value.

`check_plan` looks at every field on its own and at every reference; loops of links are
found when the network is built, because they can run through send-outs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.calendars import check_calendar
from ribstitch.planning.errors import (
    DuplicateIdError,
    InvalidValueError,
    UnknownReferenceError,
)
from ribstitch.planning.model import (
    ELAPSED,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    State,
    Task,
)
from ribstitch.planning.ticks import TICKS_PER_DAY, days_from_ticks

LONGEST_YEARS = 20
LONGEST = LONGEST_YEARS * 366 * TICKS_PER_DAY
"""No single duration may be longer: 20 years. [ticks]"""
FIRST_YEAR, LAST_YEAR = 1900, 2199

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
    vendors: set[str]
    send_outs: set[str]


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
    _check_vendors_and_crew(plan, ids)
    _check_send_outs(plan, ids)
    _check_risks_and_costs(plan, ids)


def _check_ids(plan: Plan) -> _Ids:
    """Check calendars, and that every id is used once; return those that can be named."""
    calendars = _unique(plan.calendars, "calendars", "calendar")
    for number, calendar in enumerate(plan.calendars):
        check_calendar(calendar, f"calendars[{number}]")
    ids = _Ids(
        calendars=calendars | {ELAPSED.id},
        zones=_unique(plan.zones, "zones", "zone"),
        tasks=_unique(plan.tasks, "tasks", "task"),
        vendors=_unique(plan.vendors, "vendors", "vendor"),
        send_outs=_unique(plan.send_outs, "send_outs", "send-out"),
    )
    _unique(plan.places, "places", "place")
    _unique(plan.risks, "risks", "risk")
    _unique(plan.costs, "costs", "cost line")
    _check_leg_names(plan.tasks, ids.send_outs)
    return ids


def _check_tasks(plan: Plan, ids: _Ids) -> None:
    """Check tasks and what they name."""
    for number, task in enumerate(plan.tasks):
        where = f"tasks[{number}]"
        _known(task.calendar, ids.calendars, f"{where}.calendar", "calendar")
        _known(task.zone, ids.zones, f"{where}.zone", "zone")
        _check_task(task, plan.project.as_of, where)


def _check_links(plan: Plan, ids: _Ids) -> None:
    """Check that links tie two tasks that are there."""
    for number, link in enumerate(plan.links):
        where = f"links[{number}]"
        _known(link.before, ids.tasks, f"{where}.from", "task")
        _known(link.after, ids.tasks, f"{where}.to", "task")
        if link.before == link.after:
            raise InvalidValueError(where, f'"{link.before}" is linked to itself', link.before)
        _duration(abs(link.lag), f"{where}.lag_days")


def _check_vendors_and_crew(plan: Plan, ids: _Ids) -> None:
    """Check who works, and on which calendar."""
    for number, vendor in enumerate(plan.vendors):
        _known(vendor.calendar, ids.calendars, f"vendors[{number}].calendar", "calendar")
    for number, crew in enumerate(plan.crew):
        _known(crew.calendar, ids.calendars, f"crew[{number}].calendar", "calendar")
        if crew.people < 0:
            raise InvalidValueError(
                f"crew[{number}].people", f"{crew.people} people cannot be", crew.people
            )


def _check_send_outs(plan: Plan, ids: _Ids) -> None:
    """Check send-outs and what they name."""
    for number, item in enumerate(plan.send_outs):
        where = f"send_outs[{number}]"
        _known(item.vendor, ids.vendors, f"{where}.vendor", "vendor")
        for key, tasks in (("after", item.after), ("before", item.before)):
            for place, task_id in enumerate(tasks):
                _known(task_id, ids.tasks, f"{where}.{key}[{place}]", "task")
        _known(item.trip_of, ids.send_outs, f"{where}.trip_of", "send-out")
        _check_send_out(item, plan.project.as_of, where)
    _check_trips(plan.send_outs)


def _check_risks_and_costs(plan: Plan, ids: _Ids) -> None:
    """Check risks, and what they and the cost lines name."""
    for number, risk in enumerate(plan.risks):
        _known(risk.task, ids.tasks, f"risks[{number}].task", "task")
        if not 0 <= risk.probability <= 1:
            raise InvalidValueError(
                f"risks[{number}].probability",
                f"{risk.probability:g} is not between 0 and 1",
                risk.probability,
            )
        _duration(risk.impact, f"risks[{number}].impact_days")
    for number, cost in enumerate(plan.costs):
        _known(cost.task, ids.tasks, f"costs[{number}].task", "task")
        _known(cost.send_out, ids.send_outs, f"costs[{number}].send_out", "send-out")


def check_date(day: date | None, where: str) -> None:
    """
    Refuse a date outside the years that are computed; None is no date.

    Raises
    ------
    InvalidValueError
        With `where` as the key path of the date.
    """
    if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InvalidValueError(
            where, f"{day} is not between the years {FIRST_YEAR} and {LAST_YEAR}", day
        )


def _unique(things: Iterable[object], where: str, kind: str) -> set[str]:
    """Return the ids of things, refusing one that is used twice or is empty."""
    seen: set[str] = set()
    for number, thing in enumerate(things):
        name: str = getattr(thing, "id")  # noqa: B009 - four unrelated dataclasses share it
        if not name.strip():
            raise InvalidValueError(f"{where}[{number}].id", "an id cannot be empty", name)
        if name in seen:
            raise DuplicateIdError(f"{where}[{number}].id", kind, name)
        seen.add(name)
    return seen


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


def _known(name: str | None, known: set[str], where: str, kind: str) -> None:
    """Refuse a name that is not among the known ones; None means not given."""
    if name is not None and name not in known:
        raise UnknownReferenceError(where, kind, name)


def _duration(ticks: int, where: str) -> None:
    """Refuse a duration below zero or beyond twenty years."""
    days = days_from_ticks(ticks)
    if ticks < 0:
        raise InvalidValueError(where, f"{days:g} days is less than nothing", days)
    if ticks > LONGEST:
        raise InvalidValueError(where, f"{days:g} days is more than {LONGEST_YEARS} years", days)


def _check_project(plan: Plan, ids: _Ids) -> None:
    """Check the project's own fields."""
    project = plan.project
    for key in ("start", "as_of", "target_finish"):
        check_date(getattr(project, key), f"project.{key}")
    _known(project.calendar, ids.calendars, "project.calendar", "calendar")


def _check_task(task: Task, as_of: date, where: str) -> None:
    """Check one task and its status."""
    _duration(task.duration, f"{where}.days")
    for key in ("not_before", "deadline"):
        check_date(getattr(task, key), f"{where}.{key}")
    if task.milestone is not None and task.duration:
        days = days_from_ticks(task.duration)
        raise InvalidValueError(
            f"{where}.days", f'"{task.id}" is a milestone, so it cannot take {days:g} days', days
        )
    if task.duration_range is not None:
        low, likely, high = task.duration_range
        _duration(low, f"{where}.days_range[0]")
        _duration(high, f"{where}.days_range[2]")
        if not low <= likely <= high:
            raise InvalidValueError(
                f"{where}.days_range", "low, likely and high must rise", task.duration_range
            )
    if task.people < 0:
        raise InvalidValueError(f"{where}.people", f"{task.people} people cannot be", task.people)
    _check_status(task, as_of, f"{where}.status")


def _check_status(task: Task, as_of: date, where: str) -> None:
    """Check that a status is true at the as-of date and whole."""
    status = task.status
    for key in ("started", "finished", "held_until"):
        check_date(getattr(status, key), f"{where}.{key}")
    for key in ("started", "finished"):
        _not_after(getattr(status, key), as_of, f"{where}.{key}", task.id)
    if status.started and status.finished and status.finished < status.started:
        raise InvalidValueError(
            f"{where}.finished",
            f'"{task.id}" finished ({status.finished}) before it started ({status.started})',
            status.finished,
        )
    if status.remaining is not None:
        _duration(status.remaining, f"{where}.remaining_days")
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


def _not_after(day: date | None, as_of: date, where: str, name: str) -> None:
    """Refuse an actual date (of the thing with this id) later than the as-of date."""
    if day is not None and day > as_of:
        raise InvalidValueError(where, f'{day} of "{name}" is after the as-of date {as_of}', day)


def _check_send_out(item: SendOut, as_of: date, where: str) -> None:
    """Check one send-out's legs and actual dates."""
    for leg in _LEGS:
        _duration(getattr(item, leg), f"{where}.{leg_field(leg)}")
    status = item.status
    if status.accepted and status.rejected:
        raise InvalidValueError(
            f"{where}.status.rejected", f'"{item.id}" is accepted already', status.rejected
        )
    for key in (*_EVENTS, "accepted", "rejected", "returned"):
        day: date | None = getattr(status, key)
        check_date(day, f"{where}.status.{key}")
        _not_after(day, as_of, f"{where}.status.{key}", item.id)
    ended = "rejected" if status.rejected else "accepted"
    if item.source is Source.EXCHANGE:
        _check_order(status, _EVENTS[:2], where)
        _check_order(status, (*_EVENTS[2:], ended), where)
    else:
        _check_order(status, (*_EVENTS, ended), where)
    check_date(status.promised, f"{where}.status.promised")
    for number, contact in enumerate(item.contacts):
        check_date(contact.on, f"{where}.contacts[{number}].on")
        _not_after(contact.on, as_of, f"{where}.contacts[{number}].on", item.id)


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
