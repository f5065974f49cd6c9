"""What an earlier finish costs: a stair that falls towards the finish as planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from ribstitch.charts.amounts import amount_axis, money
from ribstitch.charts.paper import (
    ACCOMPLISHED,
    ACCOMPLISHED_WASH,
    INK,
    INK_SOFT,
    PAPER,
    SUNK,
    Figure,
    date_axis,
    plural,
    sheet,
    short_words,
    standpoint,
    words,
)

_HEAD = Decimal("1.25")
"""Room above the dearest finish, as a multiple of it: words stand there."""
_MARGIN = Decimal("0.12")
"""Room on both sides of the dates, as a share of them."""
_FEWEST_DAYS = 7


@dataclass(frozen=True, slots=True)
class CostPoint:
    """A finish, and what it costs at least."""

    finish: date
    cost: Decimal
    """In the project's currency."""
    is_proven: bool = True


def cost_curve_figure(
    points: Sequence[CostPoint],
    *,
    currency: str,
    asked: CostPoint | None = None,
    by: date | None = None,
    target: date | None = None,
) -> Figure:
    """
    Draw what a finish costs, by date.

    Parameters
    ----------
    points
        From the finish as planned, which costs nothing, to the earliest.
    currency
        Of all amounts.
    asked
        The answer to what was asked.
    by
        The date that was asked for, if it was a date.
    target
        The wanted finish, drawn where it is in sight.
    """
    stairs = sorted(points, key=lambda point: point.finish)
    earliest, planned = stairs[0].finish, stairs[-1].finish
    low, high = _reach(earliest, planned, by)
    top = max(point.cost for point in stairs) * _HEAD or Decimal(1)
    data = [
        _box("Not to be had", low, earliest, top, fillcolor=SUNK),
        _box("Costs nothing", planned, high, top, **_FREE),
        _stair(stairs, high, currency),
        _landings(stairs),
    ]
    if asked is not None:
        data.append(_answer(asked, low))
    marks = _marks(asked, by, currency)
    if target is not None and target != by:
        marks.append((target, f"target {short_words(target)}", 0.78))
    seen = [mark for mark in marks if low <= mark[0] <= high]
    return {
        "data": data,
        "layout": sheet(
            height=380,
            xaxis=date_axis(
                title={"text": "finish as written", "standoff": 8},
                range=[low.isoformat(), high.isoformat()], fixedrange=True, nticks=6,
            ),
            yaxis=amount_axis(f"costs at least ({currency})", range=[0, float(top)]),
            shapes=[_upright(day) for day, _, _ in seen],
            annotations=[
                _letters("the plan<br>as written", planned, 0.5, "right", INK),
                _letters(_nothing_before(earliest), earliest, 0.14, "left", INK),
                *(
                    _letters(text, day, height, _side(day, low, high), INK_SOFT)
                    for day, text, height in seen
                ),
            ],
        ),
    }  # fmt: skip


_FREE = {
    "fillcolor": ACCOMPLISHED_WASH,
    "fillpattern": {
        "shape": "/", "fgcolor": ACCOMPLISHED, "bgcolor": PAPER, "size": 8, "solidity": 0.2,
    },
}  # fmt: skip


def _reach(earliest: date, planned: date, by: date | None) -> tuple[date, date]:
    """Return the dates at both ends of the sheet; a date that was asked for is in sight if near."""
    low, high = earliest, planned
    span = max((high - low).days, _FEWEST_DAYS)
    if by is not None and min(abs((by - low).days), abs((by - high).days)) <= span:
        low, high = min(low, by), max(high, by)
    margin = timedelta(days=max(_FEWEST_DAYS, round((high - low).days * _MARGIN)))
    return low - margin, high + margin


def _box(name: str, first: date, last: date, top: Decimal, **fill: Any) -> dict[str, Any]:
    """Fill the sheet between two dates."""
    a, b, height = first.isoformat(), last.isoformat(), float(top)
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": [a, b, b, a],
        "y": [0, 0, height, height],
        "fill": "toself",
        "line": {"width": 0},
        "hoverinfo": "skip",
        **fill,
    }


def _stair(stairs: Sequence[CostPoint], high: date, currency: str) -> dict[str, Any]:
    """Draw the least cost to be finished by each date, to the foot of the free days."""
    earliest, last = stairs[0], stairs[-1]
    dates = [earliest.finish, *(point.finish for point in stairs), high]
    costs = [earliest.cost, *(point.cost for point in stairs), last.cost]
    sooner = [(last.finish - day).days for day in dates]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "Costs at least",
        "x": [day.isoformat() for day in dates],
        "y": [float(cost) for cost in costs],
        "line": {"color": INK, "width": 2.6, "shape": "hv"},
        "customdata": [
            [f"by {words(day)}", money(cost, currency), _sooner(days)]
            for day, cost, days in zip(dates, costs, sooner, strict=True)
        ],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<br>%{customdata[2]}<extra></extra>",
    }


def _landings(stairs: Sequence[CostPoint]) -> dict[str, Any]:
    """Mark each finish that can be had; open where something cheaper is not ruled out."""
    return {
        "type": "scatter",
        "mode": "markers",
        "name": "Finishes",
        "x": [point.finish.isoformat() for point in stairs],
        "y": [float(point.cost) for point in stairs],
        "marker": {
            "symbol": ["line-ns" if point.is_proven else "circle-open" for point in stairs],
            "size": 9,
            "color": INK,
            "line": {"color": INK, "width": 1.4},
        },
        "hoverinfo": "skip",
    }


def _answer(asked: CostPoint, low: date) -> dict[str, Any]:
    """Mark the answer, with lines down to its date and across to its cost."""
    at, cost = asked.finish.isoformat(), float(asked.cost)
    return standpoint("Answer", [at, at, low.isoformat()], [0, cost, cost])


def _upright(day: date) -> dict[str, Any]:
    """Draw a date down the sheet."""
    at = day.isoformat()
    line = {"color": INK_SOFT, "width": 1.2, "dash": "8px,4px"}
    return {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "x0": at, "x1": at, "line": line}


def _marks(
    asked: CostPoint | None, by: date | None, currency: str
) -> list[tuple[date, str, float]]:
    """Return the dates that are drawn down the sheet, what is lettered on each, and how high."""
    told = [] if by is None else [f"asked for {short_words(by)}"]
    if asked is not None:
        told.append(f"{short_words(asked.finish)}, {money(asked.cost, currency)}")
    day = asked.finish if asked is not None and by is None else by
    return [] if day is None else [(day, "<br>".join(told), 1)]


def _nothing_before(earliest: date) -> str:
    return f"nothing reaches<br>before {short_words(earliest)}"


def _side(day: date, low: date, high: date) -> str:
    """Return on which side of a date there is room for words."""
    return "left" if day - low < (high - low) / 2 else "right"


def _letters(text: str, day: date, height: float, side: str, ink: str) -> dict[str, Any]:
    """Letter a date; `side` is the edge of the words that stands at it."""
    return {
        "x": day.isoformat(),
        "xanchor": side,
        "xshift": 6 if side == "left" else -6,
        "yref": "paper",
        "y": height,
        "yanchor": "top",
        "text": text,
        "align": side,
        "showarrow": False,
        "bgcolor": PAPER,
        "borderpad": 2,
        "font": {"size": 12, "color": ink},
    }


def _sooner(days: int) -> str:
    return "no day sooner" if days <= 0 else f"{plural(days, 'day')} sooner"
