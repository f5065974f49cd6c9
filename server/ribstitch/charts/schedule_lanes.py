"""The picture of a restoration: the schedule by zone, with the items that are away.

Bars carry the state by hatch and outline. What sets the finish is one inked line drawn
through the work; thin lines lead an item out of its zone's lane and back into it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import partial
from typing import Any

from ribstitch.charts.bars import Spreads, bars, name_of
from ribstitch.charts.lanes import NO_ZONE, SHOP_LEGS, Block, Lane, Lanes, lay_out
from ribstitch.charts.now import now_line, now_name
from ribstitch.charts.paper import (
    HATCHES,
    INK,
    INK_SOFT,
    PAPER,
    RULE,
    Figure,
    date_axis,
    label,
    lane_name,
    letters,
    moment,
    sheet,
)
from ribstitch.charts.tapers import UncertainEnd, is_uncertain, taper_marks, taper_shapes
from ribstitch.planning.activities import UNAWAITED_LEGS
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of, start_of
from ribstitch.planning.uncertainty.results import Spread

_ROW = 17
"""Height of a row. [pixels]"""
_MARGIN_DAYS = 10
_PLAIN_FROM_DAYS = 400
"""With more days than these in sight the tapers of the work are drawn plain."""


def schedule_figure(
    schedule: Schedule,
    *,
    zone: str | None = None,
    trade: str | None = None,
    since: date | None = None,
    until: date | None = None,
    spreads: Spreads | None = None,
) -> Figure:
    """
    Draw a schedule in lanes.

    Parameters
    ----------
    schedule
        What to draw.
    zone, trade
        Draw only the work of one zone, of one trade.
    since, until
        The dates that are in sight at first, both included.
    spreads
        When open work may end, by activity; None while that is not known.

    Returns
    -------
    Figure
        A bar's `customdata` are the id of its activity and, of a leg, that of its item: who
        asks reads the rest. Of the uncertain ends of work, the outline is a `taper` in its
        `meta`, the marks that go first where there is little room are `kept`. The `name` of
        what is lettered tells whether somebody `typed` it. The layout's `meta` has the
        `first` and `last` date of the work and the `as_of` date.
    """
    spreads = spreads or {}
    uncertain = _uncertain(schedule, spreads)
    kept_free = {number: end_of(spread.p90) for number, spread in uncertain.items()}
    lanes = lay_out(schedule, zone=zone, trade=trade, kept_free=kept_free)
    plan = schedule.prepared.plan
    blocks = sorted(lanes.blocks, key=lambda one: (one.row, one.start))
    work = [one for one in blocks if schedule.activities[one.number].milestone is None]
    marks = [one for one in blocks if schedule.activities[one.number].milestone is not None]
    first, last = _reach(lanes)
    reach = [start_of(since) if since else first, end_of(until) if until else last]
    is_wide = reach[1] - reach[0] > _PLAIN_FROM_DAYS * TICKS_PER_DAY
    ends, flag_ends = _ends(work, uncertain), _ends(marks, uncertain)
    data = [_joins(schedule, lanes), taper_shapes(ends, plain=is_wide) | {"meta": "taper"}]
    data.append(taper_shapes(flag_ends, "May still come"))
    data += [bars(schedule, work, state, partial(_which, schedule)) for state in HATCHES]
    data += _inked_line(schedule, lanes)
    likely, kept = taper_marks(ends, plain=is_wide)
    data += [likely, kept | {"meta": "kept"}, *taper_marks(flag_ends, " of a milestone")]
    data.append(_milestones(schedule, lanes, marks))
    return {
        "data": data,
        "layout": sheet(
            height=round(lanes.height * _ROW) + 80,
            margin={"l": 20, "r": 20, "t": 46, "b": 28},
            barmode="overlay",
            xaxis=date_axis(range=[moment(one) for one in reach], side="top"),
            yaxis={
                "range": [lanes.height, 0], "fixedrange": True, "showgrid": False,
                "zeroline": False, "showticklabels": False,
            },
            shapes=[*_rules(lanes.lanes), now_line(plan)],
            annotations=[*_names(lanes.lanes, plan), now_name(plan)],
            meta={
                "first": moment(first)[:10],
                "last": moment(last)[:10],
                "as_of": plan.project.as_of.isoformat(),
            },
        ),
    }  # fmt: skip


def _ends(blocks: Sequence[Block], uncertain: Mapping[int, Spread]) -> list[UncertainEnd]:
    """Return the uncertain ends of what stands on the sheet."""
    return [
        UncertainEnd(one.row, one.finish, uncertain[one.number])
        for one in blocks
        if one.number in uncertain
    ]


def _uncertain(schedule: Schedule, spreads: Spreads) -> dict[int, Spread]:
    """
    Return by number the open activities whose end is drawn as uncertain.

    Of the legs of an item that is away, which share a row, only the last one is.
    """
    sources = {item.id: item.source for item in schedule.prepared.plan.send_outs}
    last_away: dict[str, int] = {}
    found = []
    for number, one in enumerate(schedule.activities):
        if one.send_out is None or one.leg in SHOP_LEGS:
            found.append(number)
        elif one.leg not in UNAWAITED_LEGS[sources[one.send_out]]:
            last_away[one.send_out] = number
    ids = {number: schedule.activities[number].id for number in (*found, *last_away.values())}
    return {
        number: spreads[one]
        for number, one in ids.items()
        if one in spreads and is_uncertain(spreads[one])
    }


def _inked_line(schedule: Schedule, lanes: Lanes) -> list[dict[str, Any]]:
    """Draw the critical path through the work, on paper beneath so that hatches do not hide it."""
    x, y = [], []
    for number in schedule.critical_path:
        if number in lanes.by_number:
            one = lanes.by_number[number]
            x += [moment(one.start), moment(one.finish)]
            y += [one.row, one.row]
    line = {"type": "scatter", "mode": "lines", "x": x, "y": y, "hoverinfo": "skip"}
    return [
        line | {"name": "", "line": {"color": PAPER, "width": 5, "simplify": False}},
        line | {"name": "Sets the finish", "line": {"color": INK, "width": 2.4, "simplify": False}},
    ]


def _joins(schedule: Schedule, lanes: Lanes) -> dict[str, Any]:
    """Draw the thin lines along which items leave their zone's lane and come back."""
    x: list[str | None] = []
    y: list[float | None] = []
    number, blocks = schedule.prepared.number, lanes.by_number
    activities = schedule.activities
    for link in schedule.prepared.expansion.links:
        before, after = number[link.before], number[link.after]
        is_leg = activities[before].send_out is not None or activities[after].send_out is not None
        if not is_leg or before not in blocks or after not in blocks:
            continue
        one, other = blocks[before], blocks[after]
        if one.row != other.row:
            x += [moment(one.finish), moment(other.start), None]
            y += [one.row, other.row, None]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "Leaves and comes back",
        "x": x,
        "y": y,
        "hoverinfo": "skip",
        "line": {"color": INK_SOFT, "width": 0.8, "dash": "2px,2px"},
    }


def _which(schedule: Schedule, number: int) -> list[str]:
    """Return which activity a bar is, and the item of a leg."""
    one = schedule.activities[number]
    return [one.id] if one.send_out is None else [one.id, one.send_out]


def _milestones(schedule: Schedule, lanes: Lanes, blocks: Sequence[Block]) -> dict[str, Any]:
    """Draw the milestones as flags with their names; a filled one has been reached."""
    reached = [schedule.activities[one.number].is_done for one in blocks]
    return {
        "type": "scatter",
        "mode": "markers+text",
        "name": "Milestone",
        "x": [moment(one.finish) for one in blocks],
        "y": [one.row for one in blocks],
        "text": [label(name_of(schedule, one.number)) for one in blocks],
        "textposition": [
            "middle left" if one.number in lanes.names_left else "middle right" for one in blocks
        ],
        "textfont": {"size": 12, "color": INK},
        "marker": {
            "symbol": ["triangle-down" if done else "triangle-down-open" for done in reached],
            "size": 11,
            "color": INK,
            "line": {"color": INK, "width": 1.6},
        },
        "customdata": [_which(schedule, one.number) for one in blocks],
    }


def _reach(lanes: Lanes) -> tuple[int, int]:
    """Return the first and last instant in sight: all work, with a margin. [ticks]"""
    margin = max(_MARGIN_DAYS * TICKS_PER_DAY, (lanes.last - lanes.first) // 50)
    return lanes.first - margin, lanes.last + margin


def _rules(lanes: Sequence[Lane]) -> list[dict[str, Any]]:
    """Rule a line above each lane; a heavier one where the away lanes begin."""
    rules = []
    before: Lane | None = None
    for lane in lanes:
        begins = lane.kind == "vendor" and (before is None or before.kind != "vendor")
        line = {"color": INK, "width": 1.5} if begins else {"color": RULE, "width": 1}
        across = {"type": "line", "layer": "below", "xref": "paper", "x0": 0, "x1": 1}
        rules.append(across | {"y0": lane.top, "y1": lane.top, "line": line})
        before = lane
    return rules


def _names(lanes: Sequence[Lane], plan: Plan) -> list[dict[str, Any]]:
    """Letter each lane's name at its top left."""
    countries = {one.id: one.country for one in plan.vendors}
    return [
        lane_name(_lane_words(lane, countries.get(lane.key, "")), lane.top, lane.name)
        | {"name": "typed" if lane.kind == "zone" and lane.key != NO_ZONE else "told"}
        for lane in lanes
    ]


def _lane_words(lane: Lane, country: str) -> str:
    """Return a lane's name: a zone's own, a vendor's with where it is."""
    name = label(lane.name)
    if lane.kind != "vendor":
        return name
    return f"Away at {name}, {letters(country)}" if country else f"Away at {name}"
