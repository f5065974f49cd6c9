"""The board of send-outs: where each one is, how late it may be, whom to chase."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from statistics import median

from ribstitch.charts.bars import state_of
from ribstitch.planning.drafting.vendors import Untaken, untaken_kinds
from ribstitch.planning.model import Contact, SendOut, Source, Vendor
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.chase import (
    ChaseLine,
    chase_lines,
    overdue_days,
    silent_days,
)
from ribstitch.services.views.check_lines import OpenCheck, checks_before_leaving
from ribstitch.services.views.lookups import critical_numbers, vendor_names, zone_of
from ribstitch.services.views.stages import all_legs_of, legs_of, stage_of
from ribstitch.services.views.sureness import back_of, criticality_of


@dataclass(frozen=True, slots=True)
class LegLine:
    """One leg of a send-out."""

    leg: str
    state: str
    start: date
    finish: date


@dataclass(frozen=True, slots=True)
class BoardLine:
    """One send-out on the board."""

    id: str
    name: str
    kind: str
    source: Source
    zone: str | None
    """Where it belongs; None: to the aircraft as a whole."""
    vendor: str
    vendor_name: str
    stage: str
    stage_since: date | None
    stage_due: date | None
    shipped: date | None
    arrived: date | None
    quoted: date | None
    approved: date | None
    promised: date | None
    left_vendor: date | None
    received: date | None
    accepted: date | None
    expected_back: date | None
    """Forecast date on which the item is accepted; None once it is not open any more."""
    back: Spread | None
    """When it may be accepted; None while that is not known."""
    criticality: float | None
    """Share of the simulated courses in which it is on a chain that sets the finish."""
    grace_days: float | None
    need_by: date | None
    last_safe_ship: date | None
    lead_days: float
    at_vendor_days: int | None
    """Calendar days since it arrived, until it left."""
    overdue_days: int
    silent_days: int | None
    critical: bool
    open_checks: list[OpenCheck]
    """What keeps it in the shop, where it has not left yet."""
    version: int
    contacts: tuple[Contact, ...]
    legs: list[LegLine]
    """All of them in order, done or not."""


@dataclass(frozen=True, slots=True)
class VendorLine:
    """One vendor on the board."""

    id: str
    name: str
    country: str
    grace_days: float | None
    """All open items late together; None without any."""
    open: list[str]
    history_count: int
    median_ratio: float | None
    """Actual over quoted time, the middle one of what they did before."""
    criticality: float | None
    """Share of the simulated courses in which their work is on a chain to the finish."""


@dataclass(frozen=True, slots=True)
class Away:
    """The board."""

    plan_version: int
    as_of: date
    finish: date
    send_outs: list[BoardLine]
    vendors: list[VendorLine]
    chase: list[ChaseLine]
    untaken: tuple[Untaken, ...]
    """What is to be sent out and no vendor takes."""


def away(current: CurrentPlan, simulation: Simulation | None = None) -> Away:
    """Return the board; what was dropped is left out."""
    items = [item for item in current.plan.send_outs if not item.dropped]
    return Away(
        plan_version=current.plan_version,
        as_of=current.as_of,
        finish=current.finish_on,
        send_outs=[_line(current, item, simulation) for item in items],
        vendors=[_vendor_line(current, vendor, simulation) for vendor in current.plan.vendors],
        chase=chase_lines(current, simulation),
        untaken=untaken_kinds(current.plan),
    )


def board_line(
    current: CurrentPlan, send_out_id: str, simulation: Simulation | None = None
) -> BoardLine:
    """
    Return the line of one send-out.

    Raises
    ------
    UnknownThingError
        If there is no such send-out.
    """
    item: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
    return _line(current, item, simulation)


def _line(current: CurrentPlan, item: SendOut, simulation: Simulation | None) -> BoardLine:
    """Return the line of a send-out."""
    stage, status = stage_of(current, item), item.status
    grace = current.send_out_graces.get(item.id)
    legs = current.schedule.prepared.expansion.open_legs.get(item.id)
    gate = None if legs is None else current.schedule.number(legs.gate)
    all_legs = all_legs_of(current)[item.id]
    return BoardLine(
        id=item.id,
        name=item.name or item.id,
        kind=item.kind,
        source=item.source,
        zone=next((zone_of(current, number) for number in all_legs), None),
        vendor=item.vendor,
        vendor_name=vendor_names(current)[item.vendor],
        stage=stage.name,
        stage_since=stage.since,
        stage_due=stage.due,
        shipped=status.shipped,
        arrived=status.arrived,
        quoted=status.quoted,
        approved=status.approved,
        promised=status.promised,
        left_vendor=status.left_vendor,
        received=status.received,
        accepted=status.accepted,
        expected_back=None if gate is None else current.schedule.finish_on_of(gate),
        back=back_of(current, simulation, item),
        criticality=criticality_of(current, simulation, legs_of(current)[item.id]),
        grace_days=None if grace is None else days_from_ticks(grace.grace),
        need_by=None if grace is None else grace.need_by,
        last_safe_ship=None if grace is None else grace.last_safe_ship,
        lead_days=days_from_ticks(item.lead),
        at_vendor_days=_days_at_vendor(current, item),
        overdue_days=overdue_days(current, item),
        silent_days=silent_days(current, item, stage),
        critical=not critical_numbers(current).isdisjoint(legs_of(current)[item.id]),
        open_checks=checks_before_leaving(current, item),
        version=current.versions["send_out"][item.id],
        contacts=item.contacts,
        legs=[_leg(current, number) for number in all_legs],
    )


def _leg(current: CurrentPlan, number: int) -> LegLine:
    """Return the line of a leg."""
    schedule = current.schedule
    return LegLine(
        leg=schedule.activities[number].leg or "",
        state=state_of(schedule, number),
        start=schedule.start_on(number),
        finish=schedule.finish_on_of(number),
    )


def _days_at_vendor(current: CurrentPlan, item: SendOut) -> int | None:
    """Return how long the vendor has, or had, an item."""
    if item.status.arrived is None:
        return None
    return ((item.status.left_vendor or current.as_of) - item.status.arrived).days


def _vendor_line(current: CurrentPlan, vendor: Vendor, simulation: Simulation | None) -> VendorLine:
    """Return the line of a vendor."""
    grace = current.vendor_graces.get(vendor.id)
    open_legs = current.schedule.prepared.expansion.open_legs
    ratios = [job.actual_days / job.quoted_days for job in vendor.history if job.quoted_days > 0]
    return VendorLine(
        id=vendor.id,
        name=vendor.name or vendor.id,
        country=vendor.country,
        grace_days=None if grace is None else days_from_ticks(grace.grace),
        open=[
            item.id
            for item in current.plan.send_outs
            if item.vendor == vendor.id and item.id in open_legs
        ],
        history_count=len(vendor.history),
        median_ratio=median(ratios) if ratios else None,
        criticality=None if simulation is None else simulation.vendor_criticality.get(vendor.id),
    )
