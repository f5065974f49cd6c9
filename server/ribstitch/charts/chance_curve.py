"""A chance that rises along an axis: the curve, its ruled box, and uprights with names.

The box of upright strokes under the curve lies between the likely value and the one that is
kept with 8 chances in 10, as it does on the bands of the pages.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from ribstitch.charts.paper import INK, INK_SOFT, PAPER, RULE

X = TypeVar("X", date, float)

LIKELY, BY80 = 0.5, 0.8
_HIGHEST = 1.06
"""Where the sheet ends above certainty. [chance]"""
_ANCHORS = {"left": ("right", -6), "middle": ("center", 0), "right": ("left", 6)}
"""What end of a name stands at its upright, and how far from it [px], by side."""


def chance_words(probability: float) -> str:
    """Write a chance in tenths or hundredths; one that was counted is never a certainty."""
    if probability < 0.005:
        return "less than 1 chance in 100"
    if probability >= 0.995:
        return "more than 99 chances in 100"
    hundredths = round(probability * 100)
    count, of = (hundredths, 100) if hundredths % 10 else (hundredths // 10, 10)
    return f"{count} {'chance' if count == 1 else 'chances'} in {of}"


@dataclass(frozen=True, slots=True)
class Mark:
    """An upright at a value, with its name."""

    at: Any
    text: str
    top: float
    """How far up the upright reaches. [chance]"""
    height: float
    """Where its name stands. [chance]"""
    side: str
    """On which side of the upright its name stands: left, right, or in the middle."""
    width: float = 1.2
    dash: str = "solid"


def chance_axis(**axis: Any) -> dict[str, Any]:
    """Return an upright axis of chances in tenths."""
    tenths = range(0, 11, 2)
    shared: dict[str, Any] = {
        "range": [0, _HIGHEST],
        "tickvals": [tenth / 10 for tenth in tenths],
        "ticktext": ["none", *(f"{tenth} in 10" for tenth in tenths[1:-1]), "all"],
        "gridcolor": RULE,
        "zeroline": False,
        "linecolor": INK,
        "fixedrange": True,
        "automargin": True,
    }
    return shared | axis


def curve(
    x: Sequence[Any], y: Sequence[float], hover: Sequence[str], *, name: str, **line: Any
) -> dict[str, Any]:
    """Draw a chance along an axis; `hover` is what is told of each value."""
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": list(x),
        "y": list(y),
        "line": {"color": INK, "width": 2.6} | line,
        "customdata": [[text, chance_words(chance)] for text, chance in zip(hover, y, strict=True)],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<extra></extra>",
    }


def box(x: Sequence[Any], y: Sequence[float]) -> dict[str, Any]:
    """Fill what lies under a part of a curve with upright strokes."""
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "From likely to 8 chances in 10",
        "x": [x[0], *x, x[-1]],
        "y": [0, *y, 0],
        "fill": "toself",
        "fillcolor": PAPER,
        "fillpattern": {
            "shape": "|", "fgcolor": INK_SOFT, "bgcolor": PAPER, "size": 6, "solidity": 0.14,
        },
        "line": {"width": 0},
        "hoverinfo": "skip",
    }  # fmt: skip


def between(points: Sequence[tuple[X, float]], low: X, high: X) -> list[tuple[X, float]]:
    """Return the points from one value to another, with the ends themselves."""
    found = [(low, chance_at(points, low))]
    found += [point for point in points if low < point[0] < high]
    found.append((high, chance_at(points, high)))
    return found


def chance_at(points: Sequence[tuple[X, float]], at: X) -> float:
    """Return the chance at a value, on the straight line between its neighbours."""
    right = bisect_right([x for x, _ in points], at)
    if right == 0:
        return 0.0
    if right == len(points):
        return points[-1][1]
    (before, low), (after, high) = points[right - 1], points[right]
    return low + float((at - before) / (after - before)) * (high - low)


def uprights(marks: Sequence[Mark]) -> list[dict[str, Any]]:
    """Draw the uprights."""
    return [
        {
            "type": "line", "x0": mark.at, "x1": mark.at, "y0": 0, "y1": mark.top,
            "line": {"color": INK, "width": mark.width, "dash": mark.dash},
        }
        for mark in marks
    ]  # fmt: skip


def names(marks: Sequence[Mark]) -> list[dict[str, Any]]:
    """Letter the uprights."""
    return [
        {
            "x": mark.at,
            "y": mark.height,
            "xanchor": _ANCHORS[mark.side][0],
            "xshift": _ANCHORS[mark.side][1],
            "yanchor": "middle",
            "text": mark.text,
            "showarrow": False,
            "bgcolor": PAPER,
            "borderpad": 2,
            "font": {"size": 13, "color": INK},
        }
        for mark in marks
    ]


def triangle(at: Any, height: float, name: str, *, upside_down: bool) -> dict[str, Any]:
    """Mark a value by an open triangle: on its point for a wanted date, on its base for a word."""
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [at],
        "y": [height],
        "marker": {
            "symbol": "triangle-down" if upside_down else "triangle-up", "size": 13,
            "color": PAPER, "line": {"color": INK, "width": 1.6},
        },
        "cliponaxis": False,
        "hoverinfo": "skip",
    }  # fmt: skip
