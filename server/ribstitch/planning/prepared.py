"""A plan made ready for the passes: expanded, its network built, its values gathered.

The calendars are laid out over a range of whole years. Where a date does not fit, the
caller prepares the plan again with the next wider range.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from ribstitch.planning.activities import Activity, Expansion, expand
from ribstitch.planning.calendars import ticks_per_date
from ribstitch.planning.errors import CycleError, EmptyCalendarError, HorizonError
from ribstitch.planning.model import ELAPSED, Calendar, Plan
from ribstitch.planning.network import Network, Values, network_of, values_of
from ribstitch.planning.passes import EarlyDates, LateDates
from ribstitch.planning.ticks import TICKS_PER_DAY

_RANGES = ((2, 10), (10, 40), (60, 150), (200, 400))
"""Years of calendar before the first and after the last date of the plan, tried in turn."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan made ready for the passes: its expansion, network and values."""

    plan: Plan
    expansion: Expansion
    network: Network
    values: Values
    number: Mapping[str, int]
    """Order of entry of each activity by id."""
    delays: Mapping[str, int]
    """Activities that take longer than the plan says, by how much. [ticks]"""
    span: int
    """Which of the widening ranges of years the calendars are laid out over."""
    floors: Mapping[str, int]
    """Tasks and send-outs that are told as of another instant. [ticks]"""

    def rank(self, activity_id: str) -> int:
        """Return the rank of an activity in the network's arrays."""
        return int(self.network.rank[self.number[activity_id]])

    def wider(self) -> Prepared:
        """
        Prepare the same again over the next wider range of years.

        Raises
        ------
        HorizonError, EmptyCalendarError
            If there is none.
        """
        return prepare(self.plan, self.delays, span=self.span + 1, floors=self.floors)

    def fits(self, early: EarlyDates, late: LateDates | None = None) -> bool:
        """Return whether all dates lie within the calendars' range."""
        if early.begin.size == 0:
            return True
        low = early.begin.min() if late is None else late.begin.min()
        last = np.where(self.values.dropped, 0, early.end).max()
        return bool(last < self.network.limit and low > 0)


def prepare(
    plan: Plan,
    delays: Mapping[str, int] | None = None,
    *,
    span: int = 0,
    floors: Mapping[str, int] | None = None,
) -> Prepared:
    """
    Make a checked plan ready for the passes.

    Parameters
    ----------
    plan
        A plan that `check_plan` accepts.
    delays
        Activities that take longer than the plan says, by how much. [ticks]
    span
        Which of the widening ranges of years to lay the calendars out over.
    floors
        Tasks and send-outs that are told as of another instant than the start of the as-of
        date. [ticks]

    Raises
    ------
    CycleError
        If links close a loop.
    HorizonError, EmptyCalendarError
        If even the widest range is too narrow.
    """
    expansion = expand(plan, floors)
    activities = expansion.activities
    first, days = _range(plan, activities, span)
    try:
        network = network_of(
            tuple(one.id for one in activities),
            tuple(one.calendar for one in activities),
            expansion.links,
            calendars_of(plan),
            first,
            days,
        )
    except CycleError as error:
        raise CycleError(error.members, _steps_of_the_crew(error, expansion)) from None
    number = {one.id: place for place, one in enumerate(activities)}
    values = values_of(network, activities, plan.project.out_of_sequence)
    for activity_id, delay in (delays or {}).items():
        values.work[network.rank[number[activity_id]]] += delay
    return Prepared(plan, expansion, network, values, number, delays or {}, span, floors or {})


def _steps_of_the_crew(error: CycleError, expansion: Expansion) -> list[tuple[str, str]]:
    """Return the steps of a loop that nothing but a crew link makes."""
    fixed = len(expansion.links) - len(expansion.crew_links)
    plain = {(link.before, link.after) for link in expansion.links[:fixed]}
    steps = zip(error.members, (*error.members[1:], error.members[0]), strict=True)
    return [step for step in steps if step not in plain]


def calendars_of(plan: Plan) -> tuple[Calendar, ...]:
    """Return the plan's calendars, with elapsed time among them."""
    if any(calendar.id == ELAPSED.id for calendar in plan.calendars):
        return plan.calendars
    return (*plan.calendars, ELAPSED)


def _range(plan: Plan, activities: Sequence[Activity], span: int) -> tuple[int, int]:
    """Return (first ordinal, number of dates) of a range of whole years."""
    if span == len(_RANGES):
        _blame(plan, activities)
    instants = [one.floor for one in activities]
    instants += [one.started for one in activities if one.started is not None]
    instants += [one.deadline for one in activities if one.deadline is not None]
    instants.append(TICKS_PER_DAY * plan.project.start.toordinal())
    before, after = _RANGES[span]
    first = date(date.fromordinal(min(instants) // TICKS_PER_DAY).year - before, 1, 1)
    last = date(date.fromordinal(max(instants) // TICKS_PER_DAY).year + after, 12, 31)
    return first.toordinal(), last.toordinal() - first.toordinal() + 1


def _blame(plan: Plan, activities: Sequence[Activity]) -> None:
    """Say why no range of years is wide enough."""
    last = plan.project.start.year + _RANGES[-1][1]
    used = {one.calendar for one in activities}
    start = plan.project.start.toordinal()
    for place, calendar in enumerate(plan.calendars):
        if calendar.id in used and not ticks_per_date(calendar, start, 366 * 50).any():
            raise EmptyCalendarError(f"calendars[{place}]", calendar.id)
    raise HorizonError(last)
