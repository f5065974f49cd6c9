"""The passes on small cases: each relation over weekends, lags, leads, pushed work."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from ribstitch.planning.model import Calendar, LagOn
from ribstitch.planning.passes import backward, forward
from ribstitch.planning.prepared import prepare
from ribstitch.planning.schedule import Schedule, schedule
from tests.core.making import SHOP, day_number, link, plan, task, ticks

SATURDAYS = Calendar(id="saturdays", week_hours=(0, 0, 0, 0, 0, 8, 0))
HALF_FRIDAYS = Calendar(id="half", week_hours=(8, 8, 8, 8, 4, 0, 0))
CALENDARS = (SHOP, SATURDAYS, HALF_FRIDAYS)


def days(result: Schedule, name: str) -> tuple[float, float]:
    """Return start and finish in elapsed days from Monday 5 January 2026, 0:00."""
    at = result.number(name)
    return day_number(int(result.start[at])), day_number(int(result.finish[at]))


def pair(
    first: float,
    second: float,
    relation: str,
    lag: float = 0,
    on: LagOn = LagOn.WORK,
    calendars: tuple[str | None, str | None] = (None, None),
) -> Schedule:
    """Schedule A, then B, with one link between them."""
    tasks = [task("A", first, calendar=calendars[0]), task("B", second, calendar=calendars[1])]
    return schedule(plan(tasks, [link("A", "B", relation, lag, on)], calendars=CALENDARS))


@pytest.mark.parametrize(
    ("relation", "lag", "expected"),
    [
        ("FS", 0, (7, 9)), ("FS", 1, (8, 10)), ("FS", -2, (3, 5)), ("FS", -9, (0, 2)),
        ("SS", 0, (0, 2)), ("SS", 3, (3, 5)), ("SS", 6, (8, 10)), ("SS", -1, (0, 2)),
        ("FF", 0, (3, 5)), ("FF", 1, (4, 8)), ("FF", -1, (2, 4)), ("FF", -9, (0, 2)),
        ("SF", 0, (0, 2)), ("SF", 4, (2, 4)), ("SF", 6, (4, 8)),
    ],
)  # fmt: skip
def test_five_days_and_two_under_each_relation(
    relation: str, lag: float, expected: tuple[float, float]
) -> None:
    """A takes Monday to Friday; B of two days, lag in working days (day 7 is Monday)."""
    assert days(pair(5, 2, relation, lag), "B") == expected


@pytest.mark.parametrize(
    ("lag", "on", "expected"),
    [
        (2, LagOn.WORK, (9, 10)),
        (2, LagOn.ELAPSED, (7, 8)),
        (3, LagOn.ELAPSED, (8, 9)),
        (-3, LagOn.WORK, (2, 3)),
        (-3, LagOn.ELAPSED, (2, 3)),
        (0.5, LagOn.WORK, (7.5, 8.5)),
    ],
)
def test_a_lag_counts_working_or_elapsed_days(
    lag: float, on: LagOn, expected: tuple[float, float]
) -> None:
    """A ends with Friday: two days of curing are over on Sunday, two days of work on Tuesday."""
    assert days(pair(5, 1, "FS", lag, on), "B") == expected


def test_a_working_lag_counts_on_the_successors_calendar() -> None:
    """Two Saturdays after Friday: the third is worked."""
    result = pair(5, 1, "FS", 2, calendars=(None, "saturdays"))
    assert days(result, "B") == (19, 20)


def test_a_finish_required_on_a_weekend_takes_the_first_tick_of_monday() -> None:
    """A of elapsed time ends on Saturday evening; B must not be over before."""
    result = pair(6, 1, "FF", calendars=("elapsed", None))
    start, finish = days(result, "B")
    assert finish == 7 + 1 / 1440
    assert start == 4 + 1 / 1440


def test_work_on_a_half_day_is_over_at_its_noon() -> None:
    tasks = [task("A", 5, calendar="half"), task("B", 1, calendar="half")]
    result = schedule(plan(tasks, [link("A", "B")], calendars=CALENDARS))
    assert days(result, "A") == (0, 7.5)
    assert days(result, "B") == (7.5, 8.5)


def test_work_is_not_split_when_its_finish_is_pushed() -> None:
    """B of two days must end with Wednesday of the second week: it begins on Tuesday."""
    result = pair(8, 2, "FF")
    assert days(result, "B") == (8, 10)


def test_a_task_without_work_happens_at_the_instant_itself() -> None:
    """The end of Friday, not Monday; and so does what follows it without work."""
    tasks = [task("A", 5), task("B", 0), task("C", 0), task("D", 1)]
    result = schedule(plan(tasks, [link("A", "B"), link("B", "C"), link("C", "D")]))
    assert days(result, "B") == days(result, "C") == (5, 5)
    assert days(result, "D") == (7, 8)


def test_float_is_counted_in_days_of_the_tasks_own_calendar() -> None:
    """Ten days of the shop beside one Saturday: the task of Saturdays can slip by one of them."""
    tasks = [task("long", 10), task("sat", 1, calendar="saturdays"), task("end", 1)]
    links = [link("long", "end"), link("sat", "end")]
    result = schedule(plan(tasks, links, calendars=CALENDARS))
    at = result.number("sat")
    assert day_number(int(result.start[at])) == 5
    assert result.total_float[at] == ticks(1)
    assert day_number(int(result.late_begin[at])) == 12


def test_a_late_finish_is_pulled_back_over_the_weekend() -> None:
    """B may be over when C begins on Monday: it is late on Friday evening."""
    tasks = [task("A", 5), task("B", 2), task("C", 1)]
    result = schedule(plan(tasks, [link("A", "C"), link("B", "C")]))
    at = result.number("B")
    assert day_number(int(result.late_finish[at])) == 5
    assert day_number(int(result.late_begin[at])) == 3


def test_a_late_start_bounded_on_a_weekend_is_the_last_tick_of_friday() -> None:
    """Start to start with elapsed time: B begins on Saturday at the latest, so A on Friday."""
    tasks = [task("A", 1), task("B", 1, calendar="saturdays"), task("end", 6)]
    links = [link("A", "B", "SS", on=LagOn.ELAPSED), link("B", "end", "FF")]
    result = schedule(plan(tasks, links, calendars=CALENDARS))
    at = result.number("A")
    assert day_number(int(result.late_begin[at])) == 5 - 1 / 1440
    assert result.total_float[at] == ticks(5) - 1


def test_free_float_stops_at_the_next_task_and_total_float_at_the_finish() -> None:
    tasks = [task("A", 1), task("B", 1), task("C", 3), task("D", 6)]
    links = [link("A", "B"), link("B", "C", lag=1), link("A", "C", lag=2)]
    result = schedule(plan(tasks, links))
    spare = {one.id: result.free_float[at] / 1440 for at, one in enumerate(result.activities)}
    assert spare == {"A": 0, "B": 0, "C": 0, "D": 0}
    made = plan([*tasks[:3], task("D", 9)], links)
    result = schedule(made)
    assert result.total_float[0] == ticks(3)
    assert result.free_float[0] == 0
    assert result.free_float[2] == ticks(3)


def test_a_deadline_moves_nothing_and_shows_by_how_much_it_is_missed() -> None:
    made = plan([task("A", 5), task("B", 2, deadline=date(2026, 1, 9))], [link("A", "B")])
    result = schedule(made)
    assert days(result, "B") == (7, 9)
    assert result.total_float.tolist() == [-ticks(2), -ticks(2)]
    assert result.is_critical(0)


def test_not_before_moves_a_start_up_to_the_next_working_day() -> None:
    result = schedule(plan([task("A", 1, not_before=date(2026, 1, 10))]))
    assert days(result, "A") == (7, 8)


def test_several_cases_in_one_pass() -> None:
    """Shape (K, n): three lengths of the first task give three finishes."""
    prepared = prepare(plan([task("A", 1), task("B", 2)], [link("A", "B")]))
    work = np.array([[ticks(1), ticks(2)], [ticks(3), ticks(2)], [ticks(4), ticks(2)]])
    values = replace(prepared.values, work=work)
    early = forward(prepared.network, values)
    finish = early.finish + prepared.network.origin
    assert [day_number(int(one)) for one in finish] == [3, 5, 8]
    late = backward(prepared.network, values, early)
    assert (late.end[:, 1] == early.finish).all()
