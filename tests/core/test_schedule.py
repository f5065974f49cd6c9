"""The schedule as people see it: shown dates, states, drivers, paths, far horizons."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from ribstitch.planning.errors import EmptyCalendarError, HorizonError
from ribstitch.planning.model import Calendar, Milestone, OutOfSequence
from ribstitch.planning.schedule import Schedule, schedule
from tests.core.making import MONDAY, SHOP, link, plan, shown, status, task, ticks

FRIDAY = date(2026, 1, 9)
NEXT_MONDAY = date(2026, 1, 12)


def day(text: str) -> date:
    """Return a date of 2026 from month and day."""
    return date.fromisoformat(f"2026-{text}")


def path_of(result: Schedule) -> list[str]:
    """Return the critical path by id."""
    return [result.activities[at].id for at in result.critical_path]


# --- shown dates ---------------------------------------------------------------------------


def test_work_to_the_end_of_friday_is_shown_to_finish_on_friday() -> None:
    result = schedule(plan([task("A", 5), task("B", 1)], [link("A", "B")]))
    assert shown(result, "A") == (MONDAY, FRIDAY)
    assert shown(result, "B") == (NEXT_MONDAY, NEXT_MONDAY)
    assert result.finish_on == NEXT_MONDAY


@pytest.mark.parametrize(
    ("milestone", "expected"),
    [(Milestone.FINISH, FRIDAY), (Milestone.START, NEXT_MONDAY), (None, FRIDAY)],
)
def test_a_milestone_at_the_end_of_friday(milestone: Milestone | None, expected: date) -> None:
    """A finish milestone shows Friday, a start milestone Monday, a task without days Friday."""
    tasks = [task("A", 5), task("M", 0, milestone=milestone)]
    result = schedule(plan(tasks, [link("A", "M")]))
    at = result.number("M")
    assert shown(result, "M") == (expected, expected)
    assert (result.late_start_on(at), result.late_finish_on(at)) == (expected, expected)


@pytest.mark.parametrize("milestone", list(Milestone))
def test_a_milestone_at_the_very_start_shows_the_first_day(milestone: Milestone) -> None:
    result = schedule(plan([task("M", 0, milestone=milestone)]))
    assert shown(result, "M") == (MONDAY, MONDAY)
    assert result.late_finish_on(0) == MONDAY
    assert result.finish_on == MONDAY


def test_a_start_milestone_before_a_weekend_start_shows_the_next_working_day() -> None:
    made = plan([task("M", 0, milestone=Milestone.START)], start=date(2026, 1, 10))
    assert shown(schedule(made), "M") == (NEXT_MONDAY, NEXT_MONDAY)


def test_half_days_share_a_date() -> None:
    result = schedule(plan([task("A", 0.5), task("B", 0.5)], [link("A", "B")]))
    assert shown(result, "A") == shown(result, "B") == (MONDAY, MONDAY)


def test_a_missed_deadline_shows_late_dates_before_the_early_ones() -> None:
    tasks = [task("A", 5, deadline=day("01-07"))]
    result = schedule(plan(tasks))
    assert shown(result, "A") == (MONDAY, FRIDAY)
    assert result.late_finish_on(0) == day("01-07")
    assert result.late_start_on(0) == day("01-01")


def test_a_missed_deadline_of_a_milestone_shows_the_deadline() -> None:
    made = plan([task("M", 0, deadline=day("01-01"))])
    result = schedule(made)
    assert shown(result, "M") == (MONDAY, MONDAY)
    assert (result.late_start_on(0), result.late_finish_on(0)) == (day("01-01"), day("01-01"))


# --- empty plans ---------------------------------------------------------------------------


def test_an_empty_plan_finishes_on_its_first_day() -> None:
    result = schedule(plan())
    assert result.finish_on == MONDAY
    assert result.critical_path == ()
    assert result.near_critical(ticks(10)) == ()


def test_a_plan_of_dropped_tasks_finishes_on_its_first_day() -> None:
    result = schedule(plan([task("A", 5, status=status("dropped"))]))
    assert result.finish_on == MONDAY
    assert result.critical_path == ()


# --- states --------------------------------------------------------------------------------


def test_done_work_keeps_its_actual_dates_and_frees_what_follows() -> None:
    done = status("done", started=day("01-06"), finished=day("01-08"))
    made = plan([task("A", 9, status=done), task("B", 1)], [link("A", "B")], as_of=day("01-08"))
    result = schedule(made)
    assert shown(result, "A") == (day("01-06"), day("01-08"))
    assert shown(result, "B") == (FRIDAY, FRIDAY)
    assert result.total_float[0] == 0
    assert not result.is_critical(0)


def test_done_work_without_a_start_began_on_the_day_it_ended() -> None:
    made = plan([task("A", 9, status=status("done", finished=day("01-07")))], as_of=day("01-08"))
    assert shown(schedule(made), "A") == (day("01-07"), day("01-07"))


def test_nothing_unfinished_is_planned_before_the_as_of_date() -> None:
    result = schedule(plan([task("A", 2)], as_of=day("02-03")))
    assert shown(result, "A") == (day("02-03"), day("02-04"))


def test_an_as_of_date_before_the_start_does_not_pull_work_ahead_of_it() -> None:
    result = schedule(plan([task("A", 2)], as_of=date(2025, 12, 1)))
    assert shown(result, "A") == (MONDAY, day("01-06"))


def test_work_under_way_is_finished_from_the_as_of_date_on() -> None:
    begun = status("in_work", 2, started=day("01-06"))
    result = schedule(plan([task("A", 9, status=begun)], as_of=day("01-20")))
    assert shown(result, "A") == (day("01-06"), day("01-21"))
    assert result.late_start_on(0) == day("01-20")


def test_work_under_way_without_a_remaining_duration_takes_all_of_it() -> None:
    begun = status("in_work", started=day("01-06"))
    result = schedule(plan([task("A", 3, status=begun)], as_of=day("01-20")))
    assert shown(result, "A") == (day("01-06"), day("01-22"))


def test_work_under_way_with_nothing_remaining_is_over_at_the_as_of_date() -> None:
    begun = status("in_work", 0, started=day("01-06"))
    made = plan([task("A", 3, status=begun), task("B", 1)], [link("A", "B")], as_of=day("01-20"))
    result = schedule(made)
    assert shown(result, "A") == (day("01-06"), day("01-20"))
    assert shown(result, "B") == (day("01-20"), day("01-20"))


def test_held_work_waits_for_its_release_date() -> None:
    held = status("held", held_reason="no spruce", held_until=day("02-02"))
    result = schedule(plan([task("A", 2, status=held)], as_of=day("01-07")))
    assert shown(result, "A") == (day("02-02"), day("02-03"))


def test_held_work_without_a_release_date_is_planned_at_once() -> None:
    result = schedule(plan([task("A", 2, status=status("held"))], as_of=day("01-07")))
    assert shown(result, "A") == (day("01-07"), day("01-08"))


def test_held_work_that_had_begun_keeps_its_start() -> None:
    held = status("held", 1, started=day("01-06"), held_until=day("02-02"))
    result = schedule(plan([task("A", 4, status=held)], as_of=day("01-07")))
    assert shown(result, "A") == (day("01-06"), day("02-02"))


def test_a_start_made_before_its_not_before_date_stands() -> None:
    begun = status("in_work", 1, started=day("01-06"))
    made = plan([task("A", 3, not_before=day("03-02"), status=begun)], as_of=day("01-07"))
    assert shown(schedule(made), "A") == (day("01-06"), day("01-07"))


def test_dropped_work_takes_no_time_and_keeps_the_order() -> None:
    tasks = [task("A", 5), task("B", 9, status=status("dropped")), task("C", 1)]
    result = schedule(plan(tasks, [link("A", "B"), link("B", "C")]))
    assert shown(result, "C") == (NEXT_MONDAY, NEXT_MONDAY)
    assert path_of(result) == ["A", "C"]
    assert result.drivers[2] == (0,)
    assert not result.is_critical(1)


def test_dropped_work_at_the_end_does_not_count_for_the_finish() -> None:
    tasks = [task("A", 1), task("B", 9, not_before=day("06-01"), status=status("dropped"))]
    result = schedule(plan(tasks, [link("A", "B", lag=30)]))
    assert result.finish_on == MONDAY
    assert result.total_float.tolist() == [0, 0]
    assert result.late_start_on(1) == result.start_on(1) == result.finish_on_of(1)


@pytest.mark.parametrize(
    ("relation", "lag", "waits", "carries_on"),
    [
        ("FS", 0, "01-20", "01-14"),
        ("SS", 1, "01-15", "01-14"),
        ("FF", 0, "01-19", "01-19"),
        ("SF", 2, "01-15", "01-15"),
    ],
)
def test_work_out_of_sequence_waits_or_carries_on(
    relation: str, lag: float, waits: str, carries_on: str
) -> None:
    """B was begun with a day left; A (4 days from Wednesday 14th) should have come first.

    Carrying on leaves links to the start aside; links to the finish hold in both ways.
    """
    tasks = [task("A", 4), task("B", 3, status=status("in_work", 1, started=day("01-06")))]
    for rule, expected in ((OutOfSequence.WAIT, waits), (OutOfSequence.CARRY_ON, carries_on)):
        project = {"out_of_sequence": rule}
        made = plan(tasks, [link("A", "B", relation, lag)], as_of=day("01-14"), project=project)
        assert shown(schedule(made), "B") == (day("01-06"), day(expected))


def test_a_link_from_the_start_of_work_under_way_counts_from_its_actual_start() -> None:
    tasks = [task("A", 9, status=status("in_work", 5, started=day("01-06"))), task("B", 1)]
    made = plan(tasks, [link("A", "B", "SS", 8)], as_of=day("01-07"))
    assert shown(schedule(made), "B") == (day("01-16"), day("01-16"))


# --- drivers and paths ---------------------------------------------------------------------


def test_drivers_are_the_links_that_set_the_date_ties_included() -> None:
    tasks = [task("A", 3), task("B", 3), task("C", 2), task("D", 1)]
    result = schedule(plan(tasks, [link(one, "D") for one in "ABC"]))
    assert result.drivers[result.number("D")] == (0, 1)


def test_a_floor_that_sets_the_date_leaves_no_driver() -> None:
    tasks = [task("A", 3), task("D", 1, not_before=day("02-02"))]
    result = schedule(plan(tasks, [link("A", "D")]))
    assert result.drivers[1] == ()
    assert path_of(result) == ["D"]


def test_the_critical_path_begins_where_work_is_unfinished() -> None:
    done = status("done", finished=MONDAY)
    tasks = [task("A", 1, status=done), task("B", 2), task("C", 2)]
    made = plan(tasks, [link("A", "B"), link("B", "C")], as_of=MONDAY)
    assert path_of(schedule(made)) == ["B", "C"]


def test_a_finished_project_has_no_critical_path_and_its_last_actual_finish() -> None:
    done = status("done", finished=FRIDAY)
    result = schedule(plan([task("A", 1, status=done)], as_of=day("03-02")))
    assert path_of(result) == []
    assert result.finish_on == FRIDAY


def test_the_critical_path_runs_over_the_milestone_at_its_end() -> None:
    tasks = [task("A", 3), task("flight", 0, milestone=Milestone.FINISH)]
    assert path_of(schedule(plan(tasks, [link("A", "flight")]))) == ["A", "flight"]


def test_near_critical_chains_come_nearest_first_and_without_the_critical_path() -> None:
    """One long chain; beside it a pair with two days to spare, a pair with four, one with nine."""
    tasks = [
        task("long", 10), task("end", 1), task("A", 4), task("B", 4), task("C", 3), task("D", 3),
        task("E", 1),
    ]  # fmt: skip
    links = [
        link("long", "end"), link("A", "B"), link("B", "end"), link("C", "D"), link("D", "end"),
        link("E", "end"),
    ]  # fmt: skip
    result = schedule(plan(tasks, links))

    def near(days: float) -> list[list[str]]:
        chains = result.near_critical(ticks(days))
        return [[result.activities[at].id for at in chain] for chain in chains]

    assert path_of(result) == ["long", "end"]
    assert near(1) == []
    assert near(2) == [["A", "B"]]
    assert near(5) == [["A", "B"], ["C", "D"]]
    assert near(9) == [["A", "B"], ["C", "D"], ["E"]]


# --- horizons ------------------------------------------------------------------------------


def test_a_plan_of_a_century_is_dated_to_the_day() -> None:
    """Five tasks of 20 years each on elapsed time, one after the other."""
    long = 20 * 365
    tasks = [task(f"T{n}", long, calendar="elapsed") for n in range(5)]
    links = [link(f"T{n}", f"T{n + 1}") for n in range(4)]
    assert schedule(plan(tasks, links)).finish_on == MONDAY + timedelta(days=5 * long - 1)


def test_a_century_of_one_day_weeks_is_dated_to_the_day() -> None:
    """5,000 Wednesdays, the first on 7 January 2026: 4,999 weeks later."""
    wednesdays = Calendar(id="wed", week_hours=(0, 0, 8, 0, 0, 0, 0))
    result = schedule(plan([task("A", 5000)], calendar="wed", calendars=[wednesdays]))
    assert result.finish_on == day("01-07") + timedelta(weeks=4999)


def test_a_long_lead_and_an_old_deadline_reach_far_back() -> None:
    """Deadline in 1950, a start in 2026: 76 years late, counted in days of the shop by numpy."""
    old = date(1950, 1, 2)
    result = schedule(plan([task("A", 1, deadline=old)]))
    assert result.total_float[0] == -ticks(int(np.busday_count(old, MONDAY)))


def test_a_calendar_closed_for_ever_is_refused_by_name() -> None:
    shut = replace(SHOP, closed=((date(1900, 1, 1), date(9999, 12, 31)),))
    with pytest.raises(EmptyCalendarError) as caught:
        schedule(plan([task("A", 1)], calendars=[shut]))
    assert str(caught.value) == 'calendars[0]: the calendar "shop" has no working day'


def test_a_calendar_closed_for_ever_that_nobody_uses_does_no_harm() -> None:
    shut = Calendar(id="shut", closed=((date(1900, 1, 1), date(9999, 12, 31)),))
    assert schedule(plan([task("A", 1)], calendars=[SHOP, shut])).finish_on == MONDAY


def test_a_plan_of_five_centuries_is_refused() -> None:
    tasks = [task(f"T{n}", 20 * 365, calendar="elapsed") for n in range(26)]
    links = [link(f"T{n}", f"T{n + 1}") for n in range(25)]
    with pytest.raises(HorizonError) as caught:
        schedule(plan(tasks, links))
    assert str(caught.value) == "the plan runs past the year 2426, the last that is computed"
