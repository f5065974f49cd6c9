"""Cash need by month, and earned value."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import plotly.graph_objects as go
import pytest

from ribstitch.charts.earned import EarnedPoint, earned_figure
from ribstitch.charts.money_need import NeedMonth, money_need_figure

NOVEMBER = NeedMonth(
    date(2026, 11, 1), Decimal(5000), Decimal(9000), Decimal(11000), Decimal(4000), Decimal(2000)
)
MONTHS = [
    NOVEMBER,
    replace(NOVEMBER, month=date(2026, 12, 1), balance=Decimal(-3000)),
    replace(NOVEMBER, month=date(2027, 1, 1), funding=Decimal(0), balance=Decimal(-12000)),
]
"""4,000 comes in, 9,000 is likely to go: 2,000 are left, then 3,000 short, 12,000 short."""
POINTS = [
    EarnedPoint(date(2026, 9, 30), Decimal(100), Decimal(90), Decimal(120)),
    EarnedPoint(date(2026, 10, 9), Decimal(130), Decimal(110), Decimal(150)),
    EarnedPoint(date(2026, 11, 30), Decimal(400), None, None),
]


def trace(figure: dict[str, Any], name: str) -> dict[str, Any]:
    """Return the trace of a name."""
    found: dict[str, Any] = next(one for one in figure["data"] if one["name"] == name)
    return found


def lettering(figure: dict[str, Any]) -> str:
    """Return all that is lettered on the sheet."""
    return " | ".join(one["text"] for one in figure["layout"]["annotations"])


def earned(points: list[EarnedPoint]) -> dict[str, Any]:
    """Draw earned value as of 9 October."""
    return earned_figure(
        points,
        start=date(2026, 9, 1),
        as_of=date(2026, 10, 9),
        budget=Decimal(400),
        currency="EUR",
    )


@pytest.mark.parametrize(
    "figure",
    [
        money_need_figure(MONTHS, currency="EUR", dry=date(2026, 12, 1)),
        money_need_figure(MONTHS[:1], currency="EUR"),
        money_need_figure([replace(NOVEMBER, possible=None, balance=None)], currency="EUR"),
        money_need_figure([], currency="EUR"),
        earned(POINTS),
        earned(POINTS[-1:]),
        earned([]),
    ],
)
def test_figure_is_json_that_the_plotting_library_accepts(figure: dict[str, Any]) -> None:
    """plotly's own classes refuse what its published schema does not know."""
    go.Figure(json.loads(json.dumps(figure, allow_nan=False)))


def test_committed_is_hatched_and_likely_is_outlined_on_the_same_foot() -> None:
    figure = money_need_figure(MONTHS, currency="EUR", dry=date(2026, 12, 1))
    assert figure["layout"]["barmode"] == "overlay"
    assert trace(figure, "Committed")["y"] == [5000, 5000, 5000]
    assert trace(figure, "Committed")["marker"]["pattern"]["shape"] == "/"
    assert trace(figure, "Likely")["y"] == [9000, 9000, 9000]
    assert trace(figure, "Likely")["x"] == trace(figure, "Committed")["x"]
    assert trace(figure, "Comes in")["y"] == [4000, 4000]
    told = trace(figure, "Likely")["customdata"][0]
    assert told[0] == "November 2026"
    assert "EUR 9,000 likely" in told[1]


def test_account_is_stepped_to_month_ends_and_crossed_where_it_runs_dry() -> None:
    figure = money_need_figure(MONTHS, currency="EUR", dry=date(2026, 12, 1))
    account = trace(figure, "On the account")
    assert account["x"] == ["2026-12-01", "2027-01-01", "2027-02-01"]
    assert account["y"] == [2000, -3000, -12000]
    dry = trace(figure, "Runs dry")
    assert (dry["x"], dry["y"]) == (["2027-01-01"], [-3000])
    assert "it runs dry in December 2026" in lettering(figure)
    lasting = money_need_figure(MONTHS[:1], currency="EUR")
    assert "it lasts to the end" in lettering(lasting)


def test_what_is_not_known_is_neither_drawn_nor_lettered() -> None:
    figure = money_need_figure([replace(NOVEMBER, possible=None, balance=None)], currency="EUR")
    assert {one["name"] for one in figure["data"]} == {"Likely", "Committed", "Comes in"}
    assert "possible" not in lettering(figure)
    assert "account" not in lettering(figure)
    assert "yaxis2" not in figure["layout"]


def test_earned_and_cost_end_at_the_as_of_date_and_planned_goes_on() -> None:
    figure = earned(POINTS)
    assert trace(figure, "Earned value")["x"] == ["2026-08-31", "2026-09-30", "2026-10-09"]
    assert trace(figure, "Earned value")["y"] == [0, 90, 110]
    assert trace(figure, "Actual cost")["y"] == [0, 120, 150]
    assert trace(figure, "Planned value")["y"] == [0, 100, 130, 400]
    dashes = {one["line"].get("dash", "solid") for one in figure["data"]}
    assert len(dashes) == 3
    assert "budget EUR 400" in lettering(figure)
    assert "as of 9 Oct 2026" in lettering(figure)


def test_the_higher_of_earned_and_cost_is_lettered_above() -> None:
    figure = earned(POINTS)
    edges = {one["text"]: one["yanchor"] for one in figure["layout"]["annotations"]}
    assert (edges["earned"], edges["cost"]) == ("top", "bottom")
