"""The stair of what an earlier finish costs."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from typing import Any

import plotly.graph_objects as go
import pytest

from ribstitch.charts.cost_curve import CostPoint, cost_curve_figure

PLANNED = date(2027, 12, 31)
STAIR = [
    CostPoint(PLANNED, Decimal(0)),
    CostPoint(date(2027, 12, 24), Decimal(460)),
    CostPoint(date(2027, 12, 10), Decimal("1040.50"), is_proven=False),
    CostPoint(date(2027, 11, 26), Decimal(2350)),
]
"""From the plan as written to the earliest, as it is worked out."""


def trace(figure: dict[str, Any], name: str) -> dict[str, Any]:
    """Return the trace of a name."""
    found: dict[str, Any] = next(one for one in figure["data"] if one["name"] == name)
    return found


def texts(figure: dict[str, Any]) -> list[str]:
    """Return what is lettered on the sheet."""
    return [one["text"] for one in figure["layout"]["annotations"]]


@pytest.mark.parametrize(
    "further",
    [
        {},
        {"asked": STAIR[1], "by": date(2027, 12, 28), "target": date(2027, 8, 27)},
        {"asked": STAIR[3], "target": date(2027, 12, 1)},
        {"by": date(2031, 1, 1)},
    ],
)
def test_figure_is_json_that_the_plotting_library_accepts(further: dict[str, Any]) -> None:
    """plotly's own classes refuse what its published schema does not know."""
    for points in (STAIR, STAIR[:1]):
        figure = cost_curve_figure(points, currency="EUR", **further)
        go.Figure(json.loads(json.dumps(figure, allow_nan=False)))


def test_each_finish_holds_its_cost_until_a_later_one_is_cheaper() -> None:
    """To be finished by 20 December costs what the 10th costs: 1040.50, read off by hand."""
    stair = trace(cost_curve_figure(STAIR, currency="EUR"), "Costs at least")
    assert stair["line"]["shape"] == "hv"
    dates = [date.fromisoformat(day) for day in stair["x"]]
    assert dates == sorted(dates)
    at = max(place for place, day in enumerate(dates) if day <= date(2027, 12, 20))
    assert stair["y"][at] == 1040.5
    assert stair["customdata"][at] == ["by Fri 10 Dec 2027", "EUR 1,040", "21 days sooner"]
    assert stair["y"][-1] == 0


def test_what_is_not_proven_is_drawn_open() -> None:
    landings = trace(cost_curve_figure(STAIR, currency="EUR"), "Finishes")
    open_at = [
        day
        for day, symbol in zip(landings["x"], landings["marker"]["symbol"], strict=True)
        if symbol.endswith("-open")
    ]
    assert open_at == ["2027-12-10"]


def test_the_plan_the_earliest_and_what_was_asked_are_lettered() -> None:
    figure = cost_curve_figure(STAIR, currency="EUR", asked=STAIR[1], by=date(2027, 12, 28))
    assert "the plan<br>as written" in texts(figure)
    assert "nothing reaches<br>before 26 Nov 2027" in texts(figure)
    assert "asked for 28 Dec 2027<br>24 Dec 2027, EUR 460" in texts(figure)
    (line,) = figure["layout"]["shapes"]
    assert line["x0"] == line["x1"] == "2027-12-28"


def test_what_a_sum_buys_is_marked_on_its_date() -> None:
    figure = cost_curve_figure(STAIR, currency="EUR", asked=STAIR[3])
    assert "26 Nov 2027, EUR 2,350" in texts(figure)
    assert trace(figure, "Answer")["y"] == [0, 2350, 2350]


def test_a_date_far_away_does_not_flatten_the_stair() -> None:
    far = cost_curve_figure(STAIR, currency="EUR", by=date(2031, 1, 1), target=date(2020, 1, 1))
    assert far["layout"]["xaxis"] == cost_curve_figure(STAIR, currency="EUR")["layout"]["xaxis"]
    assert far["layout"]["shapes"] == []


def test_the_days_after_the_plan_are_hatched_as_free() -> None:
    """Hatched days cost nothing, as on the stair of days late."""
    free = trace(cost_curve_figure(STAIR, currency="EUR"), "Costs nothing")
    assert free["x"][0] == PLANNED.isoformat()
    assert free["fillpattern"]["shape"] == "/"
