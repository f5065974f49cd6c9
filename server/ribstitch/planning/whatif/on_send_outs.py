"""Changes of send-outs: late, to another vendor, an exchange unit instead."""

from __future__ import annotations

from dataclasses import replace

from ribstitch.planning.activities import expand, late_legs_of_vendor
from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import Plan, SendOut, SendOutStatus, Source
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.whatif.changes import (
    BoughtAsExchange,
    SendOutLate,
    VendorLate,
    VendorSwapped,
)


def _delay(delays: dict[str, int], leg: str, days: float, where: str) -> None:
    """Add a delay in days to a leg, rounded to the tick."""
    if not 0 <= days <= 3660:
        raise InvalidValueError(f"{where}.days", f"{days:g} is not between 0 and 3660 days", days)
    delays[leg] = delays.get(leg, 0) + round(days * TICKS_PER_DAY)


def delay_vendor(plan: Plan, change: VendorLate, delays: dict[str, int], where: str) -> None:
    """Delay every open send-out of a vendor."""
    if change.vendor not in {vendor.id for vendor in plan.vendors}:
        raise UnknownReferenceError(f"{where}.vendor", "vendor", change.vendor)
    for leg in late_legs_of_vendor(plan, change.vendor, expand(plan).open_legs).values():
        _delay(delays, leg, change.days, where)


def delay_send_out(plan: Plan, change: SendOutLate, delays: dict[str, int], where: str) -> None:
    """Delay one open send-out."""
    item = send_out_of(plan, change.send_out, f"{where}.send_out")
    legs = expand(plan).open_legs
    if item.id not in legs:
        reason = "dropped" if item.dropped else "back and accepted"
        raise InvalidValueError(f"{where}.send_out", f'"{item.id}" is {reason}', item.id)
    _delay(delays, legs[item.id].slip, change.days, where)


def send_out_of(plan: Plan, send_out: str, where: str) -> SendOut:
    """Return a send-out by id."""
    for item in plan.send_outs:
        if item.id == send_out:
            return item
    raise UnknownReferenceError(where, "send-out", send_out)


def with_send_out(plan: Plan, changed: SendOut) -> Plan:
    """Return the plan with one send-out changed."""
    items = tuple(changed if item.id == changed.id else item for item in plan.send_outs)
    return replace(plan, send_outs=items)


def swap_vendor(plan: Plan, change: VendorSwapped, where: str) -> Plan:
    """Give a send-out that is still here to another vendor."""
    item = send_out_of(plan, change.send_out, f"{where}.send_out")
    if change.vendor not in {vendor.id for vendor in plan.vendors}:
        raise UnknownReferenceError(f"{where}.vendor", "vendor", change.vendor)
    if item.status.shipped is not None or item.status.arrived is not None:
        raise InvalidValueError(
            f"{where}.send_out", f'"{item.id}" has left for its vendor already', item.id
        )
    lead = item.lead if change.lead_days is None else _lead(change.lead_days, where)
    status = replace(item.status, quoted=None, approved=None, promised=None)
    return with_send_out(plan, replace(item, vendor=change.vendor, lead=lead, status=status))


def buy_exchange(plan: Plan, change: BoughtAsExchange, where: str) -> Plan:
    """Turn an open send-out into an exchange ordered today."""
    item = send_out_of(plan, change.send_out, f"{where}.send_out")
    if item.status.left_vendor is not None or item.status.accepted is not None:
        raise InvalidValueError(
            f"{where}.send_out", f'"{item.id}" has left its vendor already', item.id
        )
    status = SendOutStatus(shipped=item.status.shipped, arrived=item.status.arrived)
    bought = replace(
        item, source=Source.EXCHANGE, lead=_lead(change.lead_days, where), intake=0, status=status
    )
    return with_send_out(plan, bought)


def _lead(days: float, where: str) -> int:
    """Convert a lead time to ticks."""
    if not 0 < days <= 3660:
        raise InvalidValueError(
            f"{where}.lead_days", f"{days:g} is not between 0 and 3660 days", days
        )
    return round(days * TICKS_PER_DAY)
