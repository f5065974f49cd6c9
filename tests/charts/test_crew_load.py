"""Work against hands, as it is drawn."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import plotly.graph_objects as go
import pytest

from ribstitch.charts.crew_load import Strip, Week, crew_load_figure
from ribstitch.planning.trades import trade_name, trade_work
from tests.charts.plans import MONDAY, engine_plan

FINISH = date(2027, 1, 22)
WORDS = Path(__file__).resolve().parents[2] / "web" / "js" / "lib" / "words.js"


def week(number: int, used: float, available: float = 5, over: float = 0) -> Week:
    return Week(MONDAY + timedelta(weeks=number), used, available, over)


def fabric(*weeks: Week) -> Strip:
    return Strip("Fabric", "1 person", weeks or (week(0, 3), week(1, 8, over=3), week(3, 1)))


def figure(*strips: Strip) -> dict[str, Any]:
    return crew_load_figure(strips, engine_plan(), FINISH)


def trace(drawn: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in drawn["data"] if one["name"] == name)
    return found


def pieces(drawn: dict[str, Any], name: str) -> list[list[tuple[str, float]]]:
    """Return the corners of each piece of a trace."""
    found: list[list[tuple[str, float]]] = [[]]
    one = trace(drawn, name)
    for x, y in zip(one["x"], one["y"], strict=True):
        if x is None:
            found.append([])
        else:
            found[-1].append((x, y))
    return [piece for piece in found if piece]


def days_high(drawn: dict[str, Any], corners: list[tuple[str, float]]) -> set[float]:
    """Return the levels of corners in days, by the outline's five days."""
    levels = sorted({y for _, y in pieces(drawn, "There")[0]}, reverse=True)
    foot, full = levels[0], levels[-1]
    return {round(5 * (foot - y) / (foot - full), 3) for _, y in corners}


@pytest.mark.parametrize("strips", [(), (fabric(),), tuple(fabric() for _ in range(12))])
def test_figure_is_json_that_the_plotting_library_accepts(strips: tuple[Strip, ...]) -> None:
    """plotly's own classes refuse what its published schema does not know."""
    text = json.dumps(figure(*strips), allow_nan=False)
    go.Figure(json.loads(text))
    assert set(re.findall(r"<(/?\w+)", text)) <= {"br", "extra", "/extra"}


def test_what_there_is_stands_as_a_stepped_line_from_foot_to_foot() -> None:
    """Five days in two weeks, nobody in the third, five days in the last."""
    drawn = figure(fabric())
    (line,) = pieces(drawn, "There")
    assert [x for x, _ in line] == [
        "2027-01-04", "2027-01-04", "2027-01-11", "2027-01-11", "2027-01-18", "2027-01-18",
        "2027-01-25", "2027-01-25", "2027-02-01", "2027-02-01",
    ]  # fmt: skip
    assert line[0][1] == line[-1][1] == max(y for _, y in line)
    assert line[5][1] == line[0][1], "the week that was left out has nobody"


def test_work_fills_the_outline_and_the_rest_stands_on_it() -> None:
    """Eight days of work for five: five within, three beyond."""
    drawn = figure(fabric())
    first, last = pieces(drawn, "Work")
    assert days_high(drawn, first) == {0, 3, 5}
    assert (first[0][0], last[0][0]) == ("2027-01-04", "2027-01-25")
    (beyond,) = pieces(drawn, "More than there is")
    assert days_high(drawn, beyond) == {5, 8}
    assert {x for x, _ in beyond} == {"2027-01-11", "2027-01-18"}


def test_two_tasks_on_one_morning_stand_beyond_though_the_week_has_room() -> None:
    """Two days on the Monday for one person: one is too many, four days stay free."""
    drawn = figure(fabric(week(0, 2, over=1)))
    (within,), (beyond,) = pieces(drawn, "Work"), pieces(drawn, "More than there is")
    assert days_high(drawn, within) == {0, 1}
    assert days_high(drawn, beyond) == {5, 6}


def test_weeks_that_touch_are_one_piece() -> None:
    drawn = figure(fabric(week(0, 2), week(1, 4), week(3, 1)))
    assert len(pieces(drawn, "Work")) == 2


def test_the_two_hatches_differ_from_each_other_and_from_the_states_of_work() -> None:
    drawn = figure(fabric())
    work, beyond = (trace(drawn, name)["fillpattern"]["shape"]
                    for name in ("Work", "More than there is"))  # fmt: skip
    assert {work, beyond} == {"-", "x"}


def test_every_strip_keeps_to_its_own_height() -> None:
    """Nothing of a strip reaches into the next, whatever its scale."""
    drawn = figure(*(fabric(week(0, used, 1, used - 1)) for used in (2, 50, 900)))
    for number, piece in enumerate(pieces(drawn, "More than there is")):
        assert all(number < y < number + 1 for _, y in piece)


def test_hovering_tells_the_figures_in_words() -> None:
    facts = trace(figure(fabric()), "Week")["customdata"]
    assert facts[0] == ["Fabric", "week from Mon 4 Jan 2027", "3 days of work, 5 there"]
    assert facts[1][2] == "8 days of work, 5 there, 3 too many"
    assert facts[2][2] == "0 days of work, 0 there"


def test_as_of_date_and_finish_are_marked() -> None:
    layout = figure(fabric())["layout"]
    texts = [one["text"] for one in layout["annotations"]]
    assert "as of Mon 4 Jan 2027" in texts
    assert "finish, as written: Fri 22 Jan 2027" in texts
    across = [one["x0"] for one in layout["shapes"] if one.get("yref") == "paper"]
    assert across == ["2027-01-04 00:00", "2027-01-23"]


def test_sheet_holds_all_dates_and_grows_with_the_strips() -> None:
    few, many = figure(fabric()), figure(*(fabric() for _ in range(12)))
    low, high = few["layout"]["xaxis"]["range"]
    assert low < "2027-01-04"
    assert high > "2027-02-01"
    assert many["layout"]["height"] > 900 > few["layout"]["height"]
    later = crew_load_figure((fabric(),), engine_plan(), date(2028, 6, 1))
    assert later["layout"]["xaxis"]["range"][1] > "2028-06-02"


def test_names_are_escaped_and_cut() -> None:
    long = replace(fabric(), name="<b>Bay</b> " + "long " * 20)
    text = json.dumps(figure(long), ensure_ascii=False)
    assert "<b>" not in text
    assert "…" in text


def test_trades_read_as_on_the_pages() -> None:
    """The same words for the same codes in the drawing and in the table behind it."""
    block = WORDS.read_text(encoding="utf-8").split("const TRADES = {")[1].split("}")[0]
    listed = dict(re.findall(r"(\w+): t`([^`]+)`", block))
    assert len(listed) >= 9
    assert {code: trade_name(code) for code in listed} == listed
    assert trade_name("upholstery") == "upholstery"
    assert [trade_work(one) for one in ("fabric", "help", "upholstery")] == [
        "fabric work", "helpers' work", "upholstery work",
    ]  # fmt: skip
