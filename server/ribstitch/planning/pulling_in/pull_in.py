"""The doors to pulling in: a wanted date, a sum of money, the whole curve."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from ribstitch.planning.model import Plan
from ribstitch.planning.pulling_in.answers import PulledIn

Clock = Callable[[], float]
"""Tells seconds that only go forward; the core has no clock of its own."""
OnProgress = Callable[[float], None]
"""Told the share that is done, 0 to 1; raises where the rest is not wanted any more."""


def cheapest(
    plan: Plan,
    finish_by: date,
    *,
    seconds: float,
    clock: Clock,
    on_progress: OnProgress = lambda _: None,
) -> PulledIn:
    """Return the cheapest expedites with which a plan is finished by a date."""
    raise NotImplementedError


def soonest_for(
    plan: Plan,
    budget: Decimal,
    *,
    seconds: float,
    clock: Clock,
    on_progress: OnProgress = lambda _: None,
) -> PulledIn:
    """Return the earliest finish that a sum buys (project's currency), at its least cost."""
    raise NotImplementedError


def cost_curve(
    plan: Plan,
    *,
    seconds: float,
    clock: Clock,
    most_points: int = 60,
    on_progress: OnProgress = lambda _: None,
) -> tuple[PulledIn, ...]:
    """Return the least cost against the finish, from the plan's own to the earliest."""
    raise NotImplementedError


def cost_of_all(plan: Plan) -> Decimal:
    """Return what all that is left of the expedites costs, in the project's currency."""
    raise NotImplementedError
