"""What-if cases: changes held beside the plan, compared with it.

A case is a tuple of changes. Applied, it gives another `Plan` and perhaps some delays,
scheduled like any other, so that a case can do nothing that the plan could not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from ribstitch.planning.activities import expand, late_legs_of_vendor
from ribstitch.planning.checks import check_date
from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.expediting import take_expedite
from ribstitch.planning.model import (
    Calendar,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    State,
    TaskStatus,
)
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY


@dataclass(frozen=True, slots=True)
class VendorLate:
    """All open send-outs of a vendor take longer, in days of the vendor's calendar."""

    vendor: str
    days: float


@dataclass(frozen=True, slots=True)
class SendOutLate:
    """One send-out takes longer, in days of the calendar of the leg that is late."""

    send_out: str
    days: float


@dataclass(frozen=True, slots=True)
class VendorSwapped:
    """A send-out that has not been shipped goes to another vendor."""

    send_out: str
    vendor: str
    lead_days: float | None = None
    """The other vendor's lead time; None keeps the quoted one."""


@dataclass(frozen=True, slots=True)
class TaskDropped:
    """A task is not done at all."""

    task: str


@dataclass(frozen=True, slots=True)
class BoughtAsExchange:
    """An exchange unit is bought instead of waiting for the item itself."""

    send_out: str
    lead_days: float
    """Days of the vendor's calendar from the order to leaving the vendor."""


@dataclass(frozen=True, slots=True)
class ExtraDays:
    """A calendar works on one more weekday (0 = Monday) in a range of dates."""

    calendar: str
    weekday: int
    first: date
    last: date
    hours: float


@dataclass(frozen=True, slots=True)
class ExpediteTaken:
    """A task or leg is done in fewer days, for the price of an expedite."""

    expedite: str
    days: float | None = None
    """How many days it takes off; None: all that is left of it."""


Change = (
    VendorLate
    | SendOutLate
    | VendorSwapped
    | TaskDropped
    | BoughtAsExchange
    | ExtraDays
    | ExpediteTaken
)


@dataclass(frozen=True, slots=True)
class Case:
    """A plan with changes applied."""

    plan: Plan
    delays: dict[str, int] = field(default_factory=dict)
    """Activities that take longer. [ticks]"""

    def schedule(self) -> Schedule:
        """Compute the case's schedule."""
        return schedule(self.plan, delays=self.delays)


def apply_changes(plan: Plan, changes: Sequence[Change]) -> Case:
    """
    Apply changes in order.

    Raises
    ------
    UnknownReferenceError, InvalidValueError
        If a change names what is not there or can no longer be done; `where` is the
        change's place, as in ``changes[0].vendor``.
    """
    delays: dict[str, int] = {}
    for number, change in enumerate(changes):
        where = f"changes[{number}]"
        match change:
            case VendorLate():
                _delay_vendor(plan, change, delays, where)
            case SendOutLate():
                item = _send_out(plan, change.send_out, where)
                legs = expand(plan).open_legs
                if item.id not in legs:
                    reason = "dropped" if item.dropped else "back and accepted"
                    raise InvalidValueError(
                        f"{where}.send_out", f'"{item.id}" is {reason}', item.id
                    )
                _delay(delays, legs[item.id].slip, change.days, where)
            case VendorSwapped():
                plan = _swap_vendor(plan, change, where)
            case TaskDropped():
                plan = _drop_task(plan, change.task, where)
            case BoughtAsExchange():
                plan = _buy_exchange(plan, change, where)
            case ExtraDays():
                plan = _work_extra_days(plan, change, where)
            case ExpediteTaken():
                plan = take_expedite(plan, change.expedite, change.days, where)
    return Case(plan, delays)


def _delay(delays: dict[str, int], leg: str, days: float, where: str) -> None:
    """Add a delay in days to a leg, rounded to the tick."""
    if not 0 <= days <= 3660:
        raise InvalidValueError(f"{where}.days", f"{days:g} is not between 0 and 3660 days", days)
    delays[leg] = delays.get(leg, 0) + round(days * TICKS_PER_DAY)


def _delay_vendor(plan: Plan, change: VendorLate, delays: dict[str, int], where: str) -> None:
    """Delay every open send-out of a vendor."""
    if change.vendor not in {vendor.id for vendor in plan.vendors}:
        raise UnknownReferenceError(f"{where}.vendor", "vendor", change.vendor)
    for leg in late_legs_of_vendor(plan, change.vendor, expand(plan).open_legs).values():
        _delay(delays, leg, change.days, where)


def _send_out(plan: Plan, send_out: str, where: str) -> SendOut:
    """Return a send-out by id."""
    for item in plan.send_outs:
        if item.id == send_out:
            return item
    raise UnknownReferenceError(f"{where}.send_out", "send-out", send_out)


def _with_send_out(plan: Plan, changed: SendOut) -> Plan:
    """Return the plan with one send-out changed."""
    items = tuple(changed if item.id == changed.id else item for item in plan.send_outs)
    return replace(plan, send_outs=items)


def _swap_vendor(plan: Plan, change: VendorSwapped, where: str) -> Plan:
    """Give a send-out that is still here to another vendor."""
    item = _send_out(plan, change.send_out, where)
    if change.vendor not in {vendor.id for vendor in plan.vendors}:
        raise UnknownReferenceError(f"{where}.vendor", "vendor", change.vendor)
    if item.status.shipped is not None or item.status.arrived is not None:
        raise InvalidValueError(
            f"{where}.send_out", f'"{item.id}" has left for its vendor already', item.id
        )
    lead = item.lead if change.lead_days is None else _lead(change.lead_days, where)
    status = replace(item.status, quoted=None, approved=None, promised=None)
    return _with_send_out(plan, replace(item, vendor=change.vendor, lead=lead, status=status))


def _buy_exchange(plan: Plan, change: BoughtAsExchange, where: str) -> Plan:
    """Turn an open send-out into an exchange ordered today."""
    item = _send_out(plan, change.send_out, where)
    if item.status.left_vendor is not None or item.status.accepted is not None:
        raise InvalidValueError(
            f"{where}.send_out", f'"{item.id}" has left its vendor already', item.id
        )
    status = SendOutStatus(shipped=item.status.shipped, arrived=item.status.arrived)
    bought = replace(
        item, source=Source.EXCHANGE, lead=_lead(change.lead_days, where), intake=0, status=status
    )
    return _with_send_out(plan, bought)


def _lead(days: float, where: str) -> int:
    """Convert a lead time to ticks."""
    if not 0 < days <= 3660:
        raise InvalidValueError(
            f"{where}.lead_days", f"{days:g} is not between 0 and 3660 days", days
        )
    return round(days * TICKS_PER_DAY)


def _drop_task(plan: Plan, task_id: str, where: str) -> Plan:
    """Drop a task that is not done."""
    tasks = {task.id: task for task in plan.tasks}
    if task_id not in tasks:
        raise UnknownReferenceError(f"{where}.task", "task", task_id)
    if tasks[task_id].status.state is State.DONE:
        raise InvalidValueError(f"{where}.task", f'"{task_id}" is done already', task_id)
    tasks[task_id] = replace(tasks[task_id], status=TaskStatus(State.DROPPED))
    return replace(plan, tasks=tuple(tasks.values()))


def _work_extra_days(plan: Plan, change: ExtraDays, where: str) -> Plan:
    """Open one more weekday of a calendar, but for dates on which it is closed."""
    calendars = {calendar.id: calendar for calendar in plan.calendars}
    if change.calendar not in calendars:
        raise UnknownReferenceError(f"{where}.calendar", "calendar", change.calendar)
    if not 0 <= change.weekday <= 6:
        raise InvalidValueError(
            f"{where}.weekday", f"{change.weekday} is not between 0 and 6", change.weekday
        )
    check_date(change.first, f"{where}.first")
    check_date(change.last, f"{where}.last")
    if change.last < change.first:
        raise InvalidValueError(
            f"{where}.last", f"the last day ({change.last}) is before the first ({change.first})",
            change.last,
        )  # fmt: skip
    if change.last > change.first + timedelta(days=3660):
        raise InvalidValueError(
            f"{where}.last", f"{change.last} is more than ten years after {change.first}",
            change.last,
        )  # fmt: skip
    calendars[change.calendar] = _opened(calendars[change.calendar], change)
    return replace(plan, calendars=tuple(calendars.values()))


def _opened(calendar: Calendar, change: ExtraDays) -> Calendar:
    """Return a calendar with openings added."""
    known = {day for day, _ in calendar.opened}
    wait = (change.weekday - change.first.weekday()) % 7
    day, extra = change.first + timedelta(days=wait), []
    while day <= change.last:
        shut = any(begin <= day <= end for begin, end in calendar.closed)
        if not shut and day not in known:
            extra.append((day, change.hours))
        day += timedelta(days=7)
    return replace(calendar, opened=(*calendar.opened, *extra))
