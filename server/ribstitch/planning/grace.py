"""How late a vendor can be: grace, need-by, last safe ship date, late curve.

Grace is found by re-scheduling with the vendor's work taking longer, many cases at
once, and not by subtracting floats: several items of one vendor can be late together,
one after the other, across holidays. The finish never comes in when work takes longer
on a chain of finish-start legs, so the search narrows an interval.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from ribstitch.planning.activities import OpenLegs, late_legs_of_vendor
from ribstitch.planning.calendars import Ints
from ribstitch.planning.passes import LateDates, backward, forward
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_before

_WIDTH = 32
"""How many delays are tried in one pass while an interval is narrowed."""


@dataclass(frozen=True, slots=True)
class SendOutGrace:
    """How late one open send-out can be."""

    id: str
    grace: int
    """Largest delay that leaves the project finish where it is. [ticks of the calendar
    of the leg that is late: the vendor's until the item has left the vendor]"""
    need_by: date
    """The last date on which the item can be accepted without moving the finish."""
    last_safe_ship: date | None
    """Ship after it and the finish moves; None once the item is on its way."""


@dataclass(frozen=True, slots=True)
class VendorGrace:
    """How late all open send-outs of one vendor can be together."""

    id: str
    grace: int
    send_outs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LateCurve:
    """The project finish against days late; `finish[n]` belongs to n days. [ticks]"""

    finish: tuple[int, ...]

    def finish_on(self, days: int) -> date:
        """Return the finish date when the work is `days` late."""
        return date_before(self.finish[days])


def send_out_grace(schedule: Schedule) -> tuple[SendOutGrace, ...]:
    """
    Return the grace of each open send-out, in order of entry.

    An item that is late alone delays nothing but what hangs on it, so that its float
    against the project finish bounds the search from above.
    """
    prepared = schedule.prepared
    late, floats = _against_finish(prepared)
    found = []
    for name, legs in prepared.expansion.open_legs.items():
        slip = prepared.rank(legs.slip)
        grace = _largest_delay(prepared, [legs.slip], int(floats[slip]))
        found.append(
            SendOutGrace(
                name,
                grace,
                date_before(int(late.end[prepared.rank(legs.gate)]) + prepared.network.origin),
                _last_safe_ship(prepared, legs, late),
            )
        )
    return tuple(found)


def vendor_grace(schedule: Schedule) -> tuple[VendorGrace, ...]:
    """Return the grace of each vendor who still has work to do, in order of entry."""
    prepared = schedule.prepared
    _, floats = _against_finish(prepared)
    found = []
    for vendor, late_legs in _vendor_legs(prepared).items():
        most = min(int(floats[prepared.rank(leg)]) for leg in late_legs.values())
        grace = _largest_delay(prepared, list(late_legs.values()), most)
        found.append(VendorGrace(vendor, grace, tuple(late_legs)))
    return tuple(found)


def _vendor_legs(prepared: Prepared) -> dict[str, dict[str, str]]:
    """Return for each vendor with work to do its send-outs and the leg that can be late."""
    found = {
        vendor.id: late_legs_of_vendor(prepared.plan, vendor.id, prepared.expansion.open_legs)
        for vendor in prepared.plan.vendors
    }
    return {vendor: legs for vendor, legs in found.items() if legs}


def late_curve(schedule: Schedule, legs: Sequence[str], days: int) -> LateCurve:
    """
    Return the project finish for 0..`days` days late, in one vectorised pass.

    Parameters
    ----------
    schedule
        The schedule of the plan as it is.
    legs
        The activities that take longer, together, in days of each one's own calendar.
    days
        The largest delay. [working days]
    """
    delays = TICKS_PER_DAY * np.arange(days + 1, dtype=np.int64)
    finish = _finish_when_late(schedule.prepared, dict.fromkeys(legs, delays))
    return LateCurve(tuple(finish.tolist()))


def _against_finish(prepared: Prepared) -> tuple[LateDates, Ints]:
    """Return late dates and floats (by rank) against the project finish alone."""
    network, values = prepared.network, prepared.values
    early = forward(network, values)
    late = backward(network, values, early, with_deadlines=False)
    tables, on = network.tables, network.on
    floats = tables.work_before(on, late.end) - tables.work_before(on, early.end)
    return late, floats


def _last_safe_ship(prepared: Prepared, legs: OpenLegs, late: LateDates) -> date | None:
    """Return the last date to ship: the late finish of preparing, or just before the road."""
    leg = legs.prepare or legs.ship
    if leg is None:
        return None
    rank = prepared.rank(leg)
    instant = late.end[rank] if legs.prepare else late.begin[rank]
    return date_before(int(instant) + prepared.network.origin)


def _largest_delay(prepared: Prepared, legs: Sequence[str], most: int) -> int:
    """Return the largest common delay of some legs that does not move the finish."""
    low, high = 0, max(most, 0)
    target = _finish_when_late(prepared, {leg: np.array([0, high]) for leg in legs})
    if target[1] == target[0]:
        return high
    while high - low > 1:
        delays = np.unique(np.linspace(low, high, _WIDTH).astype(np.int64))
        finish = _finish_when_late(prepared, dict.fromkeys(legs, delays))
        unmoved = int(np.searchsorted(finish, target[0], side="right"))
        low, high = int(delays[unmoved - 1]), int(delays[unmoved])
    return low


def _finish_when_late(prepared: Prepared, delays: Mapping[str, Ints]) -> Ints:
    """Return the project finish of each case, widening the calendars if need be. [ticks]"""
    while True:
        cases = len(next(iter(delays.values())))
        work = np.tile(prepared.values.work, (cases, 1))
        for leg, delay in delays.items():
            work[:, prepared.rank(leg)] += delay
        early = forward(prepared.network, replace(prepared.values, work=work))
        if prepared.fits(early):
            return early.finish + prepared.network.origin
        prepared = prepared.wider()
