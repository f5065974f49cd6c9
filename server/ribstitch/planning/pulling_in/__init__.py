"""Pulling in: the cheapest expedites for an earlier finish, exact on the plan's calendars."""

from ribstitch.planning.pulling_in.answers import DisagreementError, PulledIn, Taken
from ribstitch.planning.pulling_in.pull_in import cheapest, cost_curve, cost_of_all, soonest_for

__all__ = [
    "DisagreementError",
    "PulledIn",
    "Taken",
    "cheapest",
    "cost_curve",
    "cost_of_all",
    "soonest_for",
]
