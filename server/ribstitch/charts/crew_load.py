"""Work against hands: a strip for each trade and place, week by week.

A stepped outline is what is there, level ruling what is taken of it; what is asked for
beyond that stands cross-hatched on the outline.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import Any

from ribstitch.charts.now import now_line, now_name
from ribstitch.charts.paper import (
    INK,
    INK_SOFT,
    PAPER,
    RULE,
    SUNK,
    Figure,
    date_axis,
    label,
    lane_name,
    letters,
    plural,
    sheet,
    words,
)
from ribstitch.planning.model import Plan

_STRIP, _LONE_STRIP = 76, 260
"""Height of a strip with its name, and of one that has the sheet to itself. [pixels]"""
_DRAWN = 0.62
"""Share of a strip's height that its highest week takes; the name stands above it."""
_FOOT = 0.95
"""Where in its strip a drawing stands, from the strip's upper edge. [strips]"""
_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Week:
    """
    What is asked of somebody in one week. All in days.

    Attributes
    ----------
    monday
        Its first date.
    used, available, over
        Asked for in all; there; asked for where there is not enough.
    """

    monday: date
    used: float
    available: float
    over: float


@dataclass(frozen=True, slots=True)
class Strip:
    """One trade or place."""

    name: str
    count: str
    """How many there are, in words; empty where there can only be one."""
    weeks: Sequence[Week]
    """By date, one at least; those with nothing to draw may be left out."""


_Corners = tuple[list[str | None], list[float | None]]
"""Along and up, with gaps."""


@dataclass(frozen=True, slots=True)
class _Placed:
    """A strip where it stands on the sheet."""

    strip: Strip
    top: float
    """[strips from the top of the sheet]"""
    highest: float
    """Of all weeks. [days]"""
    weeks: Sequence[Week]
    """One after the other, without a gap."""

    @property
    def foot(self) -> float:
        """The level of nothing. [strips from the top of the sheet]"""
        return self.top + _FOOT

    def level(self, days: float) -> float:
        """Return the level of so many days. [strips from the top of the sheet]"""
        return round(self.foot - _DRAWN * days / self.highest, 5)


def crew_load_figure(strips: Sequence[Strip], plan: Plan, finish: date) -> Figure:
    """
    Draw what is asked of people and places against what there is.

    Parameters
    ----------
    strips
        From the top; without any, the sheet has dates alone.
    plan
        Whose as-of date is marked.
    finish
        When the project is finished as the plan stands.

    Returns
    -------
    Figure
        The `customdata` of a week are the strip's name, the week, and its days in words.
    """
    placed = [_placed(number, strip) for number, strip in enumerate(strips)]
    count = max(len(placed), 1)
    days = [week.monday for one in placed for week in one.weeks] + [plan.project.as_of]
    ends = [one.weeks[-1].monday + _WEEK for one in placed] + [finish + timedelta(days=1)]
    margin = max((max(ends) - min(days)) / 50, timedelta(days=2))
    return {
        "data": [_taken(placed), _beyond(placed), _outline(placed), _told(placed)],
        "layout": sheet(
            height=90 + (_LONE_STRIP if count == 1 else _STRIP * count),
            margin={"l": 20, "r": 20, "t": 46, "b": 44},
            barmode="overlay",
            bargap=0,
            xaxis=date_axis(
                range=[(min(days) - margin).isoformat(), (max(ends) + margin).isoformat()],
                side="top",
            ),
            yaxis={
                "range": [count, 0], "fixedrange": True, "showgrid": False,
                "zeroline": False, "showticklabels": False,
            },
            shapes=[*_rules(placed), now_line(plan), _finish_line(finish)],
            annotations=[*_names(placed), now_name(plan), _finish_name(finish)],
        ),
    }  # fmt: skip


def _placed(number: int, strip: Strip) -> _Placed:
    """Give a strip its place and its scale."""
    known = {week.monday: week for week in strip.weeks}
    weeks = []
    monday = min(known)
    while monday <= max(known):
        weeks.append(known.get(monday) or Week(monday, 0, 0, 0))
        monday += _WEEK
    highest = max(max(week.available + week.over, week.used) for week in weeks)
    return _Placed(strip, number, highest or 1, weeks)


def _taken(placed: Sequence[_Placed]) -> dict[str, Any]:
    """Rule what is taken of what there is."""
    drawn = _stairs(placed, lambda week: (0, max(week.used - week.over, 0)))
    return _area("Work", drawn, 0.6) | {
        "fillcolor": SUNK,
        "fillpattern": {
            "shape": "-", "fgcolor": INK_SOFT, "bgcolor": SUNK, "size": 4, "solidity": 0.25,
        },
    }  # fmt: skip


def _beyond(placed: Sequence[_Placed]) -> dict[str, Any]:
    """Cross-hatch what is asked for beyond what there is; it stands on the outline."""
    drawn = _stairs(placed, lambda week: (week.available, week.available + week.over))
    return _area("More than there is", drawn, 1.2) | {
        "fillcolor": PAPER,
        "fillpattern": {
            "shape": "x", "fgcolor": INK, "bgcolor": PAPER, "size": 5, "solidity": 0.3,
        },
    }  # fmt: skip


def _stairs(placed: Sequence[_Placed], reach: Callable[[Week], tuple[float, float]]) -> _Corners:
    """Return what lies between two levels, weeks that touch as one piece."""
    x: list[str | None] = []
    y: list[float | None] = []
    for one in placed:
        for is_drawn, some in groupby(one.weeks, lambda week: operator.lt(*reach(week))):
            if not is_drawn:
                continue
            weeks = list(some)
            days = [(week.monday, week.monday + _WEEK) for week in weeks]
            along = [day.isoformat() for both in days for day in both]
            low, high = ([one.level(side) for side in sides for _ in (0, 1)]
                         for sides in zip(*map(reach, weeks), strict=True))  # fmt: skip
            x += [*along, *reversed(along), along[0], None]
            y += [*high, *reversed(low), high[0], None]
    return x, y


def _area(name: str, corners: _Corners, pen: float) -> dict[str, Any]:
    """Draw areas that are closed, all of them as one trace."""
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": corners[0],
        "y": corners[1],
        "fill": "toself",
        "line": {"color": INK_SOFT, "width": pen, "simplify": False},
        "hoverinfo": "skip",
    }


def _outline(placed: Sequence[_Placed]) -> dict[str, Any]:
    """Draw what there is as a stepped line from foot to foot."""
    x: list[str | None] = []
    y: list[float | None] = []
    for one in placed:
        x.append(one.weeks[0].monday.isoformat())
        y.append(one.foot)
        for week in one.weeks:
            x += [week.monday.isoformat(), (week.monday + _WEEK).isoformat()]
            y += [one.level(week.available)] * 2
        x += [x[-1], None]
        y += [one.foot, None]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "There",
        "x": x,
        "y": y,
        "line": {"color": INK, "width": 1.8, "simplify": False},
        "hoverinfo": "skip",
    }


def _told(placed: Sequence[_Placed]) -> dict[str, Any]:
    """Lay a box that is not seen over each week: hovering over it tells the figures."""
    boxes = [(one, week) for one in placed for week in one.weeks]
    return {
        "type": "bar",
        "name": "Week",
        "x": [(week.monday + _WEEK / 2).isoformat() for _, week in boxes],
        "width": _WEEK.days * 86_400_000,
        "base": [one.foot for one, _ in boxes],
        "y": [-_DRAWN for _ in boxes],
        "marker": {"color": "rgba(0,0,0,0)", "line": {"width": 0}},
        "customdata": [
            [letters(one.strip.name), f"week from {words(week.monday)}", _figures(week)]
            for one, week in boxes
        ],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<br>%{customdata[2]}<extra></extra>",
    }


def _figures(week: Week) -> str:
    """Write the days of a week in words."""
    told = f"{plural(round(week.used, 1), 'day')} of work, {round(week.available, 1):g} there"
    return f"{told}, {round(week.over, 1):g} too many" if week.over else told


def _rules(placed: Sequence[_Placed]) -> Iterator[dict[str, Any]]:
    """Rule the foot of each strip across the sheet."""
    line = {"color": RULE, "width": 1}
    across = {"type": "line", "layer": "below", "xref": "paper", "x0": 0, "x1": 1, "line": line}
    return (across | {"y0": one.foot, "y1": one.foot} for one in placed)


def _names(placed: Sequence[_Placed]) -> Iterator[dict[str, Any]]:
    """Letter each strip's name at its top left, and what its height stands for at its right."""
    for one in placed:
        count = f", {letters(one.strip.count)}" if one.strip.count else ""
        text = f"{label(one.strip.name)}{count}"
        yield lane_name(text, one.top, one.strip.name)
        yield {
            "xref": "paper",
            "x": 1,
            "xanchor": "right",
            "y": one.top,
            "yanchor": "top",
            "text": f"to {plural(round(one.highest, 1), 'day')}",
            "hovertext": "Days of the highest week",
            "showarrow": False,
            "bgcolor": PAPER,
            "borderpad": 1,
            "font": {"size": 12, "color": INK_SOFT},
        }


def _finish_line(finish: date) -> dict[str, Any]:
    """Draw the end of the project's last date from top to bottom."""
    at = (finish + timedelta(days=1)).isoformat()
    line = {"color": INK, "width": 2.4}
    return {"type": "line", "yref": "paper", "x0": at, "x1": at, "y0": 0, "y1": 1, "line": line}


def _finish_name(finish: date) -> dict[str, Any]:
    """Letter the finish at the foot of its line, below the as-of date's name."""
    return {
        "x": (finish + timedelta(days=1)).isoformat(),
        "xanchor": "right",
        "yref": "paper",
        "y": 0,
        "yanchor": "top",
        "yshift": -16,
        "text": f"finish, as written: {words(finish)}",
        "showarrow": False,
        "font": {"size": 12, "color": INK},
    }
