"""What can be changed in a case: each change is one sentence with slots."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


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


@dataclass(frozen=True, slots=True)
class TaskTakes:
    """A task takes so many working days in all; its range and what is left change alike."""

    task: str
    days: float


@dataclass(frozen=True, slots=True)
class TaskNotBefore:
    """A task that has not begun does not start before a date."""

    task: str
    on: date


@dataclass(frozen=True, slots=True)
class WaitDropped:
    """A task no longer waits for another one: what links them, and the crew's order, goes."""

    task: str
    before: str
    """The task that it waits for."""


@dataclass(frozen=True, slots=True)
class RiskSettled:
    """A risk strikes, or it is known that it does not."""

    risk: str
    strikes: bool


@dataclass(frozen=True, slots=True)
class OneMoreHand:
    """One more person of a trade, from a date on."""

    trade: str
    first: date


@dataclass(frozen=True, slots=True)
class TradeAway:
    """Nobody of a trade works in a range of dates, both included."""

    trade: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class TradeDays:
    """A trade works full days on one more weekday (0 = Monday) in a range of dates."""

    trade: str
    weekday: int
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class TradeSlower:
    """What is open of a trade's work takes so much longer. [percent; negative: shorter]"""

    trade: str
    percent: float


@dataclass(frozen=True, slots=True)
class ZoneSlower:
    """What is open of a zone's work takes so much longer. [percent; negative: shorter]"""

    zone: str
    percent: float


Change = (
    VendorLate
    | SendOutLate
    | VendorSwapped
    | TaskDropped
    | BoughtAsExchange
    | ExtraDays
    | ExpediteTaken
    | TaskTakes
    | TaskNotBefore
    | WaitDropped
    | RiskSettled
    | OneMoreHand
    | TradeAway
    | TradeDays
    | TradeSlower
    | ZoneSlower
)
