"""What goes into the crate with an item, what must come back, and what to mind on the road."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from ribstitch.planning.model import Finding, SendOut, Source, Vendor
from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows
from ribstitch.services.change_plan import thing_of
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE, Caution, cautions_for
from ribstitch.services.views.check_lines import OpenCheck, checks_before_leaving
from ribstitch.services.views.lookups import vendor_names

BORDER = (
    "It crosses a customs border and comes back: declare outward processing, or returned goods, "
    "before it leaves; otherwise duty and tax may fall on its full value. State the value, the "
    'serial number and "returns after the work". (from memory; ask your customs office)'
)
"""Union Customs Code, as the trade remembers it."""
_INSURED = "Insured at replacement value, for (amount and currency):"


@dataclass(frozen=True, slots=True)
class PackingLines:
    """What the trade sends along with one kind of item (from memory)."""

    goes_with_it: tuple[str, ...]
    must_come_back: tuple[str, ...]
    note: str
    hazards: tuple[str, ...]
    """Usual dangers on the road: fuel residue, radium, charge, pressure."""


@dataclass(frozen=True, slots=True)
class PackingList:
    """One item and its crate."""

    send_out: str
    name: str
    kind: str
    vendor_name: str
    country: str
    findings: list[str]
    """What was found on what is in the crate."""
    goes_with_it: list[str]
    must_come_back: list[str]
    note: str
    open_checks: list[OpenCheck]
    """What is to be settled before the item may leave."""
    hazards: dict[str, Caution]
    customs: str
    """Empty: no customs leg is planned."""
    insurance: str
    standing_line: str


def packing_list(current: CurrentPlan, send_out_id: str) -> PackingList:
    """
    Return the packing list of an item.

    Raises
    ------
    UnknownThingError
        If there is no such send-out.
    """
    item: SendOut = thing_of(current.plan, current.versions, "send_out", send_out_id)
    vendor: Vendor = thing_of(current.plan, current.versions, "vendor", item.vendor)
    known = _usual().get(item.kind, PackingLines((), (), "", ()))
    return PackingList(
        send_out=item.id,
        name=item.name or item.id,
        kind=item.kind,
        vendor_name=vendor_names(current)[item.vendor],
        country=vendor.country,
        findings=[_seen(one) for one in current.plan.findings if one.send_out == item.id],
        goes_with_it=list(known.goes_with_it),
        must_come_back=_back(item, known),
        note=known.note,
        open_checks=checks_before_leaving(current, item),
        hazards=cautions_for(known.hazards),
        customs=BORDER if item.customs_out or item.customs_back else "",
        insurance=_INSURED,
        standing_line=STANDING_LINE,
    )


def _back(item: SendOut, known: PackingLines) -> list[str]:
    """Return what must come back; a pattern always does."""
    lent = item.source is Source.PATTERN and "pattern back" not in known.must_come_back
    return [*known.must_come_back, *(["pattern back"] if lent else [])]


def _seen(finding: Finding) -> str:
    return f"{finding.id}: {finding.seen}"


@lru_cache(maxsize=1)
def _usual() -> Mapping[str, PackingLines]:
    """Return what is usual for each kind of send-out; read once."""
    return {
        row["kind"]: PackingLines(
            _listed(row["goes_with_it"]),
            _listed(row["must_come_back"]),
            row["note"],
            tuple(row["hazards"].split()),
        )
        for row in rows(library.shipped()["send_out_kinds"])
    }


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())
