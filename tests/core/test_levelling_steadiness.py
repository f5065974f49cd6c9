"""What moves when a plan is levelled again: as little as the weight on moves asks for."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from ribstitch.planfile import read_plan_file
from ribstitch.planning.levelling import LevelledPlan, crew_links, level_plan
from ribstitch.planning.model import Crew, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at
from tests.core.making import MONDAY, link, plan, task, ticks

DEMO = Path(__file__).resolve().parents[2] / "seed_data" / "garganey.plan.json"
DAY = MONDAY.toordinal() * TICKS_PER_DAY


def one_hand(finish_after: float = 9) -> Plan:
    """Three tasks of one person, and work elsewhere that finishes later."""
    tasks = [task(name, 1, trade="metal", calendar="elapsed") for name in "ABC"]
    rest = task("Z", finish_after, calendar="elapsed")
    return replace(plan([*tasks, rest], []), crew=(Crew("metal", 1, "elapsed"),))


def days(found: LevelledPlan) -> dict[str, float]:
    return {
        one.id: (begin - DAY) / TICKS_PER_DAY
        for one, begin in zip(found.planned.activities, found.begin, strict=True)
    }


def at(**days_after: float) -> dict[str, int]:
    return {name: DAY + ticks(one) for name, one in days_after.items()}


def level(one: Plan, current: dict[str, int], keep_days: float) -> dict[str, float]:
    return days(
        level_plan(one, seconds=0, clock=time.monotonic, current=current, keep_days=keep_days)
    )


def test_a_task_that_could_begin_earlier_stays_where_it_is() -> None:
    current = at(A=5, B=0, C=3, Z=0)
    assert level(one_hand(), current, 1) == {"A": 5, "B": 0, "C": 3, "Z": 0}


def test_without_a_weight_on_moves_everything_goes_early() -> None:
    found = level(one_hand(), at(A=5, B=0, C=3, Z=0), 0)
    assert sorted(found[name] for name in "ABC") == [0, 1, 2]


def test_where_the_finish_waits_for_a_task_it_moves_and_the_others_stay() -> None:
    """C goes from day 3 to day 1 at the latest so that D can finish 2 days earlier."""
    one = one_hand(3)
    one = replace(one, tasks=(*one.tasks, task("D", 6, calendar="elapsed")))
    one = replace(one, links=(link("C", "D"),))
    current = at(A=5, B=0, C=3, Z=0, D=4)
    assert level(one, current, 20) == {"A": 5, "B": 0, "C": 3, "Z": 0, "D": 4}
    moved = level(one, current, 0.1)
    assert (moved["A"], moved["Z"]) == (5, 0)
    assert moved["D"] == 1


def test_of_two_that_stand_at_once_only_one_moves() -> None:
    found = level(one_hand(), at(A=2, B=2, C=4, Z=0), 5)
    assert (found["C"], found["Z"]) == (4, 0)
    assert 2 in (found["A"], found["B"])
    assert found["A"] != found["B"]


@pytest.mark.parametrize("keep_days", [1, 20])
def test_a_levelled_demo_is_levelled_again_without_a_move(keep_days: float) -> None:
    """Its own crew links are taken into the plan first, as when a levelling is adopted."""
    read = read_plan_file(DEMO)
    levelled = level_plan(read, seconds=0, clock=time.monotonic)
    adopted = schedule(replace(read, crew_links=crew_links(levelled)))
    current = {
        one.id: int(begin)
        for one, begin in zip(adopted.activities, levelled.begin, strict=True)
    }  # fmt: skip
    again = level_plan(
        read, seconds=0, clock=time.monotonic, current=current, keep_days=keep_days
    )  # fmt: skip
    assert again.project_finish <= levelled.project_finish
    moved = [
        one.id
        for one, begin in zip(again.planned.activities, again.begin, strict=True)
        if not one.is_done and not one.dropped and date_at(begin) != date_at(current[one.id])
    ]
    assert moved == []
