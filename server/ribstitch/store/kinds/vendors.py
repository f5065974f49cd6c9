"""Kinds of send-outs, vendors, send-outs."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from ribstitch.planfile.alike import part_of, thing_from
from ribstitch.planfile.convert import (
    send_out_document,
    send_out_from,
)
from ribstitch.planfile.document import (
    SendOutDocument,
    SendOutKindDocument,
    VendorDocument,
)
from ribstitch.planning.model import (
    Contact,
    PastJob,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    Vendor,
)
from ribstitch.store.kinds.kind import Kind
from ribstitch.store.tables import SendOutKindRow, SendOutRow, VendorRow

_KeptJob = tuple[str, float, float, str | None, int, float | None, str | None, str | None]
"""A past job as it is kept; dates and prices as text."""


def _send_out_kind(
    key: str,
    over_median: float,
    over_p90: float,
    name: str,
    rejected: float,
    growth_median: float | None,
    growth_p90: float | None,
    quoted_days: float | None,
) -> SendOutKind:
    return SendOutKind(
        key, over_median, over_p90, name, rejected, growth_median, growth_p90, quoted_days
    )


def _send_out_kind_values(kind: SendOutKind) -> dict[str, Any]:
    return {
        "over_median": kind.over_median,
        "over_p90": kind.over_p90,
        "name": kind.name,
        "rejected": kind.rejected,
        "growth_median": kind.growth_median,
        "growth_p90": kind.growth_p90,
        "quoted_days": kind.quoted_days,
    }


def _vendor(
    key: str,
    name: str,
    calendar: str | None,
    currency: str | None,
    country: str,
    history: list[_KeptJob],
    kinds: list[str],
) -> Vendor:
    jobs = tuple(_past_job(*kept) for kept in history)
    return Vendor(key, name, calendar, currency, country, jobs, tuple(kinds))


def _past_job(
    kind: str,
    quoted: float,
    actual: float,
    ordered: str | None,
    trips: int,
    promised: float | None,
    quoted_price: str | None,
    final_price: str | None,
) -> PastJob:
    return PastJob(
        kind,
        quoted,
        actual,
        date.fromisoformat(ordered) if ordered else None,
        trips,
        promised,
        None if quoted_price is None else Decimal(quoted_price),
        None if final_price is None else Decimal(final_price),
    )


def _vendor_values(vendor: Vendor) -> dict[str, Any]:
    return {
        "name": vendor.name,
        "calendar": vendor.calendar,
        "currency": vendor.currency,
        "country": vendor.country,
        "history": [
            [
                job.kind,
                job.quoted_days,
                job.actual_days,
                job.ordered.isoformat() if job.ordered else None,
                job.trips,
                job.promised_days,
                _text(job.quoted_price),
                _text(job.final_price),
            ]
            for job in vendor.history
        ],
        "kinds": list(vendor.kinds),
    }


def _text(price: Decimal | None) -> str | None:
    return None if price is None else str(price)


def _send_out(
    key: str,
    vendor: str,
    name: str,
    kind: str,
    source: str,
    after: list[str],
    before: list[str],
    trip_of: str | None,
    prepare: int,
    ship_out: int,
    customs_out: int,
    intake: int,
    approval: int,
    lead: int,
    ship_back: int,
    customs_back: int,
    accept: int,
    return_leg: int,
    shipped: date | None,
    arrived: date | None,
    quoted: date | None,
    approved: date | None,
    promised: date | None,
    left_vendor: date | None,
    received: date | None,
    accepted: date | None,
    rejected: date | None,
    returned: date | None,
    contacts: list[tuple[str, str]],
    dropped: bool,
    notes: str,
) -> SendOut:
    return SendOut(
        id=key,
        vendor=vendor,
        name=name,
        kind=kind,
        source=Source(source),
        after=tuple(after),
        before=tuple(before),
        trip_of=trip_of,
        prepare=prepare,
        ship_out=ship_out,
        customs_out=customs_out,
        intake=intake,
        approval=approval,
        lead=lead,
        ship_back=ship_back,
        customs_back=customs_back,
        accept=accept,
        return_leg=return_leg,
        status=SendOutStatus(
            shipped,
            arrived,
            quoted,
            approved,
            promised,
            left_vendor,
            received,
            accepted,
            rejected,
            returned,
        ),
        contacts=tuple(Contact(date.fromisoformat(on), note) for on, note in contacts),
        dropped=dropped,
        notes=notes,
    )


def _send_out_values(item: SendOut) -> dict[str, Any]:
    status = item.status
    return {
        "vendor": item.vendor,
        "name": item.name,
        "kind": item.kind,
        "source": item.source.value,
        "after": list(item.after),
        "before": list(item.before),
        "trip_of": item.trip_of,
        "prepare": item.prepare,
        "ship_out": item.ship_out,
        "customs_out": item.customs_out,
        "intake": item.intake,
        "approval": item.approval,
        "lead": item.lead,
        "ship_back": item.ship_back,
        "customs_back": item.customs_back,
        "accept": item.accept,
        "return_leg": item.return_leg,
        "shipped": status.shipped,
        "arrived": status.arrived,
        "quoted": status.quoted,
        "approved": status.approved,
        "promised": status.promised,
        "left_vendor": status.left_vendor,
        "received": status.received,
        "accepted": status.accepted,
        "rejected": status.rejected,
        "returned": status.returned,
        "contacts": [[contact.on.isoformat(), contact.note] for contact in item.contacts],
        "dropped": item.dropped,
        "notes": item.notes,
    }


SEND_OUT_KIND = Kind(
    name="send_out_kind",
    plan_field="kinds",
    row=SendOutKindRow,
    key_of=lambda kind: kind.id,
    build=_send_out_kind,
    values=_send_out_kind_values,
    part=SendOutKindDocument,
    to_part=part_of,
    from_part=thing_from,
)
VENDOR = Kind(
    name="vendor",
    plan_field="vendors",
    row=VendorRow,
    key_of=lambda vendor: vendor.id,
    build=_vendor,
    values=_vendor_values,
    part=VendorDocument,
    to_part=part_of,
    from_part=thing_from,
)
SEND_OUT = Kind(
    name="send_out",
    plan_field="send_outs",
    row=SendOutRow,
    key_of=lambda item: item.id,
    build=_send_out,
    values=_send_out_values,
    part=SendOutDocument,
    to_part=send_out_document,
    from_part=send_out_from,
)
