"""When the money is needed, what comes in, and when the account runs dry.

Three bands, month by month from the as-of date (own choice):

- *committed*: what is owed or ordered, on the dates on which it falls due;
- *likely*: all that is expected as well. What goes with the schedule is stretched, so that
  the aircraft is finished on the likely date; what is expected is scaled to the likely cost;
- *possible*: likewise to the date and the cost that 8 of 10 courses keep within.

Nothing is needed before the as-of date: what fell due earlier is needed at once. What was
settled in kind takes no money. Labour that is done counts as paid.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction
from math import floor

from ribstitch.money.account import Account, account_of
from ribstitch.money.currencies import minor_digits
from ribstitch.money.due_dates import DueDates, When
from ribstitch.money.entries import Bucket, Entry, Origin
from ribstitch.money.ledger import Ledger
from ribstitch.money.minor_units import from_minor_units, in_minor_units, share_out
from ribstitch.money.months import month_of, months_from
from ribstitch.planning.schedule import Schedule

FIRM = frozenset({Bucket.INVOICED, Bucket.COMMITTED})
_OPEN = FIRM | {Bucket.EXPECTED}
_SETTLED = (Bucket.PAID, Bucket.WORKED)
NEXT_MONTHS = 3

ByCurrency = tuple[tuple[str, int], ...]
"""Minor units by currency, in order of the code."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a band reaches: to a finish and, if it is known, to a cost at completion."""

    finish: date
    cost: int | None = None
    """[minor units of the project's currency]"""


@dataclass(frozen=True, slots=True)
class Need:
    """Money that is needed on a date."""

    entry: Entry
    when: When
    """Not before the as-of date."""
    native: int
    """[minor units of the entry's currency]"""
    worth: int
    """[minor units of the project's currency]"""


@dataclass(frozen=True, slots=True)
class CashMonth:
    """
    One month. [minor units of the project's currency]

    Attributes
    ----------
    balance
        On the account at the end of the month, if what is likely is paid; None: nobody
        said what is on it.
    native, likely_native, possible_native
        What is committed, likely and possible, by the currency that it is paid in. [minor
        units of that currency]
    """

    month: date
    committed: int
    likely: int
    possible: int
    funding: int
    balance: int | None
    native: ByCurrency
    likely_native: ByCurrency
    possible_native: ByCurrency


@dataclass(frozen=True)
class CashNeed:
    """
    Cash by month, and when it runs out.

    Attributes
    ----------
    needs
        What is open, on its dates as the plan is written, the earliest first.
    overdue
        What was due before the as-of date of what is owed or ordered. [minor units]
    on_account
        At the as-of date; None: nobody said.
    dry, dry_possible
        The first month at whose end the account is below zero, if what is likely, or
        what is possible, is paid; None: none, or nobody said what is on the account.
    """

    currency: str
    as_of: date
    months: tuple[CashMonth, ...]
    needs: tuple[Need, ...] = field(repr=False)
    overdue: int
    on_account: int | None
    dry: date | None
    dry_possible: date | None

    @property
    def next(self) -> tuple[CashMonth, ...]:
        """The month of the as-of date and the two after it, as far as money is needed."""
        return self.months[:NEXT_MONTHS]

    @property
    def next_sentence(self) -> str:
        """What is needed soon."""
        if not self.next:
            return "Nothing is left to pay."
        committed = sum(one.committed for one in self.next)
        likely = sum(one.likely for one in self.next)
        return (
            f"By the end of {_name(self.next[-1].month)}, {self._money(likely)} are likely "
            f"to be needed; {self._money(committed)} of what is owed or ordered falls due."
        )

    @property
    def dry_sentence(self) -> str:
        """When the account runs dry."""
        if self.on_account is None:
            return "Enter what is on the account, and on which date, to see how long it lasts."
        if self.on_account < 0:
            return f"The account is overdrawn by {self._money(-self.on_account)} already."
        if self.dry is not None:
            short = next(one.balance or 0 for one in self.months if one.month == self.dry)
            return (
                f"The account runs dry in {_name(self.dry)}: by its end, "
                f"{self._money(-short)} are likely to be missing."
            )
        if self.dry_possible is not None:
            return (
                "The account is likely to last to the end, but may run dry in "
                f"{_name(self.dry_possible)}."
            )
        return "The account lasts to the end."

    def _money(self, units: int) -> str:
        return f"{from_minor_units(units, self.currency):f} {self.currency}"


def cash_need(
    schedule: Schedule,
    ledger: Ledger,
    *,
    likely: Reach | None = None,
    possible: Reach | None = None,
) -> CashNeed:
    """
    Reckon when money is needed.

    Parameters
    ----------
    schedule
        The plan's schedule.
    ledger
        Its money.
    likely, possible
        How far these bands reach; None: as the plan is written.
    """
    plan = schedule.prepared.plan
    as_of = plan.project.as_of
    needs = _needs(schedule, ledger)
    late = [one for one in needs if one.when.on < as_of and one.entry.bucket in FIRM]
    needs = tuple(replace(one, when=_not_before(one.when, as_of)) for one in needs)
    firm = [one for one in needs if one.entry.bucket in FIRM]
    settled = ledger.total(_SETTLED)
    written = schedule.finish_on
    bands = [firm, *(_reached(needs, one, as_of, written, settled) for one in (likely, possible))]
    account = account_of(plan, ledger)
    by_month = [_by_month(band) for band in bands]
    natives = [_native(band) for band in bands]
    months = _months(as_of, by_month)
    funding = [account.funding_in(month) for month in months]
    balances = [_balances(account, months, by_month[band], funding) for band in (1, 2)]
    return CashNeed(
        currency=ledger.currency,
        as_of=as_of,
        months=tuple(
            CashMonth(
                month=month,
                committed=by_month[0].get(month, 0),
                likely=by_month[1].get(month, 0),
                possible=by_month[2].get(month, 0),
                funding=funding[place],
                balance=balances[0][place],
                native=natives[0].get(month, ()),
                likely_native=natives[1].get(month, ()),
                possible_native=natives[2].get(month, ()),
            )
            for place, month in enumerate(months)
        ),
        needs=tuple(sorted(needs, key=lambda one: one.when.on)),
        overdue=sum(one.worth for one in late),
        on_account=account.units,
        dry=_first_below_zero(months, balances[0]),
        dry_possible=_first_below_zero(months, balances[1]),
    )


def _needs(schedule: Schedule, ledger: Ledger) -> tuple[Need, ...]:
    """Return what is open, part by part, on the dates of the plan as written."""
    lines = {line.id: line for line in schedule.prepared.plan.costs}
    dates = DueDates(schedule)
    found: list[Need] = []
    for entry in ledger.entries:
        if entry.bucket not in _OPEN:
            continue
        if entry.origin is Origin.GROWTH:
            when = dates.last(lines[entry.of])
            found.append(Need(entry, when, entry.amount, entry.worth))
            continue
        if entry.origin is not Origin.LINE:
            found.append(Need(entry, When(entry.on, moves=True), entry.amount, entry.worth))
            continue
        parts = dates.parts(lines[entry.of], entry.amount)
        worth = share_out(entry.worth, [abs(part.units) for part in parts])
        found += [
            Need(entry, part.when, part.units, units)
            for part, units in zip(parts, worth, strict=True)
        ]
    return tuple(found)


def _not_before(when: When, as_of: date) -> When:
    """Return a date that is not gone by."""
    return When(as_of) if when.on < as_of else when


def _reached(
    needs: Sequence[Need], reach: Reach | None, as_of: date, written: date, settled: int
) -> list[Need]:
    """Return the needs stretched to a finish and scaled to a cost."""
    if reach is None:
        return list(needs)
    found = needs
    if written > as_of:
        pace = Fraction((max(reach.finish, as_of) - as_of).days, (written - as_of).days)
        found = [replace(one, when=_stretched(one.when, as_of, pace)) for one in needs]
    if reach.cost is None:
        return list(found)
    firm = sum(one.worth for one in found if one.entry.bucket in FIRM)
    found = sorted(found, key=lambda one: one.when.on)
    return list(_scaled(found, max(reach.cost - settled - firm, 0)))


def _stretched(when: When, as_of: date, pace: Fraction) -> When:
    """Return a date moved away from the as-of date, if it goes with the schedule."""
    if not when.moves:
        return when
    days = floor((when.on - as_of).days * pace + Fraction(1, 2))
    return When(as_of + timedelta(days=days), moves=True)


def _scaled(needs: Sequence[Need], target: int) -> Iterator[Need]:
    """Yield needs in order of date, what is expected scaled so that it comes to a target."""
    whole = sum(one.worth for one in needs if one.entry.bucket not in FIRM)
    run, before = 0, 0
    for one in needs:
        if one.entry.bucket in FIRM or whole <= 0:
            yield one
            continue
        run += one.worth
        now = (2 * target * run + whole) // (2 * whole)
        worth, before = now - before, now
        yield replace(one, native=_paid_as(one, worth), worth=worth)


def _paid_as(one: Need, worth: int) -> int:
    """Return what an amount of the project's currency is in that of a need, at its rate."""
    if not one.worth:
        return one.native
    share = Fraction(one.native * worth, one.worth)
    return in_minor_units(share / 10 ** minor_digits(one.entry.currency), one.entry.currency)


def _by_month(needs: Sequence[Need]) -> dict[date, int]:
    """Add needs up by month. [minor units]"""
    found: defaultdict[date, int] = defaultdict(int)
    for one in needs:
        found[month_of(one.when.on)] += one.worth
    return dict(found)


def _native(needs: Sequence[Need]) -> dict[date, ByCurrency]:
    """Add needs up by month and currency. [minor units of the currency]"""
    found: defaultdict[date, defaultdict[str, int]] = defaultdict(lambda: defaultdict(int))
    for one in needs:
        found[month_of(one.when.on)][one.entry.currency] += one.native
    return {month: tuple(sorted(sums.items())) for month, sums in found.items()}


def _months(as_of: date, bands: Sequence[dict[date, int]]) -> tuple[date, ...]:
    """Return the months from the as-of date to the last need."""
    last = max((month for band in bands for month in band), default=None)
    return () if last is None else tuple(months_from(as_of, last))


def _balances(
    account: Account, months: Sequence[date], needs: dict[date, int], funding: Sequence[int]
) -> list[int | None]:
    """Return what is on the account at the end of each month; None: nobody said."""
    run = account.units
    found: list[int | None] = []
    for month, coming in zip(months, funding, strict=True):
        if run is not None:
            run += coming - needs.get(month, 0)
        found.append(run)
    return found


def _first_below_zero(months: Sequence[date], balances: Sequence[int | None]) -> date | None:
    """Return the first month that ends below zero."""
    known = zip(months, balances, strict=True)
    return next((month for month, one in known if one is not None and one < 0), None)


def _name(month: date) -> str:
    """Return a month as it is read: March 2027."""
    return f"{month:%B} {month.year}"
