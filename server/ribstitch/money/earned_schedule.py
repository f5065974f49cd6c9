"""Earned schedule: when the work that is done was to be done.

W. Lipke, "Schedule is Different", The Measurable News, 2003. Where the schedule index of
earned value ends at 1 however late the work is, this one keeps telling the truth.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class EarnedSchedule:
    """
    Time earned by an instant, in periods from the start.

    Attributes
    ----------
    duration
        Planned duration: the first period by which all was to be done (PD).
    time
        Time gone by (AT).
    earned
        When what is earned was to be earned (ES).
    """

    duration: Fraction
    time: Fraction
    earned: Fraction

    @property
    def variance(self) -> Fraction:
        """SV(t): negative is behind. [periods]"""
        return self.earned - self.time

    @property
    def index(self) -> Fraction | None:
        """SPI(t): periods earned for each gone by; None at the start."""
        return self.earned / self.time if self.time else None

    @property
    def estimate(self) -> Fraction | None:
        """IEAC(t) = PD / SPI(t): how long it takes in all at this pace. [periods]"""
        return self.duration / self.index if self.index else None

    @property
    def index_to_plan(self) -> Fraction | None:
        """TSPI(t): the pace that ends in the planned duration; None once that is over."""
        left = self.duration - self.time
        return (self.duration - self.earned) / left if left > 0 else None


def earned_schedule(
    planned: Sequence[Fraction], earned: Fraction, time: Fraction
) -> EarnedSchedule:
    """
    Find when what is earned was to be earned.

    Between two periods the plan is taken to rise evenly. Stretches in which nothing was
    planned are stepped over: what is earned by then counts as earned at their end, but
    all that was planned is earned when it was first to be complete.

    Parameters
    ----------
    planned
        Cumulative planned value at the end of periods 1, 2, ...; never falling.
    earned
        Earned value; no more than the last planned value.
    time
        Periods gone by.

    Raises
    ------
    ValueError
        If nothing is planned, the plan falls, or more is earned than planned.
    """
    curve = [Fraction(0), *planned]
    if len(curve) < 2 or curve[-1] <= 0:
        raise ValueError("nothing is planned")
    if any(after < before for before, after in pairwise(curve)):
        raise ValueError("the cumulative planned value falls")
    if not 0 <= earned <= curve[-1]:
        raise ValueError(f"{earned} earned is not between nothing and {curve[-1]}")
    duration = Fraction(curve.index(curve[-1]))
    if earned == curve[-1]:
        return EarnedSchedule(duration, time, duration)
    whole = bisect_right(curve, earned) - 1
    part = (earned - curve[whole]) / (curve[whole + 1] - curve[whole])
    return EarnedSchedule(duration, time, whole + part)
