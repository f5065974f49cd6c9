"""What is sent out: kinds, vendors, send-outs."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from ribstitch.planning.model.words import Source


@dataclass(frozen=True, slots=True)
class PastJob:
    """One finished job of a vendor."""

    kind: str
    quoted_days: float
    actual_days: float
    ordered: date | None = None
    trips: int = 1
    """2 or more: the item was rejected and went back."""
    promised_days: float | None = None
    """From the order to the date last promised before the item came."""
    quoted_price: Decimal | None = None
    """The price before the vendor had looked inside. [vendor's currency]"""
    final_price: Decimal | None = None
    """What it came to in the end. [vendor's currency]"""


@dataclass(frozen=True, slots=True)
class SendOutKind:
    """What the trade knows of one kind of work that is sent out."""

    id: str
    over_median: float
    """Actual over quoted time, in the middle case."""
    over_p90: float
    """Actual over quoted time that nine of ten jobs keep within."""
    name: str = ""
    rejected: float = 0.05
    """Share of items that are turned down on arrival and go back."""
    growth_median: float | None = None
    """Final over first price, in the middle case; None: nothing is known of the kind."""
    growth_p90: float | None = None
    """Final over first price that nine of ten jobs keep within; given with the median."""
    quoted_days: float | None = None
    """What vendors usually quote, in their working days; None: nobody knows."""


@dataclass(frozen=True, slots=True)
class Vendor:
    """Who does send-outs."""

    id: str
    name: str = ""
    calendar: str | None = None
    """None: the project's calendar."""
    currency: str | None = None
    country: str = ""
    history: tuple[PastJob, ...] = ()
    kinds: tuple[str, ...] = ()
    """The kinds of send-outs that the vendor takes, as far as the shop says."""


@dataclass(frozen=True, slots=True)
class SendOutStatus:
    """Actual dates of a send-out; each ends the leg that leads up to it."""

    shipped: date | None = None
    arrived: date | None = None
    quoted: date | None = None
    approved: date | None = None
    promised: date | None = None
    """The vendor's latest promise of when the item leaves the vendor."""
    left_vendor: date | None = None
    received: date | None = None
    accepted: date | None = None
    rejected: date | None = None
    """Received and turned down; another send-out with `trip_of` goes on from here."""
    returned: date | None = None
    """The lent pattern is back in the shop."""


@dataclass(frozen=True, slots=True)
class Contact:
    """One word with a vendor about a send-out."""

    on: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class SendOut:
    """
    An item that leaves for a vendor and comes back, leg by leg.

    All durations in ticks of the leg's calendar; zero leaves the leg out.
    """

    id: str
    vendor: str
    name: str = ""
    kind: str = ""
    source: Source = Source.OVERHAUL
    after: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    trip_of: str | None = None
    """The rejected send-out whose item goes out again."""
    prepare: int = 0
    ship_out: int = 0
    customs_out: int = 0
    intake: int = 0
    approval: int = 0
    lead: int = 0
    ship_back: int = 0
    customs_back: int = 0
    accept: int = 0
    return_leg: int = 0
    """A lent pattern's way back; nothing in the shop waits for it."""
    status: SendOutStatus = field(default_factory=SendOutStatus)
    contacts: tuple[Contact, ...] = ()
    dropped: bool = False
    notes: str = ""
