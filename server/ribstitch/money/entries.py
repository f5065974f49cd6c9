"""What a ledger is made of: entries, each rounded to an amount that can be paid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ribstitch.money.months import month_of


class Bucket(StrEnum):
    """How firm money is."""

    PAID = "paid"
    INVOICED = "invoiced"
    """Owed: the invoice is there."""
    WORKED = "worked"
    """Labour that is done."""
    COMMITTED = "committed"
    """Ordered, not invoiced."""
    EXPECTED = "expected"
    """Estimates and quotes, what prices may grow by, labour and standing cost to come, the
    allowance for hidden work."""


SPENT = frozenset({Bucket.PAID, Bucket.INVOICED, Bucket.WORKED})
"""What earned value calls actual cost."""


class Origin(StrEnum):
    """What an entry comes from."""

    LINE = "line"
    """A cost line, or a part of one."""
    TIMESHEET = "timesheet"
    """Hours that somebody entered."""
    WORK_DONE = "work_done"
    """Work that is done and of which no hours were entered."""
    WORK_TO_GO = "work_to_go"
    STANDING = "standing"
    """Standing cost from the as-of date to the finish."""
    ALLOWANCE = "allowance"
    """Work not yet found, in zones that are not opened."""
    GROWTH = "growth"
    """What a price grows by, on average, once the vendor has looked inside."""


@dataclass(frozen=True, slots=True)
class Entry:
    """
    One amount of money, in minor units of its own currency and of the project's.

    Attributes
    ----------
    of
        Id of the cost line, of the entry of hours, or of the task; or "standing".
    kind
        As of a cost line; that of work is "labour".
    on
        Day of payment, of work, or of the last step of the line; the as-of date where
        nobody said. What is still to come: its last date in that month.
    currency, amount
        As it is paid. [minor units of `currency`]
    worth
        Likewise. [minor units of the project's currency]
    in_kind
        Settled with something other than money.
    """

    of: str
    origin: Origin
    bucket: Bucket
    kind: str
    on: date
    currency: str
    amount: int
    worth: int
    chapter: str | None = None
    vendor: str | None = None
    task: str | None = None
    send_out: str | None = None
    in_kind: bool = False

    @property
    def month(self) -> date:
        """The first date of the entry's month."""
        return month_of(self.on)


@dataclass(frozen=True, slots=True)
class Flag:
    """Something that is kept as it was entered, and that somebody should look at."""

    of: str
    """Id of the cost line, or of the entry of hours."""
    sentence: str
