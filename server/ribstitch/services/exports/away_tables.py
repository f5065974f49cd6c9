"""The tables of what is sent out: items with their dates, and the vendors."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ribstitch.services.exports.table import Export, Row, in_days, number, yes_or_no
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.away import away, board_line

_EVENTS = (
    "shipped", "arrived", "quoted", "approved", "promised", "left_vendor", "received",
    "accepted", "rejected", "returned",
)  # fmt: skip


def _send_outs(current: CurrentPlan) -> Iterator[Row]:
    """Yield the send-outs in order of entry, as on the board; dropped ones as well."""
    for item in current.plan.send_outs:
        line = board_line(current, item.id)
        last = max(item.contacts, key=lambda one: one.on, default=None)
        yield {
            "id": item.id,
            "name": item.name,
            "kind": item.kind,
            "source": item.source.value,
            "vendor": item.vendor,
            "vendor_name": line.vendor_name,
            "trip_of": item.trip_of,
            "stage": line.stage,
            "expected_back": line.expected_back,
            "need_by": line.need_by,
            "last_safe_ship": line.last_safe_ship,
            "grace_days": None if line.grace_days is None else number(line.grace_days),
            "critical": yes_or_no(line.critical),
            "lead_days": in_days(item.lead),
            **{name: getattr(item.status, name) for name in _EVENTS},
            "last_contact": None if last is None else last.on,
            "last_contact_note": None if last is None else last.note,
            "notes": item.notes,
        }


def _vendors(current: CurrentPlan) -> Iterator[Row]:
    """Yield the vendors in order of entry."""
    lines = {line.id: line for line in away(current).vendors}
    for vendor in current.plan.vendors:
        line = lines[vendor.id]
        ratio, grace = line.median_ratio, line.grace_days
        yield {
            "id": vendor.id,
            "name": vendor.name,
            "country": vendor.country,
            "currency": vendor.currency,
            "calendar": current.plan.calendar_of_vendor(vendor.id),
            "open_items": Decimal(len(line.open)),
            "grace_days": None if grace is None else number(grace),
            "past_jobs": Decimal(line.history_count),
            "median_ratio": None if ratio is None else number(ratio),
            "kinds": ", ".join(vendor.kinds),
        }


SEND_OUTS = Export(
    "send-outs",
    (
        "id", "name", "kind", "source", "vendor", "vendor_name", "trip_of", "stage",
        "expected_back", "need_by", "last_safe_ship", "grace_days", "critical", "lead_days",
        *_EVENTS, "last_contact", "last_contact_note", "notes",
    ),
    _send_outs,
)  # fmt: skip
VENDORS = Export(
    "vendors",
    (
        "id", "name", "country", "currency", "calendar", "open_items", "grace_days",
        "past_jobs", "median_ratio", "kinds",
    ),
    _vendors,
)  # fmt: skip
