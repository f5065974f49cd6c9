"""The week of the crew: who does what, who stays, what finds nobody."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from ribstitch.planning.levelling import Rota, Turn, rota
from ribstitch.planning.model import Calendar, Crew, CrewLink, Plan, Task
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, SHOP, link, plan, status, task

WEDNESDAY = MONDAY + timedelta(days=2)
FRIDAY = MONDAY + timedelta(days=4)
TUESDAYS = Calendar("tuesdays", day_hours=6, week_hours=(0, 6, 0, 0, 0, 3, 0))
MORNINGS = Calendar("mornings", week_hours=(4, 4, 4, 4, 4, 0, 0))


def metal(name: str, days: float = 1, **fields: Any) -> Task:
    return task(name, days, trade="metal", **fields)


def week(made: Plan, first: date = MONDAY, days: int = 7) -> Rota:
    return rota(schedule(made), first, first + timedelta(days=days - 1))


def crewed(tasks: list[Task], *crew: Crew, **fields: Any) -> Plan:
    return plan(tasks, crew=crew, calendars=(SHOP, TUESDAYS, MORNINGS), **fields)


def who(found: Rota) -> dict[str, list[str]]:
    """Who was on each task, one after the other."""
    names: dict[str, list[str]] = {}
    for turn in found.turns:
        assert turn.person is not None
        label = found.people[turn.person].label
        if not names.setdefault(turn.task, []) or names[turn.task][-1] != label:
            names[turn.task].append(label)
    return names


def missing(found: Rota) -> list[tuple[str, date, float]]:
    return [(one.task, one.day, one.hours) for one in found.unassigned]


def test_people_are_called_by_their_label_and_numbered_where_it_is_not_theirs_alone() -> None:
    made = crewed(
        [],
        Crew("metal", 1, "shop", "Metalworker 1"),
        Crew("paint", 1, "shop", "Metalworker 1"),
        Crew("help", 2, "shop", "Volunteer"),
        Crew("help", 1, "tuesdays", "Volunteer"),
        Crew("wood", 2, "shop"),
        Crew("wood", 0, "shop", "Nobody"),
        Crew("wood", 1, "tuesdays"),
    )
    assert [(one.label, one.trades) for one in week(made).people] == [
        ("Metalworker 1", ("metal", "paint")),
        ("Volunteer 1", ("help",)),
        ("Volunteer 2", ("help",)),
        ("Volunteer 3", ("help",)),
        ("wood 1", ("wood",)),
        ("wood 2", ("wood",)),
        ("wood 3", ("wood",)),
    ]


def test_hours_are_those_of_the_calendar_of_who_works() -> None:
    """Two days: six hours on Tuesday, three on Saturday, the last three on Tuesday."""
    made = crewed(
        [task("a", 2, trade="help", calendar="tuesdays")], Crew("help", 1, "tuesdays", "Bo")
    )
    found = week(made, days=14)
    assert [(one.day - MONDAY, one.hours) for one in found.turns] == [
        (timedelta(days=1), 6), (timedelta(days=5), 3), (timedelta(days=8), 3),
    ]  # fmt: skip


def test_a_task_for_two_takes_two_people() -> None:
    found = week(crewed([metal("a", 1, people=2)], Crew("metal", 2, "shop")))
    assert [(one.person, one.hours) for one in found.turns] == [(0, 8), (1, 8)]
    assert found.unassigned == ()


def test_what_nobody_can_do_is_said_once_for_each_person_that_is_missing() -> None:
    found = week(crewed([metal("a", 1, people=3)], Crew("metal", 1, "shop")))
    assert len(found.turns) == 1
    assert missing(found) == [("a", MONDAY, 8), ("a", MONDAY, 8)]


def test_a_trade_that_nobody_has_finds_nobody() -> None:
    found = week(crewed([task("a", 1, trade="wood")], Crew("metal", 1, "shop")))
    assert (found.turns, missing(found)) == ((), [("a", MONDAY, 8)])


def test_two_tasks_stay_with_their_two_people() -> None:
    crew = (Crew("metal", 1, "shop", "Ann"), Crew("metal", 1, "shop", "Bo"))
    found = week(crewed([metal("a", 5), metal("b", 5), metal("c", 1)], *crew), days=5)
    assert all(len(names) == 1 for names in who(found).values())
    assert {one.task for one in found.unassigned} == {"c"}


@pytest.mark.parametrize("first", [0, 1, 2])
def test_what_has_begun_goes_first_then_what_protects_the_finish(first: int) -> None:
    """One, then two people, whatever the order of entry. By hand: four days of a week's five
    leave one to spare, two days three."""
    tasks = [
        metal("begun", 1, status=status("in_work", 1, started=MONDAY)),
        metal("near", 4),
        metal("far", 2),
        task("end", 5, trade=None),
    ]
    tasks = tasks[first:] + tasks[:first]
    found = week(crewed(tasks, Crew("metal", 1, "shop", "Ann")), days=1)
    assert who(found) == {"begun": ["Ann"]}
    assert {one.task for one in found.unassigned} == {"near", "far"}
    found = week(crewed(tasks, Crew("metal", 2, "shop", "Ann")), days=1)
    assert set(who(found)) == {"begun", "near"}
    assert {one.task for one in found.unassigned} == {"far"}


@pytest.mark.parametrize("entry", [("a", "b"), ("b", "a")])
def test_of_two_pieces_of_work_in_hand_the_one_with_less_float_has_the_person(
    entry: tuple[str, str],
) -> None:
    """By hand: of a week's five days `a` takes two, so it can wait three; `b` four, so one."""
    begun = status("in_work", started=MONDAY)
    made = {"a": metal("a", 2, status=begun), "b": metal("b", 4, status=begun)}
    tasks = [*(made[name] for name in entry), task("end", 5, trade=None)]
    found = week(crewed(tasks, Crew("metal", 1, "shop", "Ann")), days=2)
    assert who(found) == {"b": ["Ann"]}
    assert {one.task for one in found.unassigned} == {"a"}


def test_of_two_with_the_same_float_the_one_that_must_begin_earlier_has_the_person() -> None:
    """Both can wait a day: `late` until Wednesday, `soon` until Tuesday."""
    tasks = [
        metal("late", 2, not_before=MONDAY + timedelta(days=1)), task("x", 1, trade=None),
        metal("soon", 3), task("y", 1, trade=None), task("end", 5, trade=None),
    ]  # fmt: skip
    made = crewed(
        tasks, Crew("metal", 1, "shop", "Ann"), links=[link("late", "x"), link("soon", "y")]
    )
    found = week(made, first=MONDAY + timedelta(days=1), days=1)
    assert who(found) == {"soon": ["Ann"]}
    assert {one.task for one in found.unassigned} == {"late"}


def test_nobody_is_asked_for_what_is_held_and_nobody_knows_until_when() -> None:
    crew = (Crew("metal", 1, "shop", "Ann"), Crew("metal", 1, "shop", "Bo"))
    tasks = [metal("held", 1, status=status("held")), metal("next", 1)]
    found = week(crewed(tasks, *crew))
    assert set(who(found)) == {"next"}
    assert (found.unassigned, found.held) == ((), ("held",))
    later = week(crewed(tasks, *crew), first=MONDAY + timedelta(days=7))
    assert later.held == (), "the plan has it in the first week alone"


def test_what_is_held_with_a_date_to_go_on_asks_for_its_people() -> None:
    """A release date, a date before which it does not start, or work before it that is open."""
    crew = (Crew("metal", 1, "shop", "Ann"),)
    until = metal("a", 1, status=status("held", held_until=WEDNESDAY))
    behind = metal("b", 1, status=status("held"))
    not_yet = metal("c", 1, status=status("held"), not_before=FRIDAY)
    found = week(crewed([until, behind, not_yet], *crew, links=[link("a", "b")]))
    assert [(one.task, one.day.weekday()) for one in found.turns] == [("a", 2), ("b", 3), ("c", 4)]
    assert (found.unassigned, found.held) == ((), ())


def test_hands_that_come_later_are_no_date_for_what_is_held() -> None:
    """The crew does `a` first; that `b` is held until nobody knows when stays so."""
    made = crewed(
        [metal("a", 2), metal("b", 1, status=status("held"))],
        Crew("metal", 1, "shop", "Ann"),
        crew_links=(CrewLink("a", "b", names=("metal",)),),
    )
    found = week(made)
    assert schedule(made).start_on(1) == WEDNESDAY
    assert (set(who(found)), found.held) == ({"a"}, ("b",))


def test_work_dropped_before_what_is_held_is_no_date_for_it() -> None:
    tasks = [metal("a", 2, status=status("dropped")), metal("b", 1, status=status("held"))]
    found = week(crewed(tasks, Crew("metal", 1, "shop", "Ann"), links=[link("a", "b")]))
    assert (found.turns, found.held) == ((), ("b",))


def test_work_that_has_begun_takes_its_people_back_from_what_was_not_to_begin_yet() -> None:
    """In the afternoons Ann is with what is next; every morning she is back."""
    begun = metal("begun", 2, status=status("in_work", 2, started=MONDAY), calendar="mornings")
    found = week(crewed([metal("next", 2), begun], Crew("metal", 1, "shop", "Ann")))
    assert {one.task for one in found.turns if one.begin % 1440 < 720} == {"begun"}
    assert {one.task for one in found.unassigned if one.begin % 1440 < 720} == {"next"}


def test_who_can_do_more_makes_way_for_who_can_do_less() -> None:
    """Ann alone has both trades: she leaves the metal to Bo, or the paint would find nobody."""
    crew = (
        Crew("metal", 1, "shop", "Ann"), Crew("paint", 1, "shop", "Ann"),
        Crew("metal", 1, "shop", "Bo"),
    )  # fmt: skip
    paint = task("b", 2, trade="paint", not_before=WEDNESDAY)
    found = week(crewed([metal("a", 4), paint], *crew))
    assert who(found) == {"a": ["Bo"], "b": ["Ann"]}


def test_a_task_changes_hands_rather_than_leave_another_without_anybody() -> None:
    """Bo comes in the mornings; on the one on which the paint needs Ann, he goes on for her."""
    crew = (
        Crew("metal", 1, "shop", "Ann"), Crew("paint", 1, "shop", "Ann"),
        Crew("metal", 1, "mornings", "Bo"),
    )  # fmt: skip
    paint = task("b", 0.5, trade="paint", calendar="mornings", not_before=WEDNESDAY)
    found = week(crewed([metal("a", 4), paint], *crew))
    assert who(found) == {"a": ["Ann", "Bo", "Ann"], "b": ["Ann"]}
    assert found.unassigned == ()


def test_people_of_the_tasks_own_calendar_go_before_others() -> None:
    crew = (Crew("metal", 1, "mornings", "Ann"), Crew("metal", 1, "shop", "Bo"))
    assert who(week(crewed([metal("a", 3)], *crew))) == {"a": ["Bo"]}


def test_only_what_remains_is_done_from_the_as_of_date_on() -> None:
    begun = status("in_work", 1, started=MONDAY)
    over = status("done", started=MONDAY, finished=MONDAY)
    tasks = [metal("a", 4, status=begun), metal("b", 1, status=over),
             metal("c", 1, status=status("dropped"))]  # fmt: skip
    found = week(crewed(tasks, Crew("metal", 1, "shop"), as_of=WEDNESDAY))
    assert [(one.task, one.day) for one in found.turns] == [("a", WEDNESDAY)]


def test_people_without_a_named_calendar_come_when_the_shop_works() -> None:
    """Such a plan cannot be levelled; its week can be shown."""
    found = week(crewed([metal("a", 6)], Crew("metal")), first=FRIDAY, days=4)
    assert [one.day for one in found.turns] == [FRIDAY, FRIDAY + timedelta(days=3)]


def test_two_half_days_follow_each_other_on_one_date() -> None:
    tasks = [metal("a", 0.5), metal("b", 0.5)]
    made = crewed(tasks, Crew("metal", 1, "shop"), links=[link("a", "b")])
    found = week(made)
    assert found.turns == (
        Turn(0, "a", found.turns[0].begin, found.turns[0].begin + 720, 4.0),
        Turn(0, "b", found.turns[0].begin + 720, found.turns[0].begin + 1440, 4.0),
    )


def test_a_week_without_work_and_a_plan_without_people_are_empty() -> None:
    made = crewed([metal("a", 1)], Crew("metal", 1, "shop"))
    later = week(made, first=MONDAY + timedelta(days=7))
    assert (later.turns, later.unassigned, len(later.people)) == ((), (), 1)
    assert week(replace(made, crew=(), tasks=())).people == ()


def test_a_range_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="2026-01-04 is before 2026-01-05"):
        week(crewed([metal("a", 1)]), days=0)
