"""Figures of what is uncertain: curves of chances, and the forecast log with its band."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import plotly.graph_objects as go
import pytest

from ribstitch.charts.chance_curve import between, chance_at, chance_words
from ribstitch.charts.finish_curve import compare_curves, finish_curve
from ribstitch.charts.forecast_log import forecast_log_figure
from ribstitch.charts.lead_time import lead_time
from ribstitch.planning.uncertainty.results import Spread
from tests.charts.test_figures import trace

MONDAY = date(2027, 1, 4)
TENTHS = [(MONDAY + timedelta(days=10 * tenth), tenth / 10) for tenth in range(1, 11)]
"""Each ten days bring one more chance in ten, from 14 January to 14 April 2027."""
PLANNED, LIKELY, BY80 = date(2027, 2, 3), date(2027, 2, 23), date(2027, 3, 25)
SPREAD = Spread(date(2027, 1, 14), LIKELY, BY80, date(2027, 4, 4))
DAYS = [(30.0 + day, day / 60) for day in range(1, 61)]


def curve_figure(target: date | None = date(2027, 1, 19)) -> dict[str, Any]:
    return finish_curve(TENTHS, planned=PLANNED, target=target, likely=LIKELY, by80=BY80)


def lead_figure(elapsed: float = 30, promised: float | None = 70) -> dict[str, Any]:
    return lead_time(DAYS, quoted=55, elapsed=elapsed, promised=promised, p50=60, p80=78)


FIGURES: dict[str, Callable[[], dict[str, Any]]] = {
    "curve": curve_figure,
    "curve without target": lambda: curve_figure(None),
    "curve of one certain date": lambda: finish_curve(
        [(PLANNED, 1.0)], planned=PLANNED, target=None, likely=PLANNED, by80=PLANNED
    ),
    "two curves": lambda: compare_curves([("Plan", TENTHS), ("Case", TENTHS)], target=LIKELY),
    "no curves": lambda: compare_curves([], target=LIKELY),
    "lead time": lead_figure,
    "lead time of an item that is here": lambda: lead_figure(0, None),
    "log": lambda: forecast_log_figure([(MONDAY, PLANNED)], target=LIKELY, spreads=[SPREAD]),
    "log of two": lambda: forecast_log_figure(
        [(MONDAY, PLANNED), (LIKELY, PLANNED)], spreads=[None, SPREAD]
    ),
}


@pytest.mark.parametrize("name", FIGURES)
def test_figure_is_json_that_the_plotting_library_accepts(name: str) -> None:
    """plotly's own classes refuse what its published schema does not know."""
    go.Figure(json.loads(json.dumps(FIGURES[name](), allow_nan=False)))


@pytest.mark.parametrize("name", FIGURES)
def test_texts_carry_no_markup_that_the_content_policy_refuses(name: str) -> None:
    text = json.dumps(FIGURES[name]())
    assert set(re.findall(r"<(/?\w+)", text)) <= {"br", "extra", "/extra"}


def lettered(figure: dict[str, Any]) -> list[str]:
    """Return what is lettered in a figure."""
    return [one["text"] for one in figure["layout"]["annotations"]]


def test_the_four_dates_are_named_in_the_figure() -> None:
    assert sorted(lettered(curve_figure())) == [
        "80 % by 25 Mar 2027",
        "as written 3 Feb 2027",
        "likely 23 Feb 2027",
        "target 19 Jan 2027",
    ]


def test_the_curve_begins_with_no_chance_and_keeps_every_date() -> None:
    drawn = trace(curve_figure(), "Chance that it is finished")
    assert (drawn["x"][0], drawn["y"][0]) == ("2027-01-13", 0.0)
    assert drawn["x"][1:] == [day.isoformat() for day, _ in TENTHS]
    assert drawn["y"][1:] == [chance for _, chance in TENTHS]


def test_the_wanted_date_stands_on_the_curve() -> None:
    """Half way between 1 and 2 chances in 10."""
    mark = trace(curve_figure(), "Target")
    assert mark["x"] == ["2027-01-19"]
    assert mark["y"][0] == pytest.approx(0.15)


def test_the_box_under_the_curve_lies_between_likely_and_80_percent() -> None:
    box = trace(curve_figure(), "From likely to 8 chances in 10")
    assert (box["x"][0], box["x"][-1]) == ("2027-02-23", "2027-03-25")
    assert box["y"] == [0, 0.5, 0.6, 0.7, 0.8, 0]
    assert box["fillpattern"]["shape"] == "|", "no other meaning has upright strokes"


def test_a_wanted_date_that_is_far_away_is_named_at_the_edge() -> None:
    figure = curve_figure(date(2025, 5, 1))
    assert "← target 1 May 2025" in lettered(figure)
    assert figure["layout"]["xaxis"]["range"][0] > "2026-12"
    assert "target 1 May 2031 →" in lettered(curve_figure(date(2031, 5, 1)))


def test_the_end_of_the_tail_does_not_squeeze_the_curve() -> None:
    """One course in 200 lasts two years longer."""
    steep = [(day, 0.995 * chance) for day, chance in TENTHS]
    figure = finish_curve(
        [*steep, (date(2029, 4, 1), 1.0)], planned=PLANNED, target=None, likely=LIKELY, by80=BY80
    )
    assert figure["layout"]["xaxis"]["range"][1] < "2027-06"


def test_a_date_as_written_with_hardly_a_chance_is_named_above_the_curve() -> None:
    """Below the curve its name would stand on the curve's own beginning."""
    figure = finish_curve(TENTHS, planned=date(2027, 1, 20), target=None, likely=LIKELY, by80=BY80)
    name = next(one for one in figure["layout"]["annotations"] if "as written" in one["text"])
    on_the_curve = chance_at(TENTHS, date(2027, 1, 20))
    assert on_the_curve < 0.2
    assert name["y"] > 0.6


def test_the_uprights_of_likely_and_80_percent_end_on_the_curve() -> None:
    """Dates are whole days: the likely one may be kept with rather more than 5 in 10."""
    figure = finish_curve(
        [(MONDAY, 0.2), (LIKELY, 0.55), (BY80, 0.86)],
        planned=MONDAY, target=None, likely=LIKELY, by80=BY80,
    )  # fmt: skip
    tops = {one["x0"]: one["y1"] for one in figure["layout"]["shapes"]}
    assert tops["2027-02-23"] == pytest.approx(0.55)
    assert tops["2027-03-25"] == pytest.approx(0.86)


def test_a_log_of_one_forecast_shows_every_line_of_it() -> None:
    figure = forecast_log_figure([(LIKELY, PLANNED)], spreads=[SPREAD])
    for name in ("Likely finish", "80 % by", "If everything goes as written"):
        line = trace(figure, name)
        assert (line["mode"], line["x"]) == ("lines", ["2027-02-22", "2027-02-24"])
        assert len(line["customdata"]) == 2


@pytest.mark.parametrize("shift", range(-40, 121, 8))
def test_names_of_uprights_never_stand_on_each_other(shift: int) -> None:
    """At 340 px of height less 75 for axis and margins, a line of 17 px is 0.064 of 1.06."""
    figure = curve_figure(MONDAY + timedelta(days=shift))
    heights = sorted(one["y"] for one in figure["layout"]["annotations"])
    assert min(b - a for a, b in pairwise(heights)) > 0.064


def test_curves_are_told_apart_without_colour() -> None:
    figure = compare_curves(
        [(name, TENTHS) for name in ("Plan", "One", "Two", "Three")], target=None
    )
    curves = [one for one in figure["data"] if one["mode"] == "lines"]
    assert len({one["line"]["dash"] for one in curves}) == 4
    assert [one["name"] for one in curves] == [
        f"{name}\u2003" for name in ("1  Plan", "2  One", "3  Two", "4  Three")
    ]
    balloons = [one for one in figure["data"] if one["mode"] == "markers+text"]
    assert [one["text"] for one in balloons] == [["1"], ["2"], ["3"], ["4"]]
    assert len({one["y"][0] for one in balloons}) == 4
    assert figure["data"][-4:] == balloons, "no curve is drawn through a balloon"


def test_a_name_in_the_key_is_cut_and_brings_no_markup() -> None:
    figure = compare_curves([("<b>" + "W" * 80, TENTHS)], target=None)
    assert figure["data"][0]["name"] == "1  &lt;b&gt;" + "W" * 36 + "…\u2003"


def test_lead_time_names_quote_today_promise_and_both_chances() -> None:
    assert sorted(lettered(lead_figure())) == [
        "80 % within 78 days",
        "likely 60 days",
        "promised: 70 days",
        "quoted 55 days",
        "today, day 30",
    ]


def test_days_that_have_gone_by_are_ruled_off() -> None:
    """A job that has been out for thirty days cannot come back in twenty."""
    gone = [one for one in lead_figure()["layout"]["shapes"] if one["type"] == "rect"]
    assert [(one["x0"], one["x1"]) for one in gone] == [(0, 30)]
    assert all(one["type"] != "rect" for one in lead_figure(elapsed=0)["layout"]["shapes"])


def test_the_log_draws_its_band_and_three_dates() -> None:
    later = Spread(*(day + timedelta(days=7) for day in (SPREAD.p10, LIKELY, BY80, SPREAD.p90)))
    figure = forecast_log_figure(
        [(MONDAY, PLANNED), (date(2027, 1, 11), PLANNED), (date(2027, 1, 18), PLANNED)],
        spreads=[None, SPREAD, later],
    )
    assert trace(figure, "Likely finish")["x"] == ["2027-01-11", "2027-01-18"]
    assert trace(figure, "Likely finish")["y"] == ["2027-02-23", "2027-03-02"]
    assert trace(figure, "80 % by")["y"] == ["2027-03-25", "2027-04-01"]
    assert len(trace(figure, "If everything goes as written")["x"]) == 3
    band = trace(figure, "8 chances in 10 lie between")
    assert list(zip(band["x"], band["y"], strict=True)) == [
        ("2027-01-11", "2027-01-14"),
        ("2027-01-18", "2027-01-14"),
        ("2027-01-18", "2027-01-21"),
        ("2027-01-18", "2027-04-11"),
        ("2027-01-18", "2027-04-04"),
        ("2027-01-11", "2027-04-04"),
    ]


def test_the_three_lines_of_the_log_differ_without_colour() -> None:
    figure = forecast_log_figure([(MONDAY, PLANNED), (LIKELY, PLANNED)], spreads=[SPREAD, SPREAD])
    lines = [one["line"].get("dash", "solid") for one in figure["data"][1:]]
    assert lines == ["2px,3px", "9px,4px", "solid"]


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.0, "less than 1 chance in 100"),
        (0.0049, "less than 1 chance in 100"),
        (0.01, "1 chance in 100"),
        (0.1, "1 chance in 10"),
        (0.37, "37 chances in 100"),
        (0.8, "8 chances in 10"),
        (0.994, "99 chances in 100"),
        (0.996, "more than 99 chances in 100"),
        (1.0, "more than 99 chances in 100"),
    ],
)
def test_chances_are_said_in_tenths_or_hundredths(probability: float, words: str) -> None:
    assert chance_words(probability) == words


def test_between_two_values_a_chance_lies_on_the_straight_line() -> None:
    points = [(0.0, 0.0), (10.0, 0.5), (30.0, 1.0)]
    assert [chance_at(points, x) for x in (-1.0, 0.0, 5.0, 20.0, 30.0, 99.0)] == [
        0.0, 0.0, 0.25, 0.75, 1.0, 1.0,
    ]  # fmt: skip
    assert between(points, 5.0, 20.0) == [(5.0, 0.25), (10.0, 0.5), (20.0, 0.75)]
