from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import plotly.graph_objects as go
import pytest

from ribstitch.charts.away_lanes import away_figure
from ribstitch.charts.forecast_log import forecast_log_figure
from ribstitch.charts.late_curve import late_curve_figure, tread_sentence
from ribstitch.charts.paper import label, moment
from ribstitch.charts.quoted import legs_as_quoted
from ribstitch.charts.schedule_lanes import schedule_figure
from ribstitch.planning.grace import late_curve, send_out_grace
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from tests.charts.plans import engine_plan, shipped_plan


def trace(figure: dict[str, Any], name: str) -> dict[str, Any]:
    """Return the trace of a name."""
    found: dict[str, Any] = next(one for one in figure["data"] if one["name"] == name)
    return found


def drawn(figure: dict[str, Any], name: str) -> list[str]:
    """Return the ids of the activities in a trace."""
    return [facts[0] for facts in trace(figure, name)["customdata"]]


def finishes(current: Schedule, days: int) -> list[date]:
    """Return the finish for 0 to `days` days late of the vendor's work."""
    curve = late_curve(current, ["S1/vendor_work"], days)
    return [curve.finish_on(day) for day in range(days + 1)]


def every_figure() -> list[dict[str, Any]]:
    current = schedule(shipped_plan())
    return [
        schedule_figure(current),
        schedule_figure(current, trade="nobody has this trade"),
        away_figure(current, send_out_grace(current)),
        away_figure(current, ()),
        late_curve_figure(finishes(current, 20), 0, target=date(2027, 2, 1)),
        late_curve_figure([date(2027, 2, 1)], 0),
        forecast_log_figure([(date(2027, 1, 4), date(2027, 2, 3))], target=date(2027, 2, 1)),
        forecast_log_figure([]),
    ]


@pytest.mark.parametrize("number", range(8))
def test_figure_is_json_that_the_plotting_library_accepts(number: int) -> None:
    """plotly's own classes refuse what its published schema does not know."""
    figure = every_figure()[number]
    go.Figure(json.loads(json.dumps(figure, allow_nan=False)))


@pytest.mark.parametrize("number", range(8))
def test_texts_carry_no_markup_that_the_content_policy_refuses(number: int) -> None:
    """Bold and italic become inline styles in the browser; line breaks do not."""
    text = json.dumps(every_figure()[number])
    assert set(re.findall(r"<(/?\w+)", text)) <= {"br", "extra", "/extra"}


def test_every_activity_is_drawn_once_under_its_state() -> None:
    figure = schedule_figure(schedule(shipped_plan()))
    assert sorted(drawn(figure, "Done")) == ["N1", "S1/prepare", "S1/ship_out"]
    assert drawn(figure, "In work") == ["T1", "S1/vendor_work"]
    assert drawn(figure, "Held") == ["T2"]
    assert sorted(drawn(figure, "Not started")) == ["N2", "S1/accept", "S1/ship_back"]
    assert drawn(figure, "Milestone") == ["DONE"]


def test_states_differ_without_colour() -> None:
    """Hatch and ground against outline: no two states look alike in one ink."""
    figure = schedule_figure(schedule(shipped_plan()))
    looks = set()
    for state in ("Done", "In work", "Held", "Not started"):
        marker = trace(figure, state)["marker"]
        is_filled = marker["color"] != "#fbfaf5"
        looks.add((marker["pattern"]["shape"], is_filled))
    assert len(looks) == 4


def test_bars_begin_and_end_when_the_work_does() -> None:
    """N1 is worked on Monday the 4th; the engine comes back on Friday the 29th."""
    figure = schedule_figure(schedule(shipped_plan()))
    done = trace(figure, "Done")
    assert done["base"][0] == "2027-01-04 00:00"
    assert done["x"][0] == 86_400_000
    coming = trace(figure, "Not started")
    accept = drawn(figure, "Not started").index("S1/accept")
    assert coming["base"][accept] == "2027-02-01 00:00"


def test_the_inked_line_runs_through_the_critical_path_in_order() -> None:
    current = schedule(engine_plan())
    figure = schedule_figure(current)
    line = trace(figure, "Sets the finish")
    path = [current.activities[one].id for one in current.critical_path]
    assert path == [
        "N1", "S1/prepare", "S1/ship_out", "S1/vendor_work", "S1/ship_back", "S1/accept",
        "N2", "DONE",
    ]  # fmt: skip
    assert line["x"][::2] == [moment(int(current.start[one])) for one in current.critical_path]
    assert line["x"] == sorted(line["x"])


def test_an_item_is_joined_to_its_lane_where_it_leaves_and_where_it_comes_back() -> None:
    """The dates on paper: tagged by the end of Tuesday 5th, back for Friday 22nd."""
    joins = trace(schedule_figure(schedule(engine_plan())), "Leaves and comes back")
    pairs = list(zip(joins["x"][::3], joins["x"][1::3], strict=True))
    assert ("2027-01-06 00:00", "2027-01-06 00:00") in pairs
    assert ("2027-01-22 00:00", "2027-01-22 00:00") in pairs


def test_the_range_asked_for_is_in_sight() -> None:
    figure = schedule_figure(
        schedule(engine_plan()), since=date(2027, 1, 10), until=date(2027, 1, 20)
    )
    assert figure["layout"]["xaxis"]["range"] == ["2027-01-10 00:00", "2027-01-21 00:00"]


def test_a_name_cannot_bring_markup_into_a_figure() -> None:
    plan = engine_plan()
    nasty = '<a href="http://x.invalid">N</a>'
    plan = replace(
        plan,
        zones=(replace(plan.zones[0], name=nasty), *plan.zones[1:]),
        tasks=(replace(plan.tasks[0], name=nasty), *plan.tasks[1:]),
    )
    text = json.dumps(schedule_figure(schedule(plan)))
    assert "<a href" not in text
    assert "&lt;a href" in text


def test_the_stair_is_the_late_curve() -> None:
    finish = finishes(schedule(engine_plan()), 9)
    stair = trace(late_curve_figure(finish, 0), "As written")
    assert stair["x"] == list(range(10))
    assert stair["y"] == [day.isoformat() for day in finish]
    assert stair["y"][:2] == ["2027-01-26", "2027-01-27"]
    assert stair["line"]["shape"] == "hv"


@pytest.mark.parametrize(
    ("free", "sentence"),
    [
        (0, "No day late is free"),
        (1, "The first day late<br>costs nothing"),
        (23, "The first 23 days late<br>cost nothing"),
        (120, "120 days late<br>cost nothing"),
    ],
)
def test_the_grace_is_said_in_words(free: int, sentence: str) -> None:
    assert tread_sentence(free, 120) == sentence


def test_half_a_day_of_grace_is_not_promised_as_a_day() -> None:
    figure = late_curve_figure([date(2027, 2, 1)] * 10, 3.5)
    assert figure["layout"]["annotations"][0]["text"] == "The first 3 days late<br>cost nothing"


def test_a_wanted_date_that_is_far_away_does_not_flatten_the_stair() -> None:
    finish = finishes(schedule(engine_plan()), 9)
    figure = late_curve_figure(finish, 0, target=date(2029, 1, 1))
    assert figure["layout"]["shapes"] == []
    assert figure["layout"]["yaxis"]["range"][1] < "2027-06"


def test_the_last_forecast_of_a_date_counts() -> None:
    figure = forecast_log_figure(
        [
            (date(2027, 1, 4), date(2027, 2, 1)),
            (date(2027, 1, 4), date(2027, 2, 8)),
            (date(2027, 1, 5), date(2027, 2, 9)),
        ]
    )
    walk = trace(figure, "If everything goes as written")
    assert walk["x"] == ["2027-01-04", "2027-01-05"]
    assert walk["y"] == ["2027-02-08", "2027-02-09"]


def quoted(plan: Plan) -> list[tuple[str, str, str]]:
    current: Schedule = schedule(plan)
    return [
        (leg.leg, moment(leg.start)[:10], moment(leg.finish)[:10])
        for leg in legs_as_quoted(current, current.prepared.plan.send_outs[0])
    ]


def test_legs_as_quoted_begin_with_the_first_fact_and_know_no_promise() -> None:
    """
    Prepared on Wednesday 6 January (the day it was shipped), as nothing says since when;
    Thursday on the road; ten working days to Thursday the 21st; Friday back; Monday in.
    """
    assert quoted(shipped_plan()) == [
        ("prepare", "2027-01-06", "2027-01-07"),
        ("ship_out", "2027-01-07", "2027-01-08"),
        ("vendor_work", "2027-01-08", "2027-01-22"),
        ("ship_back", "2027-01-22", "2027-01-23"),
        ("accept", "2027-01-25", "2027-01-26"),
    ]


def test_an_accepted_item_has_no_lane_on_the_away_sheet() -> None:
    current = schedule(shipped_plan())
    figure = away_figure(current, ())
    assert all(not one.get("customdata") for one in figure["data"])


def test_promise_and_need_by_are_marked() -> None:
    """Promised for Friday 29 January; with nothing to spare, needed on Monday 1 February."""
    current = schedule(shipped_plan())
    figure = away_figure(current, send_out_grace(current))
    assert trace(figure, "Promised")["x"] == ["2027-01-30 00:00"]
    assert trace(figure, "Need by")["x"] == ["2027-02-02 00:00"]


LONG = "W" * 200
CUT = "W" * 39 + "…"


def long_names() -> Plan:
    """Return the shipped plan with names of 200 letters."""
    plan = shipped_plan()
    return replace(
        plan,
        zones=tuple(replace(one, name=LONG) for one in plan.zones),
        tasks=tuple(replace(one, name=LONG) for one in plan.tasks),
        vendors=tuple(replace(one, name=LONG) for one in plan.vendors),
        send_outs=tuple(replace(one, name=LONG) for one in plan.send_outs),
    )


def lettered(figure: dict[str, Any], text: str) -> dict[str, Any]:
    """Return the annotation of a text."""
    found: dict[str, Any] = next(
        one for one in figure["layout"]["annotations"] if one["text"] == text
    )
    return found


def test_a_long_name_is_cut_in_the_drawing_and_whole_when_hovered_over() -> None:
    current = schedule(long_names())
    figure = schedule_figure(current)
    assert lettered(figure, CUT)["hovertext"] == LONG
    assert lettered(figure, f"Away at {CUT}, GB")["hovertext"] == LONG
    milestones = trace(figure, "Milestone")
    assert milestones["text"] == [CUT]
    assert [facts[0] for facts in milestones["customdata"]] == ["DONE"]
    assert (
        lettered(away_figure(current, send_out_grace(current)), f"{CUT}, {CUT}")["hovertext"]
        == f"{LONG}, {LONG}"
    )


def test_a_name_that_fits_is_neither_cut_nor_told_twice() -> None:
    current = schedule(shipped_plan())
    assert "hovertext" not in lettered(schedule_figure(current), "Nose")
    away = lettered(away_figure(current, send_out_grace(current)), "Engine, Engine Rooms")
    assert "hovertext" not in away


def test_a_name_is_cut_between_characters_that_people_typed() -> None:
    """An ampersand is one letter, however many it takes in the figure's own writing."""
    assert label("&" * 40) == "&amp;" * 40
    assert label("&" * 41) == "&amp;" * 39 + "…"
    assert label("Left wing, upper surface and its fabric, again") == (
        "Left wing, upper surface and its fabric…"
    )


@pytest.mark.parametrize("grace", [0, 1, 12, 60])
@pytest.mark.parametrize("target", [None, date(2027, 1, 20), date(2027, 9, 1)])
def test_what_is_free_is_lettered_under_the_stair(grace: int, target: date | None) -> None:
    """
    The label stands on the foot of the sheet, and no step comes down as far as its top.

    Two lines of 14 px at Plotly's line height of 1.3, its border of 3 px on each side and
    6 px under it are 49 px. Of the figure's 380 px some 75 belong to the axis and margins.
    """
    finish = [date(2027, 2, 1) + timedelta(max(0, day - grace)) for day in range(181)]
    figure = late_curve_figure(finish, grace, target=target)
    words_of_it = lettered(figure, tread_sentence(grace, 180))
    assert (words_of_it["yref"], words_of_it["y"], words_of_it["yanchor"]) == ("paper", 0, "bottom")
    low, high = (date.fromisoformat(one) for one in figure["layout"]["yaxis"]["range"])
    lowest = min([finish[0], *([target] if target else [])])
    assert (lowest - low) / (high - low) * (380 - 75) > 49
