"""What one more hand, day or place gains; by hand, and never less than nothing."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.levelling import Gain, GainKind, OneMore, level_plan, one_more
from ribstitch.planning.model import Calendar, Crew, Place, Plan
from tests.core.making import MONDAY, SHOP, link, plan, task

SATURDAY = 5


def gains(made: Plan, seconds: float = 1, **options: Any) -> OneMore:
    return one_more(made, seconds=seconds, clock=time.monotonic, **options)


def of(found: OneMore, kind: GainKind, name: str) -> Gain:
    (one,) = [one for one in found.gains if (one.kind, one.name) == (kind, name)]
    return one


def two_weeks_of_metal() -> Plan:
    """Two tasks of a working week each, for one person."""
    tasks = [task("a", 5, trade="metal"), task("b", 5, trade="metal")]
    return plan(tasks, crew=[Crew("metal", 1, "shop", "Ann")])


def test_one_more_person_halves_what_is_done_side_by_side() -> None:
    """Friday of the second week without, Friday of the first with."""
    found = gains(two_weeks_of_metal())
    assert found.base.finish_on == MONDAY + timedelta(days=11)
    friday = MONDAY + timedelta(days=4)
    assert of(found, GainKind.PERSON, "metal") == Gain(
        GainKind.PERSON, "metal", ("metal",), None, friday, 7, is_proven=True
    )


def test_one_more_day_a_week_is_the_saturday_and_the_tasks_are_worked_on_it() -> None:
    """Ten days at six a week: Thursday of the second week instead of Friday."""
    found = gains(two_weeks_of_metal())
    thursday = MONDAY + timedelta(days=10)
    assert of(found, GainKind.DAY, "shop") == Gain(
        GainKind.DAY, "shop", ("metal",), SATURDAY, thursday, 1, is_proven=True
    )


def test_one_more_day_is_the_first_on_which_nobody_comes() -> None:
    """Volunteers on Saturdays come on Mondays too: three days by the second Monday."""
    saturdays = Calendar("saturdays", week_hours=(0, 0, 0, 0, 0, 8, 0))
    made = plan(
        [task("a", 3, trade="help", calendar="saturdays")],
        crew=[Crew("help", 1, "saturdays")],
        calendars=[SHOP, saturdays],
    )
    found = of(gains(made), GainKind.DAY, "saturdays")
    assert (found.weekday, found.finish, found.days) == (0, MONDAY + timedelta(days=7), 12)


def test_a_season_of_the_same_week_gets_the_day_as_well_and_other_calendars_do_not() -> None:
    """
    A works from the second week on, in a season of the shop: ten days, a Friday, or with
    Saturdays a Thursday. B has a week of four days of its own, ends later and stays.
    """
    season = Calendar("season", closed=((MONDAY, MONDAY + timedelta(days=6)),))
    other = Calendar("other", week_hours=(8, 8, 8, 8, 0, 0, 0))
    tasks = [
        task("a", 10, trade="paint", calendar="season"),
        task("b", 14, trade="paint", calendar="other"),
    ]
    crew = [Crew("paint", 2, "shop")]
    made = plan(tasks, crew=crew, calendars=[SHOP, season, other])
    assert of(gains(made), GainKind.DAY, "shop").days == 0
    alone = replace(made, tasks=(tasks[0],))
    assert of(gains(alone), GainKind.DAY, "shop").days == 1


def test_a_day_on_which_too_few_would_come_for_a_task_leaves_it_as_it_is() -> None:
    """Two are needed, and on Saturdays one of them would come: nothing is gained, or lost."""
    other = Calendar("other", week_hours=(8, 8, 8, 8, 8, 0, 0))
    made = plan(
        [task("a", 7, trade="metal", people=2)],
        crew=[Crew("metal", 1, "shop"), Crew("metal", 1, "other")],
        calendars=[SHOP, other],
    )
    found = gains(made)
    assert [of(found, GainKind.DAY, name).days for name in ("shop", "other")] == [0, 0]


def test_a_day_that_only_some_of_a_trade_would_come_on_is_no_loss() -> None:
    """Two tasks side by side by two people; with Saturdays only one of them could be done."""
    other = Calendar("other", week_hours=(8, 8, 8, 8, 8, 0, 0))
    made = plan(
        [task("a", 7, trade="metal"), task("b", 7, trade="metal")],
        crew=[Crew("metal", 1, "shop"), Crew("metal", 1, "other")],
        calendars=[SHOP, other],
    )
    found = of(gains(made), GainKind.DAY, "shop")
    assert (found.days, found.is_proven) == (0, False)


def test_one_more_place_lets_two_stand_side_by_side() -> None:
    tasks = [task(name, 5, places=("booth",)) for name in "ab"]
    found = gains(plan(tasks, places=[Place("booth"), Place("jig")]))
    assert [(one.kind, one.name, one.days) for one in found.gains] == [
        (GainKind.PLACE, "booth", 7)
    ]  # fmt: skip


def test_where_links_alone_set_the_finish_nothing_is_gained_and_that_is_proven() -> None:
    tasks = [task("a", 5, trade="metal"), task("b", 5, trade="wood")]
    crew = [Crew("metal", 1, "shop"), Crew("wood", 1, "shop")]
    found = gains(plan(tasks, [link("a", "b")], crew=crew), seconds=0)
    people = [one for one in found.gains if one.kind is GainKind.PERSON]
    assert [(one.days, one.is_proven) for one in people] == [(0, True), (0, True)]


def test_the_largest_gain_comes_first() -> None:
    tasks = [task("a", 10, trade="metal"), task("b", 10, trade="metal"), task("c", 9, trade="wood"),
             task("d", 9, trade="wood")]  # fmt: skip
    crew = [Crew("metal", 1, "shop"), Crew("wood", 1, "shop")]
    days = [one.days for one in gains(plan(tasks, crew=crew)).gains]
    assert days == sorted(days, reverse=True)
    assert days[0] > 0


def test_a_plan_levelled_before_is_taken_as_it_is() -> None:
    made = two_weeks_of_metal()
    before = level_plan(made, seconds=0, clock=time.monotonic)
    assert gains(made, base=before).base is before


def test_progress_rises_to_all_and_may_stop_the_search() -> None:
    told: list[float] = []
    gains(two_weeks_of_metal(), on_progress=told.append)
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0, 1)

    def stop(share: float) -> None:
        if share > 0:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        gains(two_weeks_of_metal(), on_progress=stop)


def test_a_plan_that_cannot_be_levelled_is_refused_in_one_sentence() -> None:
    made = plan([task("a", 2, trade="metal", people=2)], crew=[Crew("metal", 1, "shop")])
    with pytest.raises(InvalidValueError, match='"a" needs 2 people of "metal"'):
        gains(made)
    with pytest.raises(ValueError, match="-1"):
        gains(two_weeks_of_metal(), seconds=-1)
