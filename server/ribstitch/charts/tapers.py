"""The uncertain end of a piece of work, drawn as a taper like that of a scarf joint.

The taper goes on from the end as written. At each date it is as high as the chance that
the work is still going on: half a bar at P50, a fifth at P80, a tenth at P90, where it
ends. A heavy upright marks the likely end, a fine one the end that is kept with 8 chances
in 10. Where many stand in few inches they are drawn plain: a pale wedge and the likely end
alone. All tapers of a sheet are one outline, and their marks two rows of uprights, so that
thousands of them are drawn as fast as a few.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ribstitch.charts.paper import INK, INK_SOFT, PAPER, SUNK, moment, words
from ribstitch.planning.ticks import end_of
from ribstitch.planning.uncertainty.results import Spread

HEIGHT = 0.74
"""Height of a taper where the work surely still goes on: that of a bar. [rows]"""
_STILL_GOING = (0.9, 0.5, 0.2, 0.1)
"""Chance that work is still going on at P10, P50, P80 and P90."""
_MARK = 0.56
"""Height of the uprights. [rows]"""


@dataclass(frozen=True, slots=True)
class UncertainEnd:
    """Where a piece of work ends on the sheet, and when it may end instead."""

    row: float
    """The middle of the bar."""
    finish: int
    """As written. [ticks]"""
    spread: Spread

    @property
    def instants(self) -> tuple[int, int, int, int]:
        """The ends of the dates at P10, P50, P80 and P90. [ticks]"""
        one = self.spread
        return end_of(one.p10), end_of(one.p50), end_of(one.p80), end_of(one.p90)


def is_uncertain(spread: Spread) -> bool:
    """Return whether there is anything to draw: not all dates are one."""
    return spread.p10 != spread.p90


def in_words(spread: Spread) -> str:
    """Say when something ends: the likely date, and the one that is kept 8 times in 10."""
    return f"likely {words(spread.p50)}; 8 chances in 10 by {words(spread.p80)}"


def taper_shapes(
    ends: Sequence[UncertainEnd], name: str = "May still go on", *, plain: bool = False
) -> dict[str, Any]:
    """Draw the tapers, plain ones without uprights; they belong beneath all other lines."""
    x: list[str | None] = []
    y: list[float | None] = []
    for one in ends:
        if one.finish >= one.instants[-1]:
            continue
        along, height = _outline(one)
        x += [*map(moment, along), None]
        y += [*height, None]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": x,
        "y": y,
        "fill": "toself",
        "fillcolor": SUNK,
        "fillpattern": {
            "shape": "" if plain else "|", "fgcolor": INK_SOFT, "bgcolor": PAPER,
            "size": 4, "solidity": 0.16,
        },
        "line": {"color": INK_SOFT, "width": 0.4 if plain else 0.8, "simplify": False},
        "hoverinfo": "skip",
    }  # fmt: skip


def taper_marks(
    ends: Sequence[UncertainEnd], of: str = "", *, plain: bool = False
) -> list[dict[str, Any]]:
    """
    Draw the likely ends and those kept with 8 chances in 10; they belong above other lines.

    Beside plain tapers the latter are there, but not in sight.
    """
    likely = [(one.instants[1], one.row) for one in ends]
    kept = [(one.instants[2], one.row) for one in ends]
    return [
        _marks(f"Likely end{of}", likely, 2.2),
        _marks(f"80 % by{of}", kept, 1.0) | {"visible": not plain},
    ]


def _outline(one: UncertainEnd) -> tuple[list[int], list[float]]:
    """Return the corners of a taper, from its foot at the end as written all round."""
    corners = [(one.finish, _still_going(one))]
    corners += [
        (at, chance)
        for at, chance in zip(one.instants, _STILL_GOING, strict=True)
        if at > one.finish
    ]
    foot = round(one.row + HEIGHT / 2, 3)
    along = [at for at, _ in corners]
    tops = [round(foot - HEIGHT * chance, 3) for _, chance in corners]
    return [along[0], *along, along[-1], along[0]], [foot, *tops, foot, foot]


def _still_going(one: UncertainEnd) -> float:
    """Return the chance that work goes on after its end as written, between the known ones."""
    return float(np.interp(one.finish, one.instants, _STILL_GOING, left=1.0))


def _marks(name: str, places: Sequence[tuple[int, float]], pen: float) -> dict[str, Any]:
    """Draw uprights that stand on the foot of a bar: points of no size, each with its reach."""
    middle = (HEIGHT - _MARK) / 2
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [moment(instant) for instant, _ in places],
        "y": [round(row + middle, 3) for _, row in places],
        "marker": {"size": 1, "opacity": 0, "color": INK},
        "error_y": {
            "type": "constant", "value": _MARK / 2, "width": 0, "thickness": pen, "color": INK,
        },
        "hoverinfo": "skip",
    }  # fmt: skip
