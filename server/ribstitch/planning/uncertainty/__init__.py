"""How sure a date is: what is drawn, the runs, and what they say."""

from ribstitch.planning.uncertainty.causes import find_causes
from ribstitch.planning.uncertainty.drawn_from import drawn_from
from ribstitch.planning.uncertainty.lead_times import LeadTime, lead_times
from ribstitch.planning.uncertainty.pace import Pace, pace_of
from ribstitch.planning.uncertainty.results import (
    LEVELS,
    Cause,
    Chance,
    Moved,
    Simulation,
    Spread,
    compare_runs,
)
from ribstitch.planning.uncertainty.simulate import ENGINE, simulate
from ribstitch.planning.uncertainty.swings import Swing, find_swings

__all__ = [
    "ENGINE",
    "LEVELS",
    "Cause",
    "Chance",
    "LeadTime",
    "Moved",
    "Pace",
    "Simulation",
    "Spread",
    "Swing",
    "compare_runs",
    "drawn_from",
    "find_causes",
    "find_swings",
    "lead_times",
    "pace_of",
    "simulate",
]
