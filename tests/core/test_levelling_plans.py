"""Levelling on calendars: who holds whom up, what stays, what is refused and how."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from ribstitch.planfile import read_plan_file
from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.levelling import (
    Absence,
    LevelledPlan,
    crew_links,
    crew_loads,
    level_plan,
    long_absences,
)
from ribstitch.planning.levelling.people import Group, pools_of
from ribstitch.planning.levelling.timeline import Timeline
from ribstitch.planning.levelling.work_scale import OutOfRangeError, WorkScale
from ribstitch.planning.model import Calendar, Crew, CrewLink, CrewLinkKind, Place, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.making import MONDAY, link, plan, status, task, ticks
from tests.support.crew_checks import crew_faults

DEMO = Path(__file__).resolve().parents[2] / "seed_data" / "garganey.plan.json"


def level(one: Plan, seconds: float = 0, **options: Any) -> LevelledPlan:
    return level_plan(one, seconds=seconds, clock=time.monotonic, **options)


def starts(found: LevelledPlan) -> dict[str, int]:
    """Days after the Monday on which each task starts."""
    return {
        one.id: (found.start_on(n) - MONDAY).days for n, one in enumerate(found.planned.activities)
    }


def faults(found: LevelledPlan) -> list[str]:
    ids = [one.id for one in found.planned.activities]
    begin, finish = (dict(zip(ids, side, strict=True)) for side in (found.begin, found.finish))
    return crew_faults(found.planned.prepared.plan, begin, finish)


def crewed(one: Plan, *crew: Crew, **fields: Any) -> Plan:
    return replace(one, crew=crew, **fields)


def small_crew(people: int) -> Plan:
    """The small crew of five tasks whose answers can be enumerated by hand, every day."""
    rows = {"A": (3, 2), "B": (2, 3), "C": (4, 1), "D": (2, 2), "E": (3, 3)}
    tasks = [
        task(name, days, people=asked, trade="metal", calendar="elapsed")
        for name, (days, asked) in rows.items()
    ]
    links = [link("A", "C"), link("B", "D"), link("C", "E")]
    return crewed(plan(tasks, links), Crew("metal", people, "elapsed"))


@pytest.mark.parametrize(("people", "days"), [(3, 12), (4, 10), (5, 10)])
def test_small_crew_takes_the_days_that_were_enumerated_by_hand(people: int, days: int) -> None:
    found = level(small_crew(people), seconds=0.5)
    assert (found.finish_on - MONDAY).days + 1 == days
    assert faults(found) == []


def test_crew_of_four_has_but_one_shortest_plan() -> None:
    assert starts(level(small_crew(4), seconds=1)) == {"A": 0, "B": 3, "C": 3, "D": 5, "E": 7}


def test_task_for_more_people_than_there_are_is_named() -> None:
    with pytest.raises(InvalidValueError) as refused:
        level(small_crew(2))
    assert str(refused.value) == (
        'tasks[1].people: "B" needs 3 people of "metal" at once and the crew has 2: it takes '
        "more people of this trade, or fewer for the task"
    )


def test_trade_that_nobody_has_is_named() -> None:
    with pytest.raises(InvalidValueError, match=r'"A" needs 1 person of "wood" .* crew has 0'):
        level(plan([task("A", trade="wood")]))


def test_crew_without_a_calendar_is_named() -> None:
    one = crewed(plan([task("A", trade="wood")]), Crew("wood", 1))
    with pytest.raises(InvalidValueError) as refused:
        level(one)
    assert str(refused.value) == (
        'crew[0].calendar: nobody knows when the people of "wood" work: name their calendar, '
        'such as "shop"'
    )


def test_crew_that_nobody_asks_for_needs_no_calendar() -> None:
    assert starts(level(crewed(plan([task("A")]), Crew("wood", 1)))) == {"A": 0}


def test_task_longer_than_its_people_are_ever_there_is_named() -> None:
    """Five days of the shop's week; the fabric worker comes Wednesday and Thursday."""
    part_time = Calendar("part", week_hours=(0, 0, 8, 8, 0, 0, 0))
    one = plan([task("A", 5, trade="fabric")])
    one = crewed(one, Crew("fabric", 1, "part"), calendars=(*one.calendars, part_time))
    with pytest.raises(InvalidValueError) as refused:
        level(one)
    assert str(refused.value).startswith('tasks[0].calendar: "A" is 5 days of work on the calendar')
    assert '(they work on "part")' in str(refused.value)


def test_short_task_waits_for_the_day_on_which_its_people_come() -> None:
    part_time = Calendar("part", week_hours=(0, 0, 8, 8, 0, 0, 0))
    one = plan([task("A", 2, trade="fabric"), task("B", 1, trade="fabric")])
    one = crewed(one, Crew("fabric", 1, "part"), calendars=(*one.calendars, part_time))
    found = level(one, seconds=0.2)
    assert sorted(starts(found).values()) in ([2, 9], [2, 7 + 2])
    assert faults(found) == []


def test_capacity_that_vanishes_for_a_year_is_waited_for() -> None:
    away = Calendar("away", closed=((date(2026, 1, 7), date(2027, 1, 6)),))
    one = plan([task("A", 2, trade="fabric"), task("B", 2, trade="fabric")])
    one = crewed(one, Crew("fabric", 1, "away"), calendars=(*one.calendars, away))
    found = level(one)
    assert sorted(found.start_on(n) for n in (0, 1)) == [MONDAY, date(2027, 1, 7)]
    assert long_absences(found) == (Absence("fabric", date(2026, 1, 7), date(2027, 1, 6)),)
    assert long_absences(found, days=366) == ()


def test_one_person_with_two_trades_does_one_thing_at_a_time() -> None:
    tasks = [task("A", 2, trade="metal"), task("B", 3, trade="paint")]
    both = (Crew("metal", 1, "shop", "Ann"), Crew("paint", 1, "shop", "Ann"))
    apart = (Crew("metal", 1, "shop", "Ann"), Crew("paint", 1, "shop", "Bo"))
    assert level(crewed(plan(tasks), *both)).finish_on == MONDAY + timedelta(days=4)
    assert level(crewed(plan(tasks), *apart)).finish_on == MONDAY + timedelta(days=2)


def test_sets_of_trades_that_follow_from_others_are_left_out() -> None:
    groups = [
        Group(frozenset({"wood", "help"}), 1, "c"),
        Group(frozenset({"help"}), 1, "c"),
        Group(frozenset({"elec", "help"}), 1, "c"),
        Group(frozenset({"metal"}), 2, "c"),
    ]
    pools = pools_of(groups, {"wood", "help", "elec", "metal"})
    assert [pool.sets for pool in pools] == [
        (frozenset({"elec"}), frozenset({"wood"}), frozenset({"elec", "help", "wood"})),
        (frozenset({"metal"}),),
    ]


def test_too_many_trades_tied_together_are_refused() -> None:
    trades = {f"t{n}" for n in range(14)}
    with pytest.raises(InvalidValueError, match="14 trades share people"):
        pools_of([Group(frozenset(trades), 1, "c")], trades)


def test_place_is_held_over_the_weekend_and_people_are_not() -> None:
    """A starts on Thursday and takes three days; the booth is taken until Monday night."""
    everyday = Calendar("everyday", week_hours=(8,) * 7)
    tasks = [
        task("A", 3, trade="paint", places=("booth",), not_before=date(2026, 1, 8)),
        task("B", 1, places=("booth",), calendar="everyday", not_before=date(2026, 1, 10)),
        task("C", 1, trade="paint", calendar="weekend", not_before=date(2026, 1, 10)),
    ]
    one = plan(tasks)
    weekend = Calendar("weekend", week_hours=(0, 0, 0, 0, 0, 8, 8))
    one = crewed(
        one,
        Crew("paint", 1, "everyday"),
        calendars=(*one.calendars, everyday, weekend),
        places=(Place("booth", 1),),
    )
    found = level(one)
    assert starts(found) == {"A": 3, "B": 8, "C": 5}
    assert faults(found) == []


def test_unknown_or_closed_places_are_named() -> None:
    booth = (Place("booth", 0),)
    with pytest.raises(UnknownReferenceError, match='there is no place "jig"'):
        level(plan([task("A", places=("jig",))], places=booth))
    with pytest.raises(InvalidValueError, match='"booth", which has room for nothing'):
        level(plan([task("A", places=("booth",))], places=booth))


def test_work_under_way_keeps_its_people() -> None:
    """B is longer and on the critical path, but A has begun."""
    as_of = MONDAY + timedelta(days=2)
    tasks = [
        task("A", 5, trade="metal", status=status("in_work", 4, started=MONDAY)),
        task("B", 9, trade="metal"),
        task("C", 9),
    ]
    one = crewed(plan(tasks, [link("B", "C")], as_of=as_of), Crew("metal", 1, "shop"))
    found = level(one, seconds=0.2)
    assert [found.begin[n] // TICKS_PER_DAY - MONDAY.toordinal() for n in (0, 1)] == [2, 8]
    assert faults(found) == []


def test_two_pieces_of_work_under_way_and_one_person_go_one_after_the_other() -> None:
    begun = status("in_work", 2, started=MONDAY)
    tasks = [task(name, 3, trade="metal", status=begun) for name in "AB"]
    one = crewed(plan(tasks, as_of=MONDAY + timedelta(days=1)), Crew("metal", 1, "shop"))
    found = level(one)
    assert faults(found) == []
    assert found.finish_on == MONDAY + timedelta(days=4)


def test_started_dates_are_the_actual_ones() -> None:
    one = plan([task("A", 3, status=status("in_work", 2, started=MONDAY))],
               as_of=MONDAY + timedelta(days=1))  # fmt: skip
    assert level(one).start_on(0) == MONDAY


def test_a_plan_as_it_stands_is_kept_where_another_is_no_shorter() -> None:
    """Six like tasks for one person: any order finishes on the same day."""
    tasks = [task(f"T{n}", 1, trade="metal") for n in range(6)]
    one = crewed(plan(tasks), Crew("metal", 1, "elapsed"))
    order = (3, 1, 4, 0, 5, 2)
    day = MONDAY.toordinal() * TICKS_PER_DAY
    dates = [0, 1, 2, 3, 4, 7]
    current = {f"T{n}": day + ticks(dates[place]) for place, n in enumerate(order)}
    found = level(one, seconds=0.2, current=current, keep_days=1)
    assert dict(zip([f"T{n}" for n in range(6)], found.begin, strict=True)) == current


def test_moving_starts_is_worth_it_for_a_finish_that_is_earlier_by_more() -> None:
    tasks = [task("A", 1, trade="metal"), task("B", 5, trade="metal"), task("C", 30)]
    one = crewed(plan(tasks, [link("B", "C")]), Crew("metal", 1, "elapsed"))
    day = MONDAY.toordinal() * TICKS_PER_DAY
    current = {"A": day, "B": day + ticks(1), "C": day + ticks(8)}
    stays = level(one, seconds=0.2, current=current, keep_days=2)
    moves = level(one, seconds=0.2, current=current, keep_days=0)
    assert starts(stays)["A"] == 0
    assert starts(moves)["B"] == 0
    assert moves.finish_on < stays.finish_on


def test_crew_links_say_who_waits_for_whom_and_why() -> None:
    tasks = [task("A", 2, trade="metal"), task("B", 3, trade="metal"), task("C", 9)]
    one = crewed(plan(tasks, [link("A", "C")]), Crew("metal", 1, "shop"))
    (found,) = crew_links(level(one))
    assert found == CrewLink("A", "B", CrewLinkKind.TRADE, ("metal",), 1)


def test_what_the_plan_links_already_gets_no_second_link() -> None:
    tasks = [task(name, 2, trade="metal") for name in "ABC"]
    one = crewed(plan(tasks, [link("A", "B"), link("B", "C")]), Crew("metal", 1, "shop"))
    assert crew_links(level(one)) == ()


def test_load_of_the_weeks_adds_up_to_the_work() -> None:
    found = level(small_crew(4))
    loads = crew_loads(found)
    assert sum(one.used for one in loads) == ticks(3 * 2 + 2 * 3 + 4 * 1 + 2 * 2 + 3 * 3)
    assert [(one.week, one.available) for one in loads] == [
        (MONDAY, ticks(28)), (MONDAY + timedelta(days=7), ticks(28)),
    ]  # fmt: skip


def test_demo_is_levelled_at_once_with_dates_that_its_people_can_keep() -> None:
    demo = read_plan_file(DEMO)
    demo = replace(demo, calendars=tuple(replace(one, holidays=None) for one in demo.calendars))
    began = time.monotonic()
    found = level(demo)
    assert time.monotonic() - began < 2
    assert faults(found) == []
    assert found.planned.project_finish <= found.bound <= found.project_finish
    linked = schedule(replace(demo, crew_links=crew_links(found)))
    assert linked.finish_on <= found.finish_on
    assert (linked.finish <= list(found.finish)).all()
    names = Counter(name for one in crew_links(found) for name in one.names)
    assert names["metal"] > 0


def test_the_checker_sees_a_plan_without_levelling() -> None:
    """The schedule without people breaks the small crew of three."""
    one = small_crew(3)
    planned = schedule(one)
    ids = [activity.id for activity in planned.activities]
    begin = dict(zip(ids, planned.begin.tolist(), strict=True))
    finish = dict(zip(ids, planned.finish.tolist(), strict=True))
    assert any("too few people" in fault for fault in crew_faults(one, begin, finish))


def test_timeline_finds_the_first_and_the_last_place_that_fits() -> None:
    timeline = Timeline.of([0, 4, 6, 20], [(2, 1), (0, 1), (2, 0), (2, 1)], (2, 1))
    one, both = timeline.packed((1, 0)), timeline.packed((1, 1))
    assert timeline.earliest(1, 3, one) == 1
    assert timeline.earliest(2, 3, one) == 6
    assert timeline.earliest(2, 3, both) == 20
    assert timeline.latest(20, 5, one) == 15
    assert timeline.latest(9, 5, one) == 0
    assert timeline.latest(9, 3, one) == 6
    copy = timeline.fresh()
    copy.take(7, 9, one)
    copy.take(8, 10, one)
    assert copy.earliest(6, 3, one) == 9
    assert timeline.earliest(6, 3, one) == 6


def test_work_scale_ends_with_its_range() -> None:
    scale = WorkScale([1440, 0, 720])
    assert [scale.work_before(t) for t in (0, 1000, 1440, 2880, 2900, 4000)] == [
        0, 1000, 1440, 1440, 1460, 2160,
    ]  # fmt: skip
    assert (scale.earliest(1440), scale.latest(1440)) == (1440, 2880)
    assert scale.stretches(1000, 1500) == [(0, 1000, 1440), (2, 0, 60)]
    with pytest.raises(OutOfRangeError):
        scale.latest(2160)
    with pytest.raises(OutOfRangeError):
        scale.earliest(2161)
    with pytest.raises(OutOfRangeError):
        scale.work_before(4320)
