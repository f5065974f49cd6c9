"""What the project finish does when a vendor, or one send-out, is late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.activities import late_legs_of_vendor
from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.grace import late_curve
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.services.forecast import CurrentPlan
from ribstitch.store import UnknownThingError

LONGEST_DAYS = 730
"""No late curve runs further. [days]"""


@dataclass(frozen=True, slots=True)
class Lateness:
    """The project finish against days late, in days of the late leg's calendar."""

    days: list[int]
    finish: list[date]
    moved_days: list[int]
    """Calendar days by which the finish moves."""
    grace_days: float


def curve_of_vendor(current: CurrentPlan, vendor: str, days: int) -> Lateness:
    """
    Return the late curve of all a vendor's open send-outs together.

    Raises
    ------
    UnknownThingError
        If there is no such vendor.
    InvalidValueError
        If the vendor has nothing to be late with, or `days` is out of range.
    """
    if vendor not in current.versions["vendor"]:
        raise UnknownThingError("vendor", vendor)
    open_legs = current.schedule.prepared.expansion.open_legs
    legs = list(late_legs_of_vendor(current.plan, vendor, open_legs).values())
    if not legs:
        raise InvalidValueError("vendor", f'"{vendor}" has no open item to be late with', vendor)
    return _curve(current, legs, days, current.vendor_graces[vendor].grace)


def curve_of_send_out(current: CurrentPlan, send_out: str, days: int) -> Lateness:
    """
    Return the late curve of one send-out.

    Raises
    ------
    UnknownThingError
        If there is no such send-out.
    InvalidValueError
        If it is back and accepted, or `days` is out of range.
    """
    if send_out not in current.versions["send_out"]:
        raise UnknownThingError("send_out", send_out)
    legs = current.schedule.prepared.expansion.open_legs.get(send_out)
    if legs is None:
        raise InvalidValueError("send_out", f'"{send_out}" is not open any more', send_out)
    return _curve(current, [legs.slip], days, current.send_out_graces[send_out].grace)


def _curve(current: CurrentPlan, legs: Sequence[str], days: int, grace: int) -> Lateness:
    """Compute a late curve and show it in dates."""
    if not 0 <= days <= LONGEST_DAYS:
        raise InvalidValueError("days", f"{days} is not between 0 and {LONGEST_DAYS} days", days)
    curve = late_curve(current.schedule, legs, days)
    finish = [curve.finish_on(late) for late in range(days + 1)]
    return Lateness(
        days=list(range(days + 1)),
        finish=finish,
        moved_days=[(one - finish[0]).days for one in finish],
        grace_days=days_from_ticks(grace),
    )
