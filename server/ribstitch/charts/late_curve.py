"""
The finish as written against days late: a stair whose first tread is the grace.

How sure the finish is at one number of days late stands above the stair, once that is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import ceil, floor
from typing import Any

from ribstitch.charts.paper import (
    ACCOMPLISHED,
    ACCOMPLISHED_WASH,
    INK,
    INK_SOFT,
    PAPER,
    Figure,
    date_axis,
    plural,
    sheet,
    standpoint,
    target_line,
    words,
)

_FOOT = 0.22
"""Room under the stair, as a share of what is above: what is free is lettered there."""


def late_curve_figure(
    finish: Sequence[date], grace_days: float, *, target: date | None = None
) -> Figure:
    """
    Draw the project finish as written against days late.

    Parameters
    ----------
    finish
        The finish for 0..N days late, N + 1 dates.
    grace_days
        How late before the finish moves. [days of the vendor's calendar]
    target
        The wanted finish, drawn where it is in sight.

    Returns
    -------
    Figure
        The trace named ``position`` marks where somebody stands on the stair, at first
        on no day late; a page moves it. The traces ``spread`` and ``levels`` are empty: a
        page draws in them, at the same days, from the likely finish to the one that is kept
        with 8 chances in 10.
    """
    days = list(range(len(finish)))
    low, high = _reach(finish, target)
    free = min(floor(grace_days), days[-1])
    data = [_tread(free, low, finish[0]), _stair(days, finish), _position(low, finish[0])]
    data += _spread()
    in_sight = target is not None and low <= target <= high
    return {
        "data": data,
        "layout": sheet(
            height=350,
            xaxis={
                "title": {"text": "working days late", "standoff": 8},
                "range": [-1, days[-1] + 1],
                "zeroline": False,
                "showgrid": False,
                "linecolor": INK,
                "ticks": "outside",
                "tickcolor": INK,
                "fixedrange": True,
                "automargin": True,
            },
            yaxis=date_axis(
                title={"text": "finish", "standoff": 8},
                range=[low.isoformat(), high.isoformat()], fixedrange=True, tickformat="%-d %b %Y",
                tickformatstops=[],
                nticks=7,
            ),
            shapes=[target_line(target)] if in_sight and target else [],
            annotations=[_tread_words(free, days[-1]), _stair_words(finish)]
            + ([_target_words(target)] if in_sight and target else []),
            meta={"low": low.isoformat(), "grace_days": grace_days},
        ),
    }  # fmt: skip


def tread_sentence(free: int, most: int) -> str:
    """Say what the first days late cost."""
    if free <= 0:
        return "No day late is free"
    if free >= most:
        return f"{plural(most, 'day')} late<br>cost nothing"
    return "The first day late<br>costs nothing" if free == 1 else (
        f"The first {free} days late<br>cost nothing"
    )  # fmt: skip


def _reach(finish: Sequence[date], target: date | None) -> tuple[date, date]:
    """Return the dates at the foot and the head of the sheet; a near target is in sight."""
    low, high = finish[0], max(finish[-1], finish[0] + timedelta(days=28))
    spread = (high - low).days
    if target is not None and abs((target - low).days) <= max(120, spread):
        low, high = min(low, target), max(high, target)
    high += timedelta(days=max(7, (high - low).days // 8))
    return low - timedelta(days=ceil((high - low).days * _FOOT)), high


def _tread(free: int, low: date, finish: date) -> dict[str, Any]:
    """Hatch the days that cost nothing."""
    end = max(0, free)
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "Costs nothing",
        "x": [0, end, end, 0],
        "y": [low.isoformat(), low.isoformat(), finish.isoformat(), finish.isoformat()],
        "fill": "toself",
        "fillcolor": ACCOMPLISHED_WASH,
        "fillpattern": {
            "shape": "/", "fgcolor": ACCOMPLISHED, "bgcolor": PAPER, "size": 8, "solidity": 0.2,
        },
        "line": {"width": 0},
        "hoverinfo": "skip",
    }  # fmt: skip


def _stair(days: list[int], finish: Sequence[date]) -> dict[str, Any]:
    """Draw the finish of each day late."""
    moved = [(day - finish[0]).days for day in finish]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "As written",
        "x": days,
        "y": [day.isoformat() for day in finish],
        "line": {"color": INK, "width": 2.6, "shape": "hv"},
        "customdata": [
            [f"{plural(late, 'day')} late", f"as written {words(day)}", _moved(by)]
            for late, day, by in zip(days, finish, moved, strict=True)
        ],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<br>%{customdata[2]}<extra></extra>",
    }


def _moved(by: int) -> str:
    """Say by how many days the finish moves."""
    if by == 0:
        return "does not move"
    return f"{plural(by, 'day')} later" if by > 0 else f"{plural(-by, 'day')} sooner"


def _position(low: date, finish: date) -> dict[str, Any]:
    """Mark where somebody stands, with lines down to the days and across to the date."""
    at = finish.isoformat()
    return standpoint("position", [0, 0, -1], [low.isoformat(), at, at])


def _spread() -> list[dict[str, Any]]:
    """Return the line from likely to 80 %, and the strokes and words at both; nowhere yet."""
    empty = {"type": "scatter", "x": [], "y": [], "hoverinfo": "skip"}
    stroke = {"symbol": "line-ew-open", "color": INK}
    return [
        empty | {"name": "spread", "mode": "lines", "line": {"color": INK, "width": 1.2}},
        empty
        | {
            "name": "levels",
            "mode": "markers+text",
            "text": ["\u2002likely\u2002", "\u200280 % by\u2002"],
            "textfont": {"size": 12, "color": INK},
            "marker": stroke
            | {"opacity": 1, "size": [18, 12], "line": {"color": INK, "width": [3, 1.2]}},
        },
    ]


def _tread_words(free: int, most: int) -> dict[str, Any]:
    """Letter the tread: beside its foot, or inside where it reaches far."""
    inside = free > 0.55 * most
    return {
        "x": free,
        "xanchor": "right" if inside else "left",
        "xshift": -8 if inside else 8,
        "yref": "paper",
        "y": 0,
        "yanchor": "bottom",
        "yshift": 6,
        "text": tread_sentence(free, most),
        "align": "left",
        "showarrow": False,
        "bgcolor": PAPER,
        "borderpad": 3,
        "font": {"size": 14, "color": INK},
    }


def _stair_words(finish: Sequence[date]) -> dict[str, Any]:
    """Letter the stair below its line, where it has risen."""
    at = 4 * (len(finish) - 1) // 5
    return {
        "x": at,
        "xanchor": "left",
        "y": finish[at].isoformat(),
        "yanchor": "top",
        "yshift": -6,
        "text": "as written",
        "showarrow": False,
        "bgcolor": PAPER,
        "font": {"size": 12, "color": INK_SOFT},
    }


def _target_words(target: date) -> dict[str, Any]:
    """Letter the wanted finish at its right end."""
    return {
        "xref": "paper",
        "x": 1,
        "xanchor": "right",
        "y": target.isoformat(),
        "yanchor": "bottom",
        "text": f"target {words(target)}",
        "showarrow": False,
        "bgcolor": PAPER,
        "font": {"size": 12, "color": INK_SOFT},
    }
