"""Uncertain ends on the schedule and away lanes, against dates worked out on paper."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import plotly.graph_objects as go
import pytest

from ribstitch.charts.away_lanes import away_figure
from ribstitch.charts.lanes import lay_out
from ribstitch.charts.schedule_lanes import schedule_figure
from ribstitch.charts.tapers import HEIGHT, UncertainEnd, in_words, taper_marks, taper_shapes
from ribstitch.planning.grace import send_out_grace
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, end_of
from ribstitch.planning.uncertainty.results import Spread
from tests.charts.plans import engine_plan, shipped_plan

SPREAD = Spread(date(2027, 2, 1), date(2027, 2, 11), date(2027, 2, 21), date(2027, 3, 3))
CERTAIN = Spread(*[date(2027, 2, 11)] * 4)
BEGINNING = end_of(date(2027, 1, 31))


def trace(figure: dict[str, Any], name: str) -> dict[str, Any]:
    """Return the trace of a name."""
    found: dict[str, Any] = next(one for one in figure["data"] if one["name"] == name)
    return found


def corners(finish: int, spread: Spread = SPREAD) -> list[tuple[str, float]]:
    """Return the upper corners of one taper: when, and how high over its foot as a share."""
    shape = taper_shapes([UncertainEnd(5.0, finish, spread)])
    foot = 5.0 + HEIGHT / 2
    drawn = zip(shape["x"], shape["y"], strict=True)
    return [
        (at[:10], round((foot - y) / HEIGHT, 6)) for at, y in drawn if at is not None and y < foot
    ]


def test_a_taper_is_as_high_as_the_chance_that_the_work_still_goes_on() -> None:
    """Ends of dates are midnight: the end of 1 February is drawn at the beginning of the 2nd."""
    assert corners(BEGINNING) == [
        ("2027-02-01", 1.0), ("2027-02-02", 0.9), ("2027-02-12", 0.5), ("2027-02-22", 0.2),
        ("2027-03-04", 0.1),
    ]  # fmt: skip


def test_a_taper_begins_where_the_bar_ends_between_two_known_chances() -> None:
    """Halfway from P10 (nine in ten still going) to P50 (five in ten): seven in ten."""
    assert corners(end_of(date(2027, 2, 6))) == [
        ("2027-02-07", 0.7), ("2027-02-12", 0.5), ("2027-02-22", 0.2), ("2027-03-04", 0.1),
    ]  # fmt: skip


def test_work_that_is_surely_done_by_its_date_has_no_taper_but_its_marks() -> None:
    end = UncertainEnd(5.0, end_of(SPREAD.p90), SPREAD)
    assert taper_shapes([end])["x"] == []
    likely, kept = taper_marks([end])
    assert [one["x"][0][:10] for one in (likely, kept)] == ["2027-02-12", "2027-02-22"]


def test_the_likely_end_is_the_heavier_mark() -> None:
    likely, kept = taper_marks([UncertainEnd(5.0, BEGINNING, SPREAD)])
    assert likely["error_y"]["thickness"] >= 2 * kept["error_y"]["thickness"]


def test_an_end_in_words_names_the_likely_date_and_the_one_with_eight_chances_in_ten() -> None:
    assert in_words(SPREAD) == "likely Thu 11 Feb 2027; 8 chances in 10 by Sun 21 Feb 2027"


@pytest.mark.parametrize("count", [1, 300])
def test_any_number_of_tapers_is_three_lines(count: int) -> None:
    """A sheet of 3,000 tasks is drawn as fast as one of 30: no element for each taper."""
    ends = [UncertainEnd(float(row), BEGINNING, SPREAD) for row in range(count)]
    assert len([taper_shapes(ends), *taper_marks(ends)]) == 3
    assert taper_shapes(ends)["x"].count(None) == count


TAPERS = ("May still go on", "May still come")


def spreads_of(*ids: str) -> dict[str, Spread]:
    return dict.fromkeys(ids, SPREAD)


def test_hovering_tells_the_dates_as_written_and_the_likely_ones() -> None:
    current = schedule(engine_plan())
    figure = away_figure(current, send_out_grace(current), spreads=spreads_of("S1/ship_back"))
    told = {facts[0]: facts[2] for facts in trace(figure, "Not started")["customdata"]}
    assert told["S1/ship_back"] == (
        "as written: Thu 21 Jan 2027<br>"
        "done: likely Thu 11 Feb 2027; 8 chances in 10 by Sun 21 Feb 2027"
    )
    assert told["S1/vendor_work"] == "Thu 7 Jan 2027 to Wed 20 Jan 2027"


def test_a_bar_of_the_schedule_names_its_work_and_the_item_of_a_leg() -> None:
    """Nothing else, so that thousands weigh little: who points at one reads the rest."""
    figure = schedule_figure(schedule(engine_plan()), spreads=spreads_of("T1"))
    named = [tuple(facts) for facts in trace(figure, "Not started")["customdata"]]
    assert ("T1",) in named
    assert ("S1/ship_out", "S1") in named
    assert len(named) == len(trace(figure, "Not started")["y"])


def test_a_milestone_has_its_taper_on_its_own_row() -> None:
    current = schedule(engine_plan())
    figure = schedule_figure(current, spreads=spreads_of("DONE"))
    row = trace(figure, "Milestone")["y"][0]
    assert trace(figure, "May still come")["y"][0] == row + HEIGHT / 2


def test_only_the_last_leg_away_has_a_taper_in_the_vendors_lane() -> None:
    """All legs away share a row; the way back ends on Thursday the 21st, on paper."""
    legs = ("S1/ship_out", "S1/vendor_work", "S1/ship_back")
    figure = schedule_figure(schedule(engine_plan()), spreads=spreads_of(*legs))
    assert trace(figure, "May still go on")["x"].count(None) == 1
    assert trace(figure, "May still go on")["x"][0] == "2027-01-22 00:00"


def test_what_is_certain_has_no_taper() -> None:
    figure = schedule_figure(schedule(engine_plan()), spreads={"T1": CERTAIN, "DONE": CERTAIN})
    assert trace(figure, "May still go on")["x"] == []
    assert trace(figure, "Likely end")["x"] == []


def test_nothing_else_stands_in_a_row_before_its_taper_ends() -> None:
    """
    Take engine off, prepare and hang the engine stand in one row as written; a taper on the
    first one sends the others to rows of their own.
    """
    current = schedule(engine_plan())

    def rows(**free: int) -> list[float]:
        kept = {current.number(one): end for one, end in free.items()}
        lanes = lay_out(current, kept_free=kept)
        return [lanes.by_number[current.number(one)].row for one in ("N1", "S1/prepare", "N2")]

    assert len(set(rows())) == 1
    assert rows(N1=end_of(SPREAD.p90))[1:] == [rows(N1=end_of(SPREAD.p90))[1]] * 2
    assert len(set(rows(N1=end_of(SPREAD.p90)))) == 2


def test_the_whole_sheet_reaches_as_far_as_its_last_taper() -> None:
    current = schedule(engine_plan())
    figure = schedule_figure(current, spreads=spreads_of("DONE"))
    assert figure["layout"]["meta"]["last"] > SPREAD.p90.isoformat()
    away = away_figure(current, send_out_grace(current), spreads=spreads_of("S1/accept"))
    assert away["layout"]["meta"]["last"] > SPREAD.p90.isoformat()


def test_tapers_of_work_are_plain_where_more_than_a_year_is_in_sight() -> None:
    """Milestones, which are few, keep their strokes and their 80 % dates."""
    current = schedule(engine_plan())
    spreads = spreads_of("DONE", "N1")

    def drawn(until: date) -> list[tuple[str, bool]]:
        figure = schedule_figure(current, spreads=spreads, since=date(2027, 1, 1), until=until)
        strokes = [trace(figure, one)["fillpattern"]["shape"] for one in TAPERS]
        marks = [trace(figure, one)["visible"] for one in ("80 % by", "80 % by of a milestone")]
        return list(zip(strokes, marks, strict=True))

    assert drawn(date(2027, 12, 31)) == [("|", True), ("|", True)]
    assert drawn(date(2028, 12, 31)) == [("", False), ("|", True)]


def test_a_milestones_name_makes_way_for_its_taper_where_there_is_room_on_the_left() -> None:
    current = schedule(engine_plan())
    early = current.number("DONE")
    lanes = lay_out(current)
    wide = lay_out(current, kept_free={early: lanes.last + 60 * TICKS_PER_DAY})
    assert early in lanes.names_left, "near the end of the sheet it stands on the left anyway"
    assert early in wide.names_left, "in the middle it does so because of the taper"
    other = current.number("N1")
    assert early not in lay_out(current, kept_free={other: lanes.last * 2}).names_left


def test_the_return_of_an_item_is_drawn_beside_its_need_by_date() -> None:
    """Accepted on 1 February as written; the taper goes on from the end of that date."""
    current = schedule(shipped_plan())
    figure = away_figure(current, send_out_grace(current), spreads=spreads_of("S1/accept"))
    shape, need = trace(figure, "May still go on"), trace(figure, "Need by")
    assert shape["x"][0] == "2027-02-02 00:00"
    assert shape["y"][0] == need["y"][0] + HEIGHT / 2
    assert trace(figure, "Likely end")["x"][0] == "2027-02-12 00:00"


@pytest.mark.parametrize("spreads", [None, {}, {"S1/accept": SPREAD, "T1": SPREAD}])
def test_figures_are_json_that_the_plotting_library_accepts(
    spreads: dict[str, Spread] | None,
) -> None:
    current = schedule(shipped_plan())
    for figure in (
        schedule_figure(current, spreads=spreads),
        away_figure(current, send_out_grace(current), spreads=spreads),
        away_figure(current, (), spreads=spreads),
    ):
        go.Figure(json.loads(json.dumps(figure, allow_nan=False)))
