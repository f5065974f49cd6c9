"""When the money is needed: month by month, above what is left on the account."""

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
    MILLISECONDS_PER_DAY,
    PAPER,
    Figure,
    date_axis,
    sheet,
)

_GAP = timedelta(days=3)
"""Between a month's box and the ends of the month."""
_NEED = (0.44, 1.0)
_ACCOUNT = (0.0, 0.34)
"""Shares of the sheet's height."""
_WORDS = 58
"""Room above the sheet for the key. [px]"""


@dataclass(frozen=True, slots=True)
class NeedMonth:
    """Money that is needed and comes in, in one month, in the project's currency."""

    month: date
    """Its first date."""
    committed: Decimal
    likely: Decimal
    possible: Decimal | None
    """None while that is not known."""
    funding: Decimal
    balance: Decimal | None
    """On the account at the end of the month; None: nobody said."""


def money_need_figure(
    months: Sequence[NeedMonth], *, currency: str, dry: date | None = None
) -> Figure:
    """
    Draw what is needed, and under it how long the account lasts.

    Parameters
    ----------
    months
        One after the other; none: an empty sheet.
    currency
        Of all amounts.
    dry
        The first date of the month in which the account runs dry.
    """
    if not months:
        return {"data": [], "layout": sheet()}
    account = [one for one in months if one.balance is not None]
    data = [_likely(months, currency), _committed(months), *_possible(months), *_coming(months)]
    above = _NEED if account else (0.0, 1.0)
    layout = sheet(
        height=480 if account else 340,
        margin={"l": 8, "r": 8, "t": _WORDS, "b": 8},
        barmode="overlay",
        xaxis=date_axis(
            range=[months[0].month.isoformat(), _end(months[-1].month).isoformat()],
            fixedrange=True, nticks=7, anchor="y2" if account else "y",
        ),
        yaxis=amount_axis(domain=list(above), rangemode="tozero"),
        annotations=[_letters([f"Needed in a month, {currency}", _key(months)], above[1])],
    )  # fmt: skip
    if account:
        data += [_level(account, currency), *_dry_mark(account, dry)]
        layout["yaxis2"] = amount_axis(
            domain=list(_ACCOUNT), zeroline=True, zerolinecolor=INK, zerolinewidth=1.8,
            nticks=4, rangemode="tozero",
        )  # fmt: skip
        lines = [f"On the account at the end of it, {currency}", _lasts(account, dry)]
        layout["annotations"].append(_letters(lines, _ACCOUNT[1]))
    return {"data": data, "layout": layout}


def _end(month: date) -> date:
    """Return the first date of the next month."""
    return (month.replace(day=28) + timedelta(days=4)).replace(day=1)


def _middle(month: date) -> str:
    """Return the middle of a month, where its box stands."""
    return (month + (_end(month) - month) / 2).isoformat()


def _box(name: str, months: Sequence[NeedMonth], heights: Sequence[Decimal]) -> dict[str, Any]:
    """Draw a box for each month."""
    widths = [(_end(one.month) - one.month - 2 * _GAP).days for one in months]
    return {
        "type": "bar",
        "name": name,
        "x": [_middle(one.month) for one in months],
        "y": [float(height) for height in heights],
        "width": [days * MILLISECONDS_PER_DAY for days in widths],
    }


def _likely(months: Sequence[NeedMonth], currency: str) -> dict[str, Any]:
    """Outline what is likely to be needed; hovering tells all figures of the month."""
    return _box("Likely", months, [one.likely for one in months]) | {
        "marker": {"color": PAPER, "line": {"color": INK, "width": 1.6}},
        "customdata": [[f"{one.month:%B %Y}", _figures(one, currency)] for one in months],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<extra></extra>",
    }


def _committed(months: Sequence[NeedMonth]) -> dict[str, Any]:
    """Hatch what is billed or ordered."""
    hatch = {"shape": "/", "fgcolor": INK, "bgcolor": PAPER, "size": 6, "solidity": 0.3}
    return _box("Committed", months, [one.committed for one in months]) | {
        "marker": {"color": PAPER, "pattern": hatch, "line": {"color": INK, "width": 1}},
        "hoverinfo": "skip",
    }


def _possible(months: Sequence[NeedMonth]) -> list[dict[str, Any]]:
    """Dash across each month what is needed in a late and dear course."""
    known = [(one.month, float(one.possible)) for one in months if one.possible is not None]
    ends = [(month + _GAP, _end(month) - _GAP) for month, _ in known]
    x = [day for first, last in ends for day in (first.isoformat(), last.isoformat(), None)]
    y = [height for _, one in known for height in (one, one, None)]
    line = {"color": INK_SOFT, "width": 2.4, "dash": "4px,3px"}
    return [_drawn("Possible", x, y, line=line)] if known else []


def _coming(months: Sequence[NeedMonth]) -> list[dict[str, Any]]:
    """Ring what comes in."""
    known = [one for one in months if one.funding]
    x, y = [_middle(one.month) for one in known], [float(one.funding) for one in known]
    ring = {"symbol": "circle", "size": 9, "color": PAPER, "line": {"color": INK, "width": 1.8}}
    return [_drawn("Comes in", x, y, mode="markers", marker=ring)] if known else []


def _level(account: Sequence[NeedMonth], currency: str) -> dict[str, Any]:
    """Step down, or up, what is on the account at the end of each month."""
    shown = [one for one in account if one.balance is not None]
    return _drawn(
        "On the account",
        [_end(one.month).isoformat() for one in shown],
        [float(one.balance or 0) for one in shown],
        mode="lines+markers",
        line={"color": INK, "width": 2.2},
        marker={"symbol": "circle", "size": 5, "color": INK},
    ) | {
        "yaxis": "y2",
        "hoverinfo": None,
        "customdata": [
            [
                f"end of {one.month:%B %Y}",
                f"{money(one.balance or Decimal(0), currency)} on the account",
            ]
            for one in shown
        ],
        "hovertemplate": "%{customdata[0]}<br>%{customdata[1]}<extra></extra>",
    }


def _dry_mark(account: Sequence[NeedMonth], dry: date | None) -> list[dict[str, Any]]:
    """Cross the end of the month in which the account runs dry."""
    cross = {"symbol": "x-thin", "size": 13, "color": INK, "line": {"color": INK, "width": 3}}
    return [
        _drawn("Runs dry", [_end(one.month).isoformat()], [float(one.balance or 0)],
               mode="markers", marker=cross) | {"yaxis": "y2"}
        for one in account
        if one.month == dry
    ]  # fmt: skip


def _drawn(name: str, x: Sequence[str | None], y: Sequence[float | None], **more: Any) -> Figure:
    """Return a trace of lines or marks that hovering passes over."""
    return {"type": "scatter", "mode": "lines", "name": name, "x": list(x), "y": list(y),
            "hoverinfo": "skip", **more}  # fmt: skip


def _figures(one: NeedMonth, currency: str) -> str:
    """Write the figures of a month in words."""
    told = [f"{money(one.committed, currency)} billed or ordered"]
    told.append(f"{money(one.likely, currency)} likely")
    if one.possible is not None:
        told.append(f"{money(one.possible, currency)} possible")
    if one.funding:
        told.append(f"{money(one.funding, currency)} comes in")
    return "<br>".join(told)


def _key(months: Sequence[NeedMonth]) -> str:
    """Write what is drawn how."""
    told = ["hatched: billed or ordered", "outlined: likely"]
    if any(one.possible is not None for one in months):
        told.append("dashed: possible")
    if any(one.funding for one in months):
        told.append("ring: comes in")
    return "<br>".join("; ".join(told[place : place + 2]) for place in range(0, len(told), 2))


def _lasts(account: Sequence[NeedMonth], dry: date | None) -> str:
    """Write when the account runs dry."""
    if dry is None:
        return "it lasts to the end"
    return "it runs dry this month" if account[0].month == dry else f"it runs dry in {dry:%B %Y}"


def _letters(lines: Sequence[str], y: float) -> dict[str, Any]:
    """Letter what stands above a part of the sheet."""
    return {
        "xref": "paper", "x": 0, "xanchor": "left", "yref": "paper", "y": y, "yanchor": "bottom",
        "align": "left", "text": "<br>".join(lines), "showarrow": False, "borderpad": 2,
        "font": {"size": 12, "color": INK},
    }  # fmt: skip
