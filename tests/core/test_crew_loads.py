"""What weeks ask of people and places, by hand; and plans that cannot be levelled at all."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import date, timedelta

import pytest

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.levelling import (
    Absence,
    WeekLoad,
    bottleneck,
    crew_fault,
    crew_loads,
    crew_waits,
    level_plan,
    long_absences,
    rota,
)
from ribstitch.planning.model import Calendar, Crew, CrewLink, CrewLinkKind, Place, Plan
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, SHOP, link, plan, status, task, ticks

SECOND_WEEK = MONDAY + timedelta(days=7)
TRADE, PLACE = CrewLinkKind.TRADE, CrewLinkKind.PLACE


def days(made: Plan, name: str) -> list[tuple[date, float, float, float]]:
    """Week, used, available and over of one trade or place, in days."""
    return [
        (one.week, one.used / 1440, one.available / 1440, one.over / 1440)
        for one in crew_loads(schedule(made))
        if one.name == name
    ]


def test_a_trade_is_counted_by_week_with_all_its_people() -> None:
    """Seven days for two of three people: 10 of 15 in the first week, 4 of 15 in the second."""
    made = plan([task("a", 7, trade="metal", people=2)], crew=[Crew("metal", 3, "shop")])
    assert crew_loads(schedule(made)) == (
        WeekLoad(TRADE, "metal", MONDAY, ticks(10), ticks(15), 0),
        WeekLoad(TRADE, "metal", SECOND_WEEK, ticks(4), ticks(15), 0),
    )


def test_over_is_counted_by_date_and_not_evened_out_over_the_week() -> None:
    """Two tasks on Monday and nothing on Tuesday: one day is too much, though five are there."""
    tasks = [task("a", 1, trade="metal"), task("b", 1, trade="metal")]
    made = plan(tasks, crew=[Crew("metal", 1, "shop")])
    assert days(made, "metal") == [(MONDAY, 2, 5, 1)]


def test_two_half_days_of_one_date_are_not_too_much() -> None:
    tasks = [task("a", 0.5, trade="metal"), task("b", 0.5, trade="metal")]
    assert days(plan(tasks, crew=[Crew("metal", 1, "shop")]), "metal") == [(MONDAY, 1, 5, 0)]


def test_one_person_asked_for_twice_by_two_trades_is_one_too_few() -> None:
    """Ann is there for either; what is missing is missing once."""
    tasks = [task("a", 1, trade="metal"), task("b", 1, trade="paint")]
    crew = [Crew("metal", 1, "shop", "Ann"), Crew("paint", 1, "shop", "Ann")]
    made = plan(tasks, crew=crew)
    assert days(made, "metal") == [(MONDAY, 1, 5, 0)]
    assert days(made, "paint") == [(MONDAY, 1, 5, 1)]


@pytest.mark.parametrize(
    ("trades", "over"),
    [
        ("metal paint wood", 0),
        ("metal metal metal", 1),
        ("paint paint metal", 1),
        ("metal wood wood", 0),
        ("metal metal paint", 1),
    ],
)
def test_people_with_several_trades_are_spread_as_well_as_can_be(trades: str, over: int) -> None:
    """Ann: metal, paint; Bo: metal, wood; Cy: wood. Three tasks of one day, all on Monday."""
    crew = [
        Crew("metal", 1, "shop", "Ann"), Crew("paint", 1, "shop", "Ann"),
        Crew("metal", 1, "shop", "Bo"), Crew("wood", 1, "shop", "Bo"),
        Crew("wood", 1, "shop", "Cy"),
    ]  # fmt: skip
    tasks = [task(f"T{n}", 1, trade=trade) for n, trade in enumerate(trades.split())]
    loads = crew_loads(schedule(plan(tasks, crew=crew)))
    assert sum(one.over for one in loads) == ticks(over)


def test_a_place_is_taken_from_start_to_finish_and_too_full_by_the_instant() -> None:
    """
    A is in the booth from Thursday for two and a half days, to Monday noon: 4.5 dates. B takes
    it for all of Friday: too much for one date.
    """
    thursday = MONDAY + timedelta(days=3)
    tasks = [
        task("a", 2.5, places=("booth",), not_before=thursday),
        task("b", 1, places=("booth",), not_before=thursday + timedelta(days=1)),
    ]
    made = plan(tasks, places=[Place("booth", 1), Place("jig", 1)])
    assert days(made, "booth") == [(MONDAY, 5, 7, 1), (SECOND_WEEK, 0.5, 7, 0)]
    assert days(made, "jig") == []


def test_what_is_over_and_done_counts_no_more_nor_do_the_dates_before_today() -> None:
    """On Wednesday one of four days remains; the shop has three to come, and the jig five."""
    wednesday = MONDAY + timedelta(days=2)
    begun = status("in_work", 1, started=MONDAY)
    tasks = [
        task("a", 4, trade="metal", places=("jig",), status=begun),
        task("b", 4, trade="metal", status=status("done", started=MONDAY, finished=MONDAY)),
    ]
    made = plan(tasks, crew=[Crew("metal", 1, "shop")], places=[Place("jig")], as_of=wednesday)
    assert days(made, "metal") == [(MONDAY, 1, 3, 0)]
    assert days(made, "jig") == [(MONDAY, 1, 5, 0)]


def test_weeks_with_people_but_without_work_are_there_and_without_either_are_not() -> None:
    away = Calendar("away", closed=((SECOND_WEEK, SECOND_WEEK + timedelta(days=13)),))
    tasks = [
        task("a", 1, trade="metal"),
        task("b", 1, trade="wood", not_before=MONDAY + timedelta(days=21)),
    ]
    crew = [Crew("metal", 1, "away"), Crew("wood", 1, "shop")]
    made = plan(tasks, crew=crew, calendars=[SHOP, away])
    assert [week for week, *_ in days(made, "metal")] == [MONDAY, MONDAY + timedelta(days=21)]
    assert [used for _, used, *_ in days(made, "wood")] == [0, 0, 0, 1]


def test_a_plan_that_asks_for_nobody_has_no_load() -> None:
    assert crew_loads(schedule(plan([task("a")], crew=[Crew("metal", 1, "shop")]))) == ()
    assert crew_loads(schedule(plan())) == ()


def shown(made: Plan) -> None:
    """Everything that a page shows of a plan's crew works."""
    found = schedule(made)
    crew_loads(found)
    crew_waits(found)
    bottleneck(found)
    long_absences(found)
    rota(found, MONDAY, SECOND_WEEK)


def refused(made: Plan) -> str:
    """Levelling refuses the plan, and says beforehand what it will say."""
    with pytest.raises(InvalidValueError) as error:
        level_plan(made, seconds=0, clock=time.monotonic)
    assert str(crew_fault(schedule(made))) == str(error.value)
    return str(error.value)


def test_a_task_for_more_people_than_exist_is_named_and_the_rest_is_shown() -> None:
    made = plan([task("a", 2, trade="metal", people=3)], crew=[Crew("metal", 1, "shop")])
    shown(made)
    assert days(made, "metal") == [(MONDAY, 6, 5, 4)]
    assert refused(made) == (
        'tasks[0].people: "a" needs 3 people of "metal" at once and the crew has 1: it takes '
        "more people of this trade, or fewer for the task"
    )


def test_a_trade_that_nobody_has_is_named_and_its_load_is_shown() -> None:
    made = plan([task("a", 2, trade="wood")], crew=[Crew("metal", 1, "shop")])
    shown(made)
    assert days(made, "wood") == [(MONDAY, 2, 0, 2)]
    assert '"a" needs 1 person of "wood" at once and the crew has 0' in refused(made)


def test_a_trade_without_a_calendar_is_named_and_shown_in_the_shops_hours() -> None:
    made = plan([task("a", 2, trade="metal")], crew=[Crew("metal")])
    shown(made)
    assert days(made, "metal") == [(MONDAY, 2, 5, 0)]
    assert refused(made) == (
        'crew[0].calendar: nobody knows when the people of "metal" work: name their calendar, '
        'such as "shop"'
    )


def test_a_full_place_is_named_and_shown() -> None:
    made = plan([task("a", 2, places=("jig",))], places=[Place("jig", 0)])
    shown(made)
    assert days(made, "jig") == [(MONDAY, 2, 0, 2)]
    assert '"a" takes the place "jig", which has room for nothing' in refused(made)


def test_people_who_are_away_for_a_year_are_named_in_the_plan_as_it_stands_too() -> None:
    last = date(2027, 1, 6)
    away = Calendar("away", closed=((date(2026, 1, 7), last),))
    tasks = [task("a", 2, trade="fabric"), task("b", 2, trade="fabric", not_before=last)]
    made = plan(tasks, crew=[Crew("fabric", 1, "away")], calendars=[SHOP, away])
    shown(made)
    assert long_absences(schedule(made)) == (Absence("fabric", date(2026, 1, 7), last),)
    assert crew_fault(schedule(made)) is None


def test_work_for_which_its_people_are_never_there_long_enough_is_named() -> None:
    part = Calendar("part", week_hours=(0, 0, 8, 8, 0, 0, 0))
    made = plan(
        [task("a", 5, trade="fabric")], crew=[Crew("fabric", 1, "part")], calendars=[SHOP, part]
    )
    shown(made)
    assert '"a" is 5 days of work on the calendar "shop"' in refused(made)


def test_a_plan_that_can_be_levelled_has_no_fault_whatever_its_crew_links() -> None:
    tasks = [task("a", 2, trade="metal"), task("b", 2, trade="metal")]
    made = plan(tasks, [link("a", "b")], crew=[Crew("metal", 1, "shop")])
    assert crew_fault(schedule(made)) is None
    assert crew_fault(schedule(replace(made, crew_links=(CrewLink("a", "b"),)))) is None
