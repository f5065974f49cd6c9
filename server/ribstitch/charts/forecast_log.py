"""How the forecast finish has moved, day by day, against the wanted date."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from ribstitch.charts.paper import (
    INK,
    INK_SOFT,
    PAPER,
    Figure,
    date_axis,
    sheet,
    target_line,
    words,
)


def forecast_log_figure(
    entries: Sequence[tuple[date, date]], *, target: date | None = None
) -> Figure:
    """
    Draw the forecast log.

    Parameters
    ----------
    entries
        The date a forecast was made for, and the finish it gave; oldest first. Of several
        on one date the last one counts.
    target
        The wanted finish.
    """
    by_day = dict(entries)
    made, finish = list(by_day), list(by_day.values())
    seen = finish + ([target] if target else [])
    layout = sheet(
        height=280,
        xaxis=date_axis(
            title={"text": "as it was forecast on", "standoff": 8},
            range=_padded(made, 3), fixedrange=True, nticks=6,
            tickformat="%-d %b\n%Y", tickformatstops=[],
        ),
        yaxis=date_axis(
            title={"text": "finish", "standoff": 8},
            range=_padded(seen, 14), fixedrange=True, nticks=5,
            tickformat="%-d %b %Y", tickformatstops=[],
        ),
        shapes=[target_line(target)] if target else [],
        annotations=[_label(target, f"target {words(target)}", INK_SOFT, 0.0)] if target else [],
    )  # fmt: skip
    if finish:
        layout["annotations"].append(_label(finish[-1], f"now {words(finish[-1])}", INK, 1.0))
    return {"data": [_walk(made, finish)], "layout": layout}


def _walk(made: Sequence[date], finish: Sequence[date]) -> dict[str, Any]:
    """Draw each forecast, held until the next one was made."""
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "name": "Forecast finish",
        "x": [day.isoformat() for day in made],
        "y": [day.isoformat() for day in finish],
        "line": {"color": INK, "width": 2.2, "shape": "hv"},
        "marker": {
            "symbol": "circle", "size": 8, "color": PAPER, "line": {"color": INK, "width": 2},
        },
        "customdata": [[words(a), words(b)] for a, b in zip(made, finish, strict=True)],
        "hovertemplate": "on %{customdata[0]}<br>finish %{customdata[1]}<extra></extra>",
    }  # fmt: skip


def _padded(days: Sequence[date], least: int) -> list[str] | None:
    """Return a range around dates with some room on both sides; None without dates."""
    if not days:
        return None
    low, high = min(days), max(days)
    pad = timedelta(days=max(least, (high - low).days // 6))
    return [(low - pad).isoformat(), (high + pad).isoformat()]


def _label(day: date, text: str, color: str, side: float) -> dict[str, Any]:
    """Letter a date at the left (0) or right (1) of the sheet."""
    return {
        "xref": "paper",
        "x": side,
        "xanchor": "right" if side else "left",
        "y": day.isoformat(),
        "yanchor": "bottom",
        "yshift": 4,
        "text": text,
        "showarrow": False,
        "bgcolor": PAPER,
        "font": {"size": 12, "color": color},
    }
