"""The as-of date on a sheet of dates: a line from top to bottom, and its name."""

from __future__ import annotations

from typing import Any

from ribstitch.charts.paper import INK, moment, words
from ribstitch.planning.model import Plan
from ribstitch.planning.ticks import start_of


def now_line(plan: Plan) -> dict[str, Any]:
    """Draw the as-of date from top to bottom, as a drawing's centre line."""
    at = moment(start_of(plan.project.as_of))
    line = {"color": INK, "width": 1.2, "dash": "12px,3px,2px,3px"}
    return {"type": "line", "yref": "paper", "x0": at, "x1": at, "y0": 0, "y1": 1, "line": line}


def now_name(plan: Plan) -> dict[str, Any]:
    """Letter the as-of date at the foot of its line."""
    return {
        "name": "as-of",
        "x": moment(start_of(plan.project.as_of)),
        "xanchor": "left",
        "yref": "paper",
        "y": 0,
        "yanchor": "top",
        "text": f"as of {words(plan.project.as_of)}",
        "showarrow": False,
        "font": {"size": 12, "color": INK},
    }
