"""The sheet that every figure is drawn on: inks, hatches, lettering, dates in words.

States are told apart by hatch and outline; the colours only help. They are those of the
light sheet: a page that is dark at night swaps each for its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from html import escape
from typing import Any

from ribstitch.planning.ticks import TICKS_PER_DAY

Figure = dict[str, Any]
"""A Plotly figure as JSON: traces under `data`, the sheet under `layout`."""

PAPER = "#fbfaf5"
INK = "#1b2430"
INK_SOFT = "#4e5761"
RULE = "#d5d4ca"
SUNK = "#f1efe6"
ACCOMPLISHED = "#8a9a3f"
ACCOMPLISHED_WASH = "#e6ead0"
HELD = "#c78a1e"
HELD_WASH = "#fbedcf"


@dataclass(frozen=True, slots=True)
class Hatch:
    """How a state is drawn."""

    shape: str
    """Plotly's letter for the pattern; empty: none."""
    ink: str
    ground: str
    solidity: float = 0.3
    """Share of the ground that the pattern covers."""


HATCHES: Mapping[str, Hatch] = {
    "done": Hatch("/", ACCOMPLISHED, PAPER),
    "in_work": Hatch(".", ACCOMPLISHED, ACCOMPLISHED_WASH, 0.12),
    "held": Hatch("\\", HELD, HELD_WASH),
    "not_started": Hatch("", PAPER, PAPER),
}
"""By state."""

STATE_WORDS: Mapping[str, str] = {
    "done": "Done",
    "in_work": "In work",
    "held": "Held",
    "not_started": "Not started",
}

MILLISECONDS_PER_DAY = 86_400_000
LONGEST_LABEL = 40
"""A longer name is cut where it is lettered in a drawing. [characters]"""


def letters(text: str) -> str:
    """Escape text that somebody typed: a figure's texts may carry markup."""
    return escape(text, quote=False)


def label(text: str) -> str:
    """Escape a name and cut it to the room there is in a drawing."""
    if len(text) <= LONGEST_LABEL:
        return letters(text)
    return f"{letters(text[: LONGEST_LABEL - 1].rstrip(' ,;:'))}…"


def lane_name(text: str, top: float, *whole: str) -> dict[str, Any]:
    """
    Letter a lane at its top left.

    Parameters
    ----------
    text
        What is lettered, escaped.
    top
        Upper edge of the lane. [rows]
    whole
        The names in it as they were typed: told on hovering, if one of them is cut.
    """
    name = {
        "xref": "paper",
        "x": 0,
        "xanchor": "left",
        "y": top,
        "yanchor": "top",
        "text": text,
        "showarrow": False,
        "bgcolor": PAPER,
        "borderpad": 1,
        "font": {"size": 13, "weight": 600, "color": INK},
    }
    is_cut = any(len(one) > LONGEST_LABEL for one in whole)
    return name | {"hovertext": letters(", ".join(whole))} if is_cut else name


_MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sept", "Oct", "Nov", "Dec",
)  # fmt: skip
"""As browsers write them in British and Irish English, and so the pages (CLDR)."""


def words(day: date) -> str:
    """Write a date as people in a shop do: ``Fri 9 Oct 2026``."""
    return f"{day:%a} {short_words(day)}"


def short_words(day: date) -> str:
    """Write a date where there is little room: ``9 Oct 2026``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def plural(count: float, noun: str) -> str:
    """Write a count with its noun: ``1 day``, ``2.5 days``."""
    return f"{count:g} {noun}" if count == 1 else f"{count:g} {noun}s"


def moment(instant: int) -> str:
    """Write an instant (in ticks) for a date axis."""
    day, offset = divmod(instant, TICKS_PER_DAY)
    at = datetime.fromordinal(day) + timedelta(minutes=offset)
    return at.isoformat(" ", "minutes")


def milliseconds(ticks: int) -> int:
    """Convert a span on the clock to the unit of a date axis. [ms]"""
    return ticks * MILLISECONDS_PER_DAY // TICKS_PER_DAY


def sheet(**layout: Any) -> dict[str, Any]:
    """Return a layout with the lettering and ground that all figures share."""
    shared: dict[str, Any] = {
        "paper_bgcolor": PAPER,
        "plot_bgcolor": PAPER,
        "font": {"color": INK, "size": 13},
        "hoverlabel": {
            "bgcolor": PAPER,
            "bordercolor": INK,
            "font": {"color": INK, "size": 13},
            "align": "left",
        },
        "showlegend": False,
        "dragmode": False,
        "hovermode": "closest",
        "margin": {"l": 8, "r": 8, "t": 8, "b": 8},
    }
    return shared | layout


def date_axis(**axis: Any) -> dict[str, Any]:
    """Return an axis of dates: ruled lines, no frame."""
    shared: dict[str, Any] = {
        "type": "date",
        "showgrid": True,
        "gridcolor": RULE,
        "gridwidth": 1,
        "zeroline": False,
        "linecolor": INK,
        "ticks": "outside",
        "tickcolor": INK,
        "ticklen": 5,
        "automargin": True,
        "tickformatstops": [
            {"dtickrange": [None, 86_400_000 * 25], "value": "%-d %b\n%Y"},
            {"dtickrange": [86_400_000 * 25, "M11"], "value": "%b\n%Y"},
            {"dtickrange": ["M12", None], "value": "%Y"},
        ],
    }
    return shared | axis


def target_line(target: date) -> dict[str, Any]:
    """Draw the wanted finish across a sheet whose upright axis is one of finish dates."""
    line = {"color": INK_SOFT, "width": 1.2, "dash": "8px,4px"}
    at = target.isoformat()
    return {"type": "line", "xref": "paper", "x0": 0, "x1": 1, "y0": at, "y1": at, "line": line}


def standpoint(name: str, x: Sequence[Any], y: Sequence[Any]) -> dict[str, Any]:
    """Mark the middle one of three points, with lines from it to both axes."""
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "name": name,
        "x": list(x),
        "y": list(y),
        "line": {"color": INK_SOFT, "width": 1.2, "dash": "3px,3px"},
        "marker": {
            "symbol": "circle-cross-open", "size": [0, 15, 0], "color": INK,
            "line": {"color": INK, "width": 2},
        },
        "hoverinfo": "skip",
    }  # fmt: skip
