"""Earned value and earned schedule of a plan against the last of its baselines.

Planned value and budget are the baseline's, earned value is what its packages have
earned, actual cost is what the ledger says is paid, invoiced or worked. The as-of date
counts as gone by. Earned schedule is reckoned in dates, so that an aircraft finished on
the planned date has the index 1, and is told in months.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction
from math import ceil

from ribstitch.money.curve import Accrual, Curve
from ribstitch.money.earned_schedule import EarnedSchedule, earned_schedule
from ribstitch.money.earned_value import EarnedValue
from ribstitch.money.earnings import Earnings, Lost
from ribstitch.money.entries import SPENT
from ribstitch.money.ledger import DAYS_PER_MONTH, Ledger
from ribstitch.money.minor_units import from_minor_units, in_minor_units
from ribstitch.money.months import end_of_month, months_from
from ribstitch.money.planned_value import PlannedValue, planned_accruals
from ribstitch.money.planned_work import trips_of
from ribstitch.planning.model import Baseline, Package, Plan, State
from ribstitch.planning.schedule import Schedule

_NAMED = 5
"""So many things are called by name; the rest is counted."""


@dataclass(frozen=True, slots=True)
class PackageEarned:
    """How a package stands at the as-of date. [minor units]"""

    package: Package
    planned: int
    earned: int
    lost: Lost | None = None
    """Why it can earn nothing any more."""


@dataclass(frozen=True, slots=True)
class MonthEarned:
    """
    Running totals at the end of a month. [minor units]

    What is earned and spent in the month of the as-of date: by that date; later: None.
    """

    month: date
    planned: int
    earned: int | None
    actual: int | None


@dataclass(frozen=True)
class Earned:
    """
    A plan against its last baseline.

    Attributes
    ----------
    as_of
        The date by which is counted; of a finished aircraft, when it was finished.
    budget, planned, earned, actual
        BAC, PV, EV, AC. [minor units of `currency`]
    pace
        Earned schedule; its periods are dates from `start`.
    packages
        In the baseline's order.
    unplanned
        Tasks and send-outs without a package, added since: what they cost is in the
        actual cost, and they earn nothing.
    months
        From the baseline's first month to its last or that of the as-of date.
    names
        Of the plan's tasks and send-outs, by id.
    """

    baseline: Baseline
    currency: str
    as_of: date
    start: date
    budget: int
    planned: int
    earned: int
    actual: int
    pace: EarnedSchedule
    packages: tuple[PackageEarned, ...] = field(repr=False)
    unplanned: tuple[str, ...]
    months: tuple[MonthEarned, ...] = field(repr=False)
    names: Mapping[str, str] = field(repr=False)

    @property
    def value(self) -> EarnedValue:
        """The indices and estimates. [project's currency]"""
        figures = (self.budget, self.planned, self.earned, self.actual)
        return EarnedValue(*(Fraction(from_minor_units(units, self.currency)) for units in figures))

    @property
    def dropped(self) -> tuple[str, ...]:
        """Packages whose work was dropped."""
        return self._lost(Lost.DROPPED)

    @property
    def gone(self) -> tuple[str, ...]:
        """Packages whose work is no longer in the plan."""
        return self._lost(Lost.GONE)

    @property
    def finish_by_pace(self) -> date | None:
        """When it is finished at the pace so far (IEAC(t)); None: not yet, or never."""
        days = self.pace.estimate
        if days is None or self.start.toordinal() + days > date.max.toordinal():
            return None
        return self.start + timedelta(days=max(ceil(days) - 1, 0))

    def sentences(self) -> Iterator[str]:
        """Say what keeps the figures from being compared like with like."""
        for ids, says in (
            (self.dropped, _said_of_dropped),
            (self.gone, _said_of_gone),
            (self.unplanned, _said_of_unplanned),
        ):
            if ids:
                said = says(self._named(ids), is_one=len(ids) == 1)
                yield f"{said} A new baseline takes account of that."

    def _named(self, ids: tuple[str, ...]) -> str:
        """Return a list to be read: the first few by name, and how many more there are."""
        names = [f"“{self.names.get(one, one)}”" for one in ids[:_NAMED]]
        if len(ids) > _NAMED:
            names.append(f"{len(ids) - _NAMED} more")
        return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

    def _lost(self, why: Lost) -> tuple[str, ...]:
        return tuple(one.package.id for one in self.packages if one.lost is why)


def _said_of_dropped(named: str, *, is_one: bool) -> str:
    if is_one:
        return f"{named} was dropped and earns nothing."
    return f"{named} were dropped and earn nothing."


def _said_of_gone(named: str, *, is_one: bool) -> str:
    if is_one:
        return f"{named} is no longer in the plan and earns nothing."
    return f"{named} are no longer in the plan and earn nothing."


def _said_of_unplanned(named: str, *, is_one: bool) -> str:
    if is_one:
        return f"{named} came after the baseline: its cost counts, but it earns nothing."
    return f"{named} came after the baseline: their cost counts, but they earn nothing."


def in_months(days: Fraction) -> Fraction:
    """Return days as months of average length (365.25 / 12 days)."""
    return days / DAYS_PER_MONTH


def missing_for_earned(plan: Plan) -> str | None:
    """Say in one sentence what a plan lacks for earned value; None: nothing."""
    if not plan.baselines:
        return (
            "There is no baseline yet: enter the budget by chapter and approve the plan; "
            "from then on it shows what is earned of it."
        )
    currency = plan.project.currency
    if not any(in_minor_units(one.amount, currency) for one in plan.baselines[-1].packages):
        return "The baseline plans no money: enter the budget by chapter and approve the plan."
    return None


def earned_of(schedule: Schedule, ledger: Ledger) -> Earned | None:
    """
    Measure a plan against the last of its baselines.

    Parameters
    ----------
    schedule
        The plan's schedule.
    ledger
        Its money.

    Returns
    -------
    Earned or None
        None where `missing_for_earned` names what is missing.
    """
    plan = schedule.prepared.plan
    if missing_for_earned(plan) is not None:
        return None
    baseline = plan.baselines[-1]
    planned = PlannedValue(baseline, ledger.currency)
    finished_on = _finished_on(schedule)
    on = finished_on or plan.project.as_of
    packages, earned = _packages(baseline, Earnings(schedule, finished_on), ledger.currency, on)
    spent = [one for one in ledger.entries if one.bucket in SPENT]
    actual = Curve(Accrual(one.worth, day, day) for one in spent for day in (min(one.on, on),))
    start = planned.curve.first or baseline.approved_on
    time = Fraction(max((on - start).days + 1, 0))
    by_date = [Fraction(int(units)) for units in planned.curve.by_date]
    return Earned(
        baseline=baseline,
        currency=ledger.currency,
        as_of=on,
        start=start,
        budget=planned.total,
        planned=planned.by(on),
        earned=earned.by(on),
        actual=actual.total,
        pace=earned_schedule(by_date, Fraction(earned.by(on)), time),
        packages=packages,
        unplanned=tuple(_unplanned(plan, baseline)),
        months=tuple(_months(planned, earned, actual, on)),
        names={one.id: one.name for one in plan.tasks if one.name}
        | {one.id: one.name for one in plan.send_outs if one.name},
    )


def _packages(
    baseline: Baseline, earnings: Earnings, currency: str, on: date
) -> tuple[tuple[PackageEarned, ...], Curve]:
    """Return how each package stands, and the earned value by date."""
    packages: list[PackageEarned] = []
    parts: list[Accrual] = []
    for package in baseline.packages:
        planned = sum(one.by(on) for one in planned_accruals(package, currency))
        found = earnings.of(package)
        lost = found if isinstance(found, Lost) else None
        mine = () if isinstance(found, Lost) else found
        parts += mine
        packages.append(PackageEarned(package, planned, sum(one.by(on) for one in mine), lost))
    return tuple(packages), Curve(parts)


def _finished_on(schedule: Schedule) -> date | None:
    """Return when all work was done; None: there is work to do, or none at all."""
    mine = [number for number, one in enumerate(schedule.activities) if not one.dropped]
    if not mine or not all(schedule.activities[number].is_done for number in mine):
        return None
    return max(schedule.finish_on_of(number) for number in mine)


def _unplanned(plan: Plan, baseline: Baseline) -> Iterator[str]:
    """Yield the work that has no package."""
    known = {package.id for package in baseline.packages}
    for task in plan.tasks:
        counts = task.duration and task.status.state is not State.DROPPED
        if counts and task.id not in known:
            yield task.id
    for name, trips in trips_of(plan).items():
        if name not in known and not all(trip.dropped for trip in trips):
            yield name


def _months(planned: PlannedValue, earned: Curve, actual: Curve, on: date) -> Iterator[MonthEarned]:
    """Yield the running totals month by month."""
    first, last = planned.months[0], planned.months[-1]
    for month in months_from(first, max(last, on)):
        end = end_of_month(month)
        gone = month <= on
        day = min(end, on)
        yield MonthEarned(
            month=month,
            planned=planned.by(end),
            earned=earned.by(day) if gone else None,
            actual=actual.by(day) if gone else None,
        )
