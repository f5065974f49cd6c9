"""The items that are away, a lane each: the legs as they went and will go, as they were
quoted, the vendor's promise, when the item may be back, and when the shop needs it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from ribstitch.charts.bars import HOVER, Spreads, bars, facts
from ribstitch.charts.lanes import Block
from ribstitch.charts.now import now_line, now_name
from ribstitch.charts.paper import (
    HATCHES,
    INK,
    INK_SOFT,
    RULE,
    Figure,
    date_axis,
    label,
    lane_name,
    moment,
    sheet,
    words,
)
from ribstitch.charts.quoted import legs_as_quoted
from ribstitch.charts.tapers import UncertainEnd, is_uncertain, taper_marks, taper_shapes
from ribstitch.planning.grace import SendOutGrace
from ribstitch.planning.model import SendOut
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of

_LANE = 3.0
"""Height of a lane: its name, its legs, the legs as quoted. [rows]"""
_ROW = 17
"""Height of a row. [pixels]"""


def away_figure(
    schedule: Schedule, graces: Sequence[SendOutGrace], *, spreads: Spreads | None = None
) -> Figure:
    """
    Draw the open send-outs, least grace at the top.

    Parameters
    ----------
    schedule
        The plan's schedule.
    graces
        Of each open send-out; those that are not open are not drawn.
    spreads
        When open work may end, by activity; None while that is not known.
    """
    spreads = spreads or {}
    plan = schedule.prepared.plan
    items = {item.id: item for item in plan.send_outs}
    ordered = sorted(graces, key=lambda one: one.grace)
    open_items = [items[one.id] for one in ordered]
    blocks = _blocks(schedule, open_items)
    vendors = {one.id: one.name or one.id for one in plan.vendors}
    ends = _returns(schedule, open_items, spreads)
    data = [_as_quoted(schedule, open_items), taper_shapes(ends)]
    data += [
        bars(schedule, blocks, state, lambda number: facts(schedule, number, spreads))
        | {"hovertemplate": HOVER}
        for state in HATCHES
    ]
    data += taper_marks(ends)
    data += [
        _marks("Promised", _promises(open_items), "triangle-up", INK, "promised"),
        _marks("Need by", _needs(ordered), "line-ns", INK, "needed by"),
    ]
    first, last = _extent(schedule, blocks, ordered, ends)
    height = _LANE * max(len(open_items), 1)
    return {
        "data": data,
        "layout": sheet(
            height=round(height * _ROW) + 70,
            margin={"l": 20, "r": 20, "t": 46, "b": 28},
            barmode="overlay",
            xaxis=date_axis(range=[moment(first), moment(last)], side="top"),
            yaxis={
                "range": [height, 0], "fixedrange": True, "showgrid": False, "zeroline": False,
                "showticklabels": False,
            },
            shapes=[*_rules(len(open_items)), now_line(plan)],
            annotations=[*_names(open_items, vendors), now_name(plan)],
            meta={
                "first": moment(first)[:10],
                "last": moment(last)[:10],
                "as_of": plan.project.as_of.isoformat(),
            },
        ),
    }  # fmt: skip


def _blocks(schedule: Schedule, items: Sequence[SendOut]) -> list[Block]:
    """Put each item's legs on the second row of its lane."""
    rows = {item.id: _LANE * place + 1.5 for place, item in enumerate(items)}
    return [
        Block(number, rows[one.send_out], int(schedule.start[number]), int(schedule.finish[number]))
        for number, one in enumerate(schedule.activities)
        if one.send_out in rows and not one.dropped
    ]


def _returns(schedule: Schedule, items: Sequence[SendOut], spreads: Spreads) -> list[UncertainEnd]:
    """Return when each item may be accepted, on the row of its legs."""
    legs = schedule.prepared.expansion.open_legs
    ends = []
    for place, item in enumerate(items):
        gate = legs[item.id].gate
        if gate in spreads and is_uncertain(spreads[gate]):
            finish = int(schedule.finish[schedule.number(gate)])
            ends.append(UncertainEnd(_LANE * place + 1.5, finish, spreads[gate]))
    return ends


def _as_quoted(schedule: Schedule, items: Sequence[SendOut]) -> dict[str, Any]:
    """Draw the legs as quoted: a dimension line with a tick where a leg ends."""
    x: list[str | None] = []
    y: list[float | None] = []
    for place, item in enumerate(items):
        legs = legs_as_quoted(schedule, item)
        ends = [moment(legs[0].start), *(moment(leg.finish) for leg in legs)] if legs else []
        x += [*ends, None]
        y += [_LANE * place + 2.4] * len(ends) + [None]
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "name": "As quoted",
        "x": x,
        "y": y,
        "line": {"color": INK_SOFT, "width": 1},
        "marker": {
            "symbol": "line-ns", "size": 7, "color": INK_SOFT,
            "line": {"color": INK_SOFT, "width": 1},
        },
        "hoverinfo": "skip",
    }  # fmt: skip


def _promises(items: Sequence[SendOut]) -> dict[float, date]:
    """Return by row the date each vendor promises to be done."""
    promised = ((place, item.status.promised) for place, item in enumerate(items))
    return {_LANE * place + 2.2: day for place, day in promised if day is not None}


def _needs(graces: Sequence[SendOutGrace]) -> dict[float, date]:
    """Return by row the last date on which each item can be accepted."""
    return {_LANE * place + 1.5: one.need_by for place, one in enumerate(graces)}


def _marks(
    name: str, days: Mapping[float, date], symbol: str, color: str, verb: str
) -> dict[str, Any]:
    """Draw a mark at the end of a date in each lane."""
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [moment(end_of(day)) for day in days.values()],
        "y": list(days),
        "marker": {
            "symbol": symbol, "size": 24 if symbol == "line-ns" else 10, "color": color,
            "line": {"color": color, "width": 3 if symbol == "line-ns" else 1},
        },
        "customdata": [[f"{verb} {words(day)}"] for day in days.values()],
        "hovertemplate": "%{customdata[0]}<extra></extra>",
    }  # fmt: skip


def _extent(
    schedule: Schedule,
    blocks: Sequence[Block],
    graces: Sequence[SendOutGrace],
    ends: Sequence[UncertainEnd],
) -> tuple[int, int]:
    """Return the first and last instant of the sheet. [ticks]"""
    as_of = end_of(schedule.prepared.plan.project.as_of)
    first = min([one.start for one in blocks] + [as_of])
    lasts = [one.finish for one in blocks] + [end_of(one.need_by) for one in graces]
    last = max([*lasts, *(one.instants[-1] for one in ends), as_of])
    return first - 7 * TICKS_PER_DAY, last + 14 * TICKS_PER_DAY


def _rules(count: int) -> list[dict[str, Any]]:
    """Rule a line above each lane."""
    shared = {"type": "line", "layer": "below", "xref": "paper", "x0": 0, "x1": 1}
    return [
        shared | {"y0": _LANE * at, "y1": _LANE * at, "line": {"color": RULE, "width": 1}}
        for at in range(count)
    ]


def _names(items: Sequence[SendOut], vendors: Mapping[str, str]) -> list[dict[str, Any]]:
    """Letter each lane with its item and who has it."""
    names = [(item.name or item.id, vendors[item.vendor]) for item in items]
    return [
        lane_name(f"{label(item)}, {label(vendor)}", _LANE * place, item, vendor)
        for place, (item, vendor) in enumerate(names)
    ]
