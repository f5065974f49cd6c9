"""How the forecast finish has moved, day by day, against the wanted date."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
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
from ribstitch.planning.uncertainty.results import Spread

_ONE_DAY = timedelta(days=1)


def forecast_log_figure(
    entries: Sequence[tuple[date, date]],
    *,
    target: date | None = None,
    spreads: Sequence[Spread | None] = (),
) -> Figure:
    """
    Draw the forecast log.

    Parameters
    ----------
    entries
        The date a forecast was made for, and the finish if everything went as written;
        oldest first. Of several on one date the last one counts.
    target
        The wanted finish.
    spreads
        How uncertain the finish of each entry was, as long as `entries`; None where that
        was not worked out. Left out: for no entry.
    """
    last = {
        made: (finish, spread)
        for (made, finish), spread in zip(entries, spreads or [None] * len(entries), strict=True)
    }
    known = [(made, spread) for made, (_, spread) in last.items() if spread is not None]
    written = [(made, finish) for made, (finish, _) in last.items()]
    seen = [finish for _, finish in written] + ([target] if target else [])
    seen += [day for _, spread in known for day in (spread.p10, spread.p90)]
    layout = sheet(
        height=300,
        xaxis=date_axis(
            title={"text": "as it was forecast on", "standoff": 8},
            range=_padded([made for made, _ in written], 3), fixedrange=True, nticks=6,
            tickformat="%-d %b\n%Y", tickformatstops=[],
        ),
        yaxis=date_axis(
            title={"text": "finish", "standoff": 8},
            range=_padded(seen, 14), fixedrange=True, nticks=6,
            tickformat="%b %Y", tickformatstops=[],
        ),
        shapes=[target_line(target)] if target else [],
        annotations=[_label(target, f"target {words(target)}")] if target else [],
    )  # fmt: skip
    plain = {"width": 2.2} if not known else {"width": 1.4, "dash": "2px,3px"}
    data = [_walk("If everything goes as written", written, **plain)]
    if known:
        data = [
            _band(known),
            *data,
            _walk("80 % by", [(on, one.p80) for on, one in known], width=1.6, dash="9px,4px"),
            _walk("Likely finish", [(on, one.p50) for on, one in known], width=2.8, marked=True),
        ]
    elif written:
        layout["annotations"].append(_now(written[-1][1]))
        data[0] |= {"mode": "lines+markers", "marker": _MARKER}
    return {"data": data, "layout": layout}


_MARKER = {"symbol": "circle", "size": 8, "color": PAPER, "line": {"color": INK, "width": 2}}


def _walk(
    name: str, steps: Sequence[tuple[date, date]], *, marked: bool = False, **line: Any
) -> dict[str, Any]:
    """Draw a date of each forecast, held until the next one was made."""
    drawn = _wide(steps)
    told = [[f"on {words(made)}", name, words(finish)] for made, finish in steps]
    return {
        "type": "scatter",
        "mode": "lines+markers" if marked and len(steps) > 1 else "lines",
        "name": name,
        "x": [made.isoformat() for made, _ in drawn],
        "y": [finish.isoformat() for _, finish in drawn],
        "line": {"color": INK, "shape": "hv"} | line,
        "marker": _MARKER,
        "customdata": told if len(steps) != 1 else told * 2,
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<br>%{customdata[2]}<extra></extra>",
    }


def _wide(steps: Sequence[tuple[date, date]]) -> Sequence[tuple[date, date]]:
    """Give a single step a width, so that its line can be seen."""
    if len(steps) != 1:
        return steps
    ((made, value),) = steps
    return [(made - _ONE_DAY, value), (made + _ONE_DAY, value)]


def _band(known: Sequence[tuple[date, Spread]]) -> dict[str, Any]:
    """Fill what lies between 1 and 9 chances in 10 with upright strokes."""
    lower = _stairs([(made, spread.p10) for made, spread in known])
    upper = _stairs([(made, spread.p90) for made, spread in known])
    outline = lower + upper[::-1]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "8 chances in 10 lie between",
        "x": [made.isoformat() for made, _ in outline],
        "y": [finish.isoformat() for _, finish in outline],
        "fill": "toself",
        "fillcolor": PAPER,
        "fillpattern": {
            "shape": "|", "fgcolor": INK_SOFT, "bgcolor": PAPER, "size": 6, "solidity": 0.14,
        },
        "line": {"color": INK_SOFT, "width": 1},
        "hoverinfo": "skip",
    }  # fmt: skip


def _stairs(steps: Sequence[tuple[date, date]]) -> list[tuple[date, date]]:
    """Return the corners of a line that holds each value until the next."""
    steps = _wide(steps)
    corners = [steps[0]]
    for (_, before), (made, value) in pairwise(steps):
        corners += [(made, before), (made, value)]
    return corners


def _padded(days: Sequence[date], least: int) -> list[str] | None:
    """Return a range around dates with some room on both sides; None without dates."""
    if not days:
        return None
    low, high = min(days), max(days)
    pad = timedelta(days=max(least, (high - low).days // 6))
    return [(low - pad).isoformat(), (high + pad).isoformat()]


def _label(day: date, text: str) -> dict[str, Any]:
    """Letter a date at the left of the sheet."""
    return {
        "xref": "paper",
        "x": 0,
        "xanchor": "left",
        "y": day.isoformat(),
        "yanchor": "bottom",
        "yshift": 4,
        "text": text,
        "showarrow": False,
        "bgcolor": PAPER,
        "font": {"size": 12, "color": INK_SOFT},
    }


def _now(finish: date) -> dict[str, Any]:
    """Letter the last forecast at the right of the sheet."""
    return _label(finish, f"now {words(finish)}") | {
        "x": 1, "xanchor": "right", "font": {"size": 12, "color": INK},
    }  # fmt: skip
