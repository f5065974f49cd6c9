"""The project's account: what is on it, and the money that is planned to come in."""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from ribstitch.money.entries import Bucket
from ribstitch.money.ledger import Ledger
from ribstitch.money.minor_units import in_minor_units
from ribstitch.money.months import later_month, month_of
from ribstitch.planning.model import Funding, Plan

_LONGEST_YEARS = 50
"""Money that comes again and again is listed for so long after the as-of date."""


@dataclass(frozen=True)
class Account:
    """
    Money that is there and money to come.

    Attributes
    ----------
    units
        On the account at the as-of date; None: nobody said. [minor units]
    coming
        What is planned to come in after that, by month. [minor units]
    """

    units: int | None
    coming: dict[date, int] = field(repr=False)

    def funding_in(self, month: date) -> int:
        """Return what is planned to come in within a month. [minor units]"""
        return self.coming.get(month, 0)


def account_of(plan: Plan, ledger: Ledger) -> Account:
    """
    Return the account at the as-of date.

    The balance holds for the end of its date. Since then, planned money has come in, and
    what the ledger says is paid or worked has gone out, but for what was settled in kind.
    """
    project = plan.project
    since = project.balance_on or project.as_of
    now = max(since, project.as_of)
    coming: defaultdict[date, int] = defaultdict(int)
    run = in_minor_units(project.balance or Decimal(0), ledger.currency)
    for funding in plan.funding:
        units = in_minor_units(funding.amount, ledger.currency)
        for on in dates_of(funding, date(now.year + _LONGEST_YEARS, 1, 1)):
            if on > now:
                coming[month_of(on)] += units
            elif on > since:
                run += units
    gone = (Bucket.PAID, Bucket.WORKED)
    run -= sum(
        one.worth
        for one in ledger.entries
        if one.bucket in gone and not one.in_kind and since < one.on <= now
    )
    return Account(run if project.balance is not None else None, dict(coming))


def dates_of(funding: Funding, before: date) -> Iterator[date]:
    """
    Yield the dates before another on which planned money comes.

    On the same day of the month as the first time, or on the last one there is.
    """
    last = before if funding.until is None else min(before, funding.until)
    count = 0
    on = funding.on
    while on <= last:
        yield on
        if not funding.every_months:
            return
        count += funding.every_months
        month = later_month(month_of(funding.on), count)
        on = month.replace(day=min(funding.on.day, monthrange(month.year, month.month)[1]))
