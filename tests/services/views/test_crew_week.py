"""One week of the crew, by person-slot."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ribstitch.planning.model import Calendar, Crew, Plan, Zone
from ribstitch.services.hazards import STANDING_LINE
from ribstitch.services.views.crew_week import CrewWeek, crew_week
from tests.core.making import MONDAY, SHOP, link, plan, status, task
from tests.services.views.plans import current_of

WEEKEND = Calendar("weekend", week_hours=(0, 0, 0, 0, 0, 6, 0), day_hours=6)


def shop() -> Plan:
    """
    Return a metalworker and a Saturday volunteer, from Monday 5 January.

    The frame takes the metalworker until Wednesday noon, then the skin until Thursday
    noon; the floor takes the volunteer on Saturday. A second skin begins with the first
    and finds nobody.
    """
    frame = task("frame", 2.5, trade="metal", zone="tail", hazards=("noise",))
    return plan(
        [
            replace(frame, name="Mend the frame"),
            task("skin", 1, trade="metal", hazards=("lead_chromate",)),
            task("twin", 1, trade="metal", hazards=("dope",)),
            task("floor", 1, trade="help", calendar="weekend"),
        ],
        [link("frame", "skin"), link("frame", "twin")],
        calendars=(SHOP, WEEKEND),
        crew=(
            Crew("metal", calendar="shop", label="Metalworker 1"),
            Crew("help", calendar="weekend", label="Volunteer 1"),
        ),
        zones=(Zone("tail", "Tail"),),
    )


def week(made: Plan | None = None, on: date | None = None) -> CrewWeek:
    return crew_week(current_of(made or shop()), on)


def works(found: CrewWeek, slot: str) -> list[tuple[int, str, float]]:
    """Return date, task and hours of a person's works."""
    (one,) = (person for person in found.people if person.slot == slot)
    return [(day.date.day, work.task, work.hours) for day in one.days for work in day.works]


def test_everybody_has_seven_days_with_the_hours_they_are_there() -> None:
    found = week()
    assert [(one.slot, one.trades) for one in found.people] == [
        ("Metalworker 1", ["metal"]),
        ("Volunteer 1", ["help"]),
    ]
    assert [[day.hours for day in one.days] for one in found.people] == [
        [8, 8, 8, 8, 8, 0, 0],
        [0, 0, 0, 0, 0, 6, 0],
    ]
    assert [day.date.day for day in found.people[0].days] == [5, 6, 7, 8, 9, 10, 11]


def test_work_is_told_date_by_date_in_its_order() -> None:
    found = week()
    mine = works(found, "Metalworker 1")
    assert mine[:3] == [(5, "frame", 8), (6, "frame", 8), (7, "frame", 4)]
    assert [(day, hours) for day, _, hours in mine[3:]] == [(7, 4), (8, 4)]
    assert len({name for _, name, _ in mine[3:]}) == 1, "whoever has begun a skin stays with it"
    assert works(found, "Volunteer 1") == [(10, "floor", 6)]
    first = found.people[0].days[0].works[0]
    assert (first.name, first.zone, first.hazards) == ("Mend the frame", "Tail", ["noise"])


def test_what_finds_nobody_free_is_told_with_date_and_trade() -> None:
    found = week()
    done = {name for _, name, _ in works(found, "Metalworker 1")}
    left = [(one.date.day, one.task, one.hours, one.trade) for one in found.unassigned]
    other = ({"skin", "twin"} - done).pop()
    assert left == [(7, other, 4, "metal"), (8, other, 4, "metal")]


def test_what_protects_the_finish_stands_first_with_what_it_can_wait() -> None:
    """By hand: of the five days of the week `long` takes all, `short` two: three to spare."""
    made = shop()
    tasks = (task("short", 2, trade="metal"), task("long", 5, trade="metal"))
    found = week(replace(made, tasks=tasks, links=(), crew=(replace(made.crew[0], people=0),)))
    told = [
        (one.date.day, one.task, one.total_float_days, one.critical) for one in found.unassigned
    ]
    assert told[:5] == [(day, "long", 0, True) for day in (5, 6, 7, 8, 9)]
    assert told[5:] == [(5, "short", 3, False), (6, "short", 3, False)]


def test_what_is_held_without_a_date_asks_for_nobody_and_says_why() -> None:
    """With the skin it takes until Thursday noon, and could take until Friday evening."""
    made = shop()
    held = status("held", held_reason="no rivets")
    found = week(replace(made, tasks=(replace(made.tasks[0], status=held), *made.tasks[1:])))
    (one,) = found.held
    assert (one.task, one.name, one.zone) == ("frame", "Mend the frame", "Tail")
    assert (one.reason, one.critical, one.total_float_days) == ("no rivets", False, 1.5)
    assert not [work for work in works(found, "Metalworker 1") if work[1] == "frame"]
    assert "frame" not in {work.task for work in found.unassigned}
    assert week().held == []


def test_cautions_of_all_that_is_on_the_sheet_stand_there_once_with_the_standing_line() -> None:
    """The one that finds nobody counts too: it is on the sheet."""
    found = week()
    assert list(found.hazards) == ["dope", "lead_chromate", "noise"]
    assert found.caution == STANDING_LINE
    assert list(week(on=date(2026, 1, 12)).hazards) == []


@pytest.mark.parametrize("on", [None, MONDAY, date(2026, 1, 8), date(2026, 1, 11)])
def test_any_date_of_a_week_opens_it(on: date | None) -> None:
    assert week(on=on).monday == MONDAY


def test_days_before_the_as_of_date_are_gone() -> None:
    """As of Wednesday noon's frame: Monday and Tuesday have neither hours nor work."""
    made = shop()
    begun = status("in_work", 1, started=MONDAY)
    tasks = (replace(made.tasks[0], status=begun), *made.tasks[1:])
    wednesday = replace(made.project, as_of=date(2026, 1, 7))
    found = week(replace(made, tasks=tasks, project=wednesday))
    assert [day.hours for day in found.people[0].days[:4]] == [0, 0, 8, 8]
    assert works(found, "Metalworker 1")[0] == (7, "frame", 8)


def test_people_without_a_label_are_numbered_by_their_trade() -> None:
    found = week(replace(shop(), crew=(Crew("metal", 2, "shop"),)))
    assert [one.slot for one in found.people] == ["metal 1", "metal 2"]
    assert {one.task for one in found.unassigned} == {"floor"}


@pytest.mark.parametrize("made", [plan(), plan([task("loose")])])
def test_plan_without_crew_has_an_empty_sheet(made: Plan) -> None:
    found = week(made)
    assert (found.people, found.unassigned, found.hazards) == ([], [], {})
