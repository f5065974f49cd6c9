"""How long a vendor will take: the chance that the work is done, by days at the vendor."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ribstitch.charts.chance_curve import (
    BY80,
    LIKELY,
    Mark,
    between,
    box,
    chance_axis,
    curve,
    names,
    triangle,
    uprights,
)
from ribstitch.charts.paper import INK, RULE, Figure, plural, sheet


def lead_time(
    points: Sequence[tuple[float, float]],
    *,
    quoted: float,
    elapsed: float,
    promised: float | None,
    p50: float,
    p80: float,
) -> Figure:
    """
    Draw the chance that a vendor's work is done, by days at the vendor.

    Parameters
    ----------
    points
        Days in order, each with the chance that the work is done by then.
    quoted, elapsed, promised
        The days that were quoted, that have gone by, and that the vendor's last word means.
        Without days gone by, today is not marked.
    p50, p80
        The days that are kept with 5 and with 8 chances in 10.

    Notes
    -----
    All days are working days of the vendor, from the start of the work.
    """
    begun = [(points[0][0], 0.0), *points] if points and points[0][1] > 0 else list(points)
    high = max([p80, quoted, promised or 0.0, *(x for x, _ in points)]) * 1.06 or 1.0
    under = between(begun, p50, p80)
    marks = _marks(high, quoted=quoted, elapsed=elapsed, promised=promised, p50=p50, p80=p80)
    data = [
        box([x for x, _ in under], [y for _, y in under]),
        curve(
            [x for x, _ in begun],
            [y for _, y in begun],
            [f"within {plural(round(x, 1), 'day')}" for x, _ in begun],
            name="Chance that it is done",
        ),
    ]
    if promised is not None:
        data.append(triangle(promised, 0.05, "Promised", upside_down=False))
    return {
        "data": data,
        "layout": sheet(
            height=240,
            xaxis=_days_axis(high),
            yaxis=chance_axis(title={"text": "chances that it is done", "standoff": 8}),
            shapes=_gone(elapsed) + uprights(marks),
            annotations=names(marks),
        ),
    }


def _days_axis(high: float) -> dict[str, Any]:
    return {
        "title": {"text": "working days at the vendor", "standoff": 8},
        "range": [0, high],
        "zeroline": False,
        "gridcolor": RULE,
        "linecolor": INK,
        "ticks": "outside",
        "tickcolor": INK,
        "nticks": 7,
        "fixedrange": True,
        "automargin": True,
    }


def _marks(
    high: float, *, quoted: float, elapsed: float, promised: float | None, p50: float, p80: float
) -> list[Mark]:
    """Return the uprights; names stand left of the curve above, right of it below."""

    def side(at: float) -> str:
        return "right" if at < 0.6 * high else "left"

    text = f"quoted {plural(quoted, 'day')}"
    found = [Mark(quoted, text, 1.06, 0.98, side(quoted), dash="8px,4px")]
    if p50 < p80:
        found.append(Mark(p80, f"80 % within {plural(round(p80), 'day')}", BY80, 0.76, "left"))
    found.append(Mark(p50, f"likely {plural(round(p50), 'day')}", LIKELY, 0.4, side(p50), width=3))
    if elapsed > 0:
        text = f"today, day {elapsed:g}"
        found.append(Mark(elapsed, text, 1.06, 0.56, side(elapsed), dash="12px,3px,2px,3px"))
    if promised is not None:
        text = f"promised: {plural(promised, 'day')}"
        found.append(Mark(promised, text, 0.05, 0.14, side(promised)))
    return found


def _gone(elapsed: float) -> list[dict[str, Any]]:
    """Rule off the days that have gone by: the work cannot be done in them any more."""
    if elapsed <= 0:
        return []
    return [
        {
            "type": "rect", "x0": 0, "x1": elapsed, "yref": "paper", "y0": 0, "y1": 1,
            "fillcolor": RULE, "opacity": 0.45, "layer": "below", "line": {"width": 0},
        }
    ]  # fmt: skip
