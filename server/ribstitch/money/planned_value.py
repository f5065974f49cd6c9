"""Planned value: the budget of a baseline over the dates on which its work was to be done.

When a package's budget is planned follows from its earning rule: at its finish; half at
its start and half at its finish; or evenly from its start to its finish.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from ribstitch.money.curve import Accrual, Curve
from ribstitch.money.minor_units import in_minor_units
from ribstitch.money.months import end_of_month, months_from
from ribstitch.planning.model import Baseline, EarningRule, Package

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class PlannedValue:
    """
    The planned value of a baseline.

    Attributes
    ----------
    baseline
        What was approved.
    currency
        The project's currency (ISO 4217); all amounts are in its minor units.
    """

    baseline: Baseline
    currency: str

    @cached_property
    def total(self) -> int:
        """Budget at completion (BAC). [minor units]"""
        return self.curve.total

    @cached_property
    def curve(self) -> Curve:
        """Planned value by date."""
        return self._curve_of(self.baseline.packages)

    def by(self, day: date) -> int:
        """Return what was to be done by the end of a date (PV). [minor units]"""
        return self.curve.by(day)

    @cached_property
    def months(self) -> tuple[date, ...]:
        """The months from the first package's start to the last one's finish."""
        first, last = self.curve.first, self.curve.last
        return tuple(months_from(first, last)) if first and last else ()

    @cached_property
    def by_month(self) -> tuple[int, ...]:
        """What was to be done by the end of each month, in the order of `months`."""
        return tuple(self.by(end_of_month(month)) for month in self.months)

    @cached_property
    def by_chapter(self) -> dict[str | None, tuple[int, ...]]:
        """What was to be done within each month by chapter, in the order of `months`."""
        chapters: dict[str | None, list[Package]] = {}
        for package in self.baseline.packages:
            chapters.setdefault(package.chapter, []).append(package)
        return {chapter: self._monthly(chapters[chapter]) for chapter in chapters}

    def _monthly(self, packages: list[Package]) -> tuple[int, ...]:
        """Return what some packages were to bring within each month."""
        curve = self._curve_of(packages)
        return tuple(
            curve.by(end_of_month(month)) - curve.by(month - _ONE_DAY) for month in self.months
        )

    def _curve_of(self, packages: list[Package] | tuple[Package, ...]) -> Curve:
        """Return the planned value of some packages."""
        return Curve(
            part for package in packages for part in planned_accruals(package, self.currency)
        )


def planned_accruals(package: Package, currency: str) -> tuple[Accrual, ...]:
    """Return when a package's budget was to be earned."""
    units = in_minor_units(package.amount, currency)
    match package.rule:
        case EarningRule.ALL_AT_END:
            return (Accrual(units, package.finish, package.finish),)
        case EarningRule.HALF_AND_HALF:
            return _halves(units, package.start, package.finish)
        case EarningRule.WORK_DONE | EarningRule.LEGS | EarningRule.TIME:
            return (Accrual(units, package.start, package.finish),)


def _halves(units: int, start: date, finish: date) -> tuple[Accrual, Accrual]:
    """Return half at the start, the odd unit with it, and the rest at the finish."""
    half = (units + 1) // 2
    return Accrual(half, start, start), Accrual(units - half, finish, finish)
