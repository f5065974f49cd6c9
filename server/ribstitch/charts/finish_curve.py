"""The chance that the project is finished, by date."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from ribstitch.charts.chance_curve import (
    Mark,
    between,
    box,
    chance_at,
    chance_axis,
    curve,
    names,
    triangle,
    uprights,
)
from ribstitch.charts.paper import (
    INK,
    INK_SOFT,
    PAPER,
    Figure,
    date_axis,
    label,
    sheet,
    short_words,
    words,
)

_DASHES = ("solid", "9px,4px", "2px,3px", "12px,3px,2px,3px", "5px,2px,5px,6px")
_TOLD = 0.99
"""A curve is shown to where it reaches this chance."""
_ONE_DAY = timedelta(days=1)


def finish_curve(
    dates: Sequence[tuple[date, float]],
    *,
    planned: date,
    target: date | None,
    likely: date,
    by80: date,
) -> Figure:
    """
    Draw the chance that the project is finished, by date.

    Parameters
    ----------
    dates
        Dates in order, each with the chance that the project is finished on it or before.
    planned
        The finish if everything goes as written.
    target
        The wanted finish; one far outside is named at the edge of the sheet.
    likely, by80
        The dates that are kept with 5 and with 8 chances in 10.
    """
    points = _from_nothing(dates)
    low, high = _reach(_told(points), planned, target)
    under = between(points, likely, by80)
    marks = _marks(points, (low, high), planned=planned, target=target, likely=likely, by80=by80)
    data = [
        box(_iso([day for day, _ in under]), [chance for _, chance in under]),
        _curve(points, "Chance that it is finished"),
    ]
    if target is not None and low <= target <= high:
        height = chance_at(points, target)
        data.append(triangle(target.isoformat(), max(height, 0.03), "Target", upside_down=True))
    return {
        "data": data,
        "layout": sheet(
            height=340,
            xaxis=_date_axis(low, high),
            yaxis=chance_axis(title={"text": "chances that it is finished", "standoff": 8}),
            shapes=uprights(marks),
            annotations=names(marks) + _beyond(low, high, target),
        ),
    }


def compare_curves(
    curves: Sequence[tuple[str, Sequence[tuple[date, float]]]], *, target: date | None
) -> Figure:
    """
    Draw the chance that the project is finished, by date, for a plan and its cases.

    Each curve has a dash and a numbered balloon of its own; the numbers stand before the names
    in the key.

    Parameters
    ----------
    curves
        Names with dates and chances as for `finish_curve`, the plan first.
    target
        The wanted finish.
    """
    all_points = [_from_nothing(dates) for _, dates in curves]
    seen = [day for points in all_points for day in _told(points)]
    low, high = _reach(seen, seen[0], target) if seen else (date.min, date.max)
    data: list[dict[str, Any]] = []
    balloons: list[dict[str, Any]] = []
    for place, ((name, _), points) in enumerate(zip(curves, all_points, strict=True)):
        number = str(place + 1)
        # the key is measured a little short: a space at the end keeps the last letter whole
        drawn = _curve(points, f"{number}  {label(name)}\u2003", dash=_DASHES[place % len(_DASHES)])
        drawn["line"]["width"] = 2.8 if place == 0 else 1.8
        data.append(drawn)
        balloons.append(_balloon(points, number, place, len(curves)))
    shown = target is not None and low <= target <= high
    marks = [_target_mark(target, low, high)] if target is not None and shown else []
    return {
        "data": data + balloons,
        "layout": sheet(
            height=360 + 22 * max(0, len(curves) - 2),
            xaxis=_date_axis(low, high) if seen else date_axis(fixedrange=True),
            yaxis=chance_axis(title={"text": "chances that it is finished", "standoff": 8}),
            shapes=uprights(marks),
            annotations=names(marks) + (_beyond(low, high, target) if seen else []),
            showlegend=True,
            legend={
                "orientation": "h", "x": 0, "xanchor": "left", "y": 1.02, "yanchor": "bottom",
                "itemclick": False, "itemdoubleclick": False, "font": {"size": 13},
            },
        ),
    }  # fmt: skip


def _from_nothing(dates: Sequence[tuple[date, float]]) -> list[tuple[date, float]]:
    """Return the points, begun on the day before the first with no chance."""
    if not dates or dates[0][1] <= 0:
        return list(dates)
    return [(dates[0][0] - _ONE_DAY, 0.0), *dates]


def _told(points: Sequence[tuple[date, float]]) -> list[date]:
    """Return the dates of a curve without the end of its tail, where nothing can be read."""
    until = sum(chance < _TOLD for _, chance in points)
    return [day for day, _ in points[: until + 1]]


def _reach(days: Sequence[date], planned: date, target: date | None) -> tuple[date, date]:
    """Return the first and last date of the sheet; a wanted date that is near is on it."""
    low, high = min(*days, planned), max(*days, planned)
    near = timedelta(days=max(60, (high - low).days * 6 // 10))
    if target is not None and low - near <= target <= high + near:
        low, high = min(low, target), max(high, target)
    room = timedelta(days=max(3, (high - low).days // 16))
    return low - room, high + room


def _date_axis(low: date, high: date) -> dict[str, Any]:
    return date_axis(range=[low.isoformat(), high.isoformat()], fixedrange=True, nticks=7)


def _curve(points: Sequence[tuple[date, float]], name: str, **line: Any) -> dict[str, Any]:
    days = [day for day, _ in points]
    hover = [f"by {words(day)}" for day in days]
    return curve(_iso(days), [chance for _, chance in points], hover, name=name, **line)


def _marks(
    points: Sequence[tuple[date, float]], reach: tuple[date, date], *,
    planned: date, target: date | None, likely: date, by80: date,
) -> list[Mark]:  # fmt: skip
    """Return the uprights; each name stands where the curve leaves room for it."""
    low, high = reach

    def share(day: date) -> float:
        return (day - low) / (high - low)

    side = "right" if share(likely) < 0.62 else "left"
    top = chance_at(points, likely)
    found = [Mark(likely.isoformat(), f"likely {short_words(likely)}", top, 0.42, side, width=3)]
    if planned != likely:
        found.append(_written_mark(planned, chance_at(points, planned), share(planned)))
    if by80 != likely:
        found.append(
            Mark(
                by80.isoformat(),
                f"80 % by {short_words(by80)}",
                chance_at(points, by80),
                0.86,
                "left",
            )
        )
    if target is not None and low <= target <= high:
        found.append(_target_mark(target, low, high))
    return found


def _written_mark(planned: date, chance: float, share: float) -> Mark:
    """Return the upright of the date as written: a flag where the curve has hardly begun."""
    is_early = chance < 0.2
    if is_early:
        top, height, side = 0.6, 0.64, "middle" if share > 0.25 else "right"
    else:
        top, height, side = chance, 0.1, "right" if share < 0.6 else "left"
    text = f"as written {short_words(planned)}"
    return Mark(planned.isoformat(), text, top, height, side, dash="2px,3px")


def _target_mark(target: date, low: date, high: date) -> Mark:
    """Return the wanted date's upright: named above the curve, or below it where it is late."""
    share = (target - low) / (high - low)
    height, side = (1.0, "right") if share < 0.5 else (0.26, "left" if share > 0.7 else "right")
    text = f"target {short_words(target)}"
    return Mark(target.isoformat(), text, 1.06, height, side, dash="8px,4px")


def _beyond(low: date, high: date, target: date | None) -> list[dict[str, Any]]:
    """Name a wanted date that lies off the sheet, at the edge on its side."""
    if target is None or low <= target <= high:
        return []
    is_before = target < low
    text = f"target {short_words(target)}"
    return [
        {
            "xref": "paper",
            "x": 0 if is_before else 1,
            "xanchor": "left" if is_before else "right",
            "y": 1.0 if is_before else 0.26,
            "yanchor": "middle",
            "text": f"← {text}" if is_before else f"{text} →",
            "showarrow": False,
            "bgcolor": PAPER,
            "font": {"size": 13, "color": INK_SOFT},
        }
    ]


def _balloon(
    points: Sequence[tuple[date, float]], number: str, place: int, of: int
) -> dict[str, Any]:
    """Number a curve in a circle on it, each curve at a height of its own."""
    wanted = 0.9 - 0.8 * (place + 0.5) / of
    day = next((day for day, chance in points if chance >= wanted), points[-1][0])
    return {
        "type": "scatter",
        "mode": "markers+text",
        "name": f"balloon {number}",
        "x": [day.isoformat()],
        "y": [chance_at(points, day)],
        "text": [number],
        "textposition": "middle center",
        "textfont": {"size": 12, "color": INK},
        "marker": {"size": 19, "color": PAPER, "line": {"color": INK, "width": 1.4}},
        "showlegend": False,
        "hoverinfo": "skip",
    }


def _iso(days: Sequence[date]) -> list[str]:
    return [day.isoformat() for day in days]
