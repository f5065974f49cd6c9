"""What was to be done, what is done and what it cost, month by month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from ribstitch.charts.amounts import amount_axis, money
from ribstitch.charts.paper import (
    INK,
    INK_SOFT,
    PAPER,
    Figure,
    date_axis,
    sheet,
    short_words,
    words,
)

_HEAD = Decimal("1.12")
"""Room above the budget, as a multiple of it: words stand there."""


@dataclass(frozen=True, slots=True)
class EarnedPoint:
    """Running totals at the end of a date, in the project's currency."""

    on: date
    planned: Decimal
    earned: Decimal | None
    """None in the future."""
    actual: Decimal | None


def earned_figure(
    points: Sequence[EarnedPoint], *, start: date, as_of: date, budget: Decimal, currency: str
) -> Figure:
    """
    Draw planned value, earned value and actual cost as running totals.

    Parameters
    ----------
    points
        Month by month, one of them at the as-of date.
    start
        The first date of the baseline: all three begin there with nothing.
    as_of
        The date by which is counted.
    budget
        Budget at completion.
    currency
        Of all amounts.
    """
    if not points:
        return {"data": [], "layout": sheet()}
    planned = [(one.on, one.planned) for one in points]
    earned = [(one.on, one.earned) for one in points if one.earned is not None]
    actual = [(one.on, one.actual) for one in points if one.actual is not None]
    origin = (start - timedelta(days=1), Decimal(0))
    data = [
        _line("Planned value", [origin, *planned], currency, width=1.8, dash="9px,4px"),
        _line("Actual cost", [origin, *actual], currency, width=1.8, dash="2px,3px",
              symbol="x-thin"),
        _line("Earned value", [origin, *earned], currency, width=3.0, symbol="circle"),
    ]  # fmt: skip
    top = max([budget, *(amount for _, amount in (*planned, *actual))])
    last = max(points[-1].on, as_of)
    margin = timedelta(days=max((last - start).days // 12, 7))
    layout = sheet(
        height=380,
        xaxis=date_axis(
            range=[(start - timedelta(days=3)).isoformat(), (last + margin).isoformat()],
            fixedrange=True,
            nticks=6,
        ),
        yaxis=amount_axis(f"by then, in all ({currency})", range=[0, float(top * _HEAD)]),
        shapes=[_budget(budget), _now(as_of)],
        annotations=[
            _letters(f"budget {money(budget, currency)}", start, budget, "left", "bottom"),
            _letters("planned", points[-1].on, planned[-1][1], "right", "top", INK_SOFT),
            *_ends(earned, actual),
            _as_of(as_of),
        ],
    )
    return {"data": data, "layout": layout}


def _line(
    name: str,
    points: Sequence[tuple[date, Decimal]],
    currency: str,
    *,
    symbol: str = "",
    **line: Any,
) -> dict[str, Any]:
    """Draw a running total; hovering tells it."""
    return {
        "type": "scatter",
        "mode": "lines+markers" if symbol else "lines",
        "name": name,
        "x": [day.isoformat() for day, _ in points],
        "y": [float(amount) for _, amount in points],
        "line": {"color": INK} | line,
        "marker": {
            "symbol": symbol or "circle", "size": 6, "color": PAPER,
            "line": {"color": INK, "width": 1.6},
        },
        "customdata": [
            [name, f"by {words(day)}", money(amount, currency)] for day, amount in points
        ],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<br>%{customdata[2]}<extra></extra>",
    }  # fmt: skip


def _budget(budget: Decimal) -> dict[str, Any]:
    """Rule the budget across the sheet."""
    line = {"color": INK_SOFT, "width": 1.2, "dash": "8px,4px"}
    at = float(budget)
    return {"type": "line", "xref": "paper", "x0": 0, "x1": 1, "y0": at, "y1": at, "line": line}


def _now(as_of: date) -> dict[str, Any]:
    """Draw the end of the as-of date from top to bottom, as a drawing's centre line."""
    at = as_of.isoformat()
    line = {"color": INK, "width": 1.2, "dash": "12px,3px,2px,3px"}
    return {"type": "line", "yref": "paper", "x0": at, "x1": at, "y0": 0, "y1": 1, "line": line}


def _as_of(as_of: date) -> dict[str, Any]:
    """Letter the as-of date at the foot of its line."""
    return _letters(f"as of {short_words(as_of)}", as_of, Decimal(0), "left", "bottom")


def _ends(
    earned: Sequence[tuple[date, Decimal]], actual: Sequence[tuple[date, Decimal]]
) -> list[dict[str, Any]]:
    """Letter earned value and actual cost where they end: the higher above, the lower below."""
    if not earned or not actual:
        return []
    (day, done), (_, cost) = earned[-1], actual[-1]
    sides = ("bottom", "top") if done >= cost else ("top", "bottom")
    return [
        _letters("earned", day, done, "left", sides[0]) | {"bgcolor": "rgba(0,0,0,0)"},
        _letters("cost", day, cost, "left", sides[1]) | {"bgcolor": "rgba(0,0,0,0)"},
    ]


def _letters(
    text: str, day: date, amount: Decimal, side: str, edge: str, ink: str = INK
) -> dict[str, Any]:
    """Letter a place; `side` and `edge` are those of the words that stand at it."""
    return {
        "x": day.isoformat(),
        "xanchor": side,
        "xshift": 6 if side == "left" else -6,
        "y": float(amount),
        "yanchor": edge,
        "yshift": 6 if edge == "bottom" else -6,
        "text": text,
        "showarrow": False,
        "bgcolor": PAPER,
        "borderpad": 2,
        "font": {"size": 12, "color": ink},
    }
