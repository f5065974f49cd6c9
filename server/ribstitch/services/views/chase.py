"""Whom to ask about an item that is away, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from datetime import date, timedelta

import numpy as np

from ribstitch.charts.paper import plural
from ribstitch.planning.model import Contact, SendOut, SendOutStatus, Source
from ribstitch.planning.ticks import date_before, days_from_ticks
from ribstitch.planning.uncertainty.results import Simulation, Spread
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import superseded, vendor_names
from ribstitch.services.views.stages import Stage, stage_of
from ribstitch.services.views.sureness import back_of

SILENT_DAYS = 21
"""After so many days without a word one asks. [calendar days]"""
LITTLE_GRACE_DAYS = 10
"""With so little grace one asks every week. [working days]"""
_WEEK = 7


@dataclass(frozen=True, slots=True)
class ChaseLine:
    """One vendor to ask about one item, and why."""

    send_out: str
    vendor_name: str
    why: str
    last_contact: date | None
    back: Spread | None
    """When it may be accepted here; None while that is not known."""


@dataclass(frozen=True, slots=True)
class ChasedItem:
    """An item that a call may be about, and where it is."""

    id: str
    name: str
    source: Source
    vendor: str
    vendor_name: str
    stage: str
    stage_since: date | None
    silent_days: int | None
    contacts: tuple[Contact, ...]


def chased_items(current: CurrentPlan) -> list[ChasedItem]:
    """Return what a call may be about; what was dropped is left out."""
    return [_chased(current, item) for item in current.plan.send_outs if not item.dropped]


def _chased(current: CurrentPlan, item: SendOut) -> ChasedItem:
    """Return what is said of an item to whoever calls."""
    stage = stage_of(current, item)
    return ChasedItem(
        id=item.id,
        name=item.name or item.id,
        source=item.source,
        vendor=item.vendor,
        vendor_name=vendor_names(current)[item.vendor],
        stage=stage.name,
        stage_since=stage.since,
        silent_days=silent_days(current, item, stage),
        contacts=item.contacts,
    )


def chase_lines(current: CurrentPlan, simulation: Simulation | None = None) -> list[ChaseLine]:
    """
    Return whom to ask: the least grace first, then the most overdue, then the most silent.

    Last come the patterns that should be back in the shop.
    """
    found = []
    for item in current.plan.send_outs:
        stage = stage_of(current, item)
        if not stage.is_away:
            continue
        grace = days_from_ticks(current.send_out_graces[item.id].grace)
        overdue = overdue_days(current, item)
        silent = silent_days(current, item, stage) or 0
        patience = _WEEK if grace <= LITTLE_GRACE_DAYS else SILENT_DAYS
        if overdue > 0 or silent >= patience:
            why = _why(current, item, grace, overdue, silent)
            vendor, back = vendor_names(current)[item.vendor], back_of(current, simulation, item)
            line = ChaseLine(item.id, vendor, why, last_contact(item), back)
            found.append(((grace, -overdue, -silent), line))
    found.sort(key=lambda one: one[0])
    return [line for _, line in found] + _patterns_out(current)


def last_contact(item: SendOut) -> date | None:
    """Return the date of the last word with the vendor."""
    return max((contact.on for contact in item.contacts), default=None)


def overdue_days(current: CurrentPlan, item: SendOut) -> int:
    """
    Return by how many days the open leg of an item has run over.

    A promise counts where there is one, else the time that the leg was quoted to take.
    """
    stage = stage_of(current, item)
    if stage.number is None or not stage.is_away:
        return 0
    due: date | None = None
    if stage.is_at_vendor and item.status.promised is not None:
        due = item.status.promised
    else:
        due = _planned_end(current, stage.number)
    return 0 if due is None else max((current.as_of - due).days, 0)


def silent_days(current: CurrentPlan, item: SendOut, stage: Stage) -> int | None:
    """Return how long nothing was heard of an item that is away."""
    if not stage.is_away:
        return None
    heard = [contact.on for contact in item.contacts]
    for one in fields(SendOutStatus):
        day: date | None = getattr(item.status, one.name)
        if day is not None and day <= current.as_of and one.name != "promised":
            heard.append(day)
    return (current.as_of - max(heard)).days if heard else None


def _patterns_out(current: CurrentPlan) -> list[ChaseLine]:
    """Return the lent patterns that should be back and have not gone out again."""
    again, lines = superseded(current), []
    for item in current.plan.send_outs:
        left, back = item.status.left_vendor, item.status.returned
        if item.source is not Source.PATTERN or left is None or back is not None:
            continue
        due = left + timedelta(days=math.ceil(days_from_ticks(item.return_leg)))
        if item.return_leg and due < current.as_of and not item.dropped and item.id not in again:
            why = f"{item.name or item.id}: the pattern should have been back on {due}."
            vendor = vendor_names(current)[item.vendor]
            lines.append(ChaseLine(item.id, vendor, why, last_contact(item), None))
    return lines


def _planned_end(current: CurrentPlan, number: int) -> date | None:
    """Return when a leg that is under way should have ended."""
    one, prepared = current.schedule.activities[number], current.schedule.prepared
    if one.started is None or not one.counts_from_start:
        return None
    network, rank = prepared.network, prepared.rank(one.id)
    begun = np.array([one.started - network.origin], dtype=np.int64)
    end = network.tables.add_work(network.on[rank : rank + 1], begun, np.array([one.work]))
    return date_before(int(end[0]) + network.origin)


def _why(current: CurrentPlan, item: SendOut, grace: float, overdue: int, silent: int) -> str:
    """Say why one asks now."""
    reasons = []
    if overdue:
        promised = f" (promised {item.status.promised})" if item.status.promised else ""
        reasons.append(f"{plural(overdue, 'day')} overdue{promised}")
    if silent >= _WEEK:
        reasons.append(f"no word for {plural(silent, 'day')}")
    need_by = current.send_out_graces[item.id].need_by
    reasons.append(f"{plural(int(grace), 'day')} to spare, needed by {need_by}")
    text = "; ".join(reasons)
    return f"{item.name or item.id}: {text}."
