"""What is asked of the crew, who waits for whom, and how that is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Any

import plotly.graph_objects as go
import pytest
from hypothesis import given, reject

from ribstitch.api.schemas.crew import crew_load_shown
from ribstitch.charts.crew_load import crew_load_figure
from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import (
    Calendar,
    Crew,
    CrewLink,
    CrewLinkKind,
    Milestone,
    Place,
    Plan,
    Task,
)
from ribstitch.planning.schedule import schedule
from ribstitch.services.views.chain import critical_chain
from ribstitch.services.views.crew_load import CrewLoad, crew_load, crew_strips
from ribstitch.services.views.crew_week import crew_week
from tests.core.making import MONDAY, SHOP, link, plan, status, task
from tests.property.settings import examples
from tests.property.strategies import plans
from tests.services.views.plans import current_of

PLACE = CrewLinkKind.PLACE
FABRIC = (Crew("fabric", label="Fabric worker 1"),)


def cover(name: str, days: float = 5, **fields: Any) -> Task:
    one = task(name, days, **{"trade": "fabric", **fields})
    return replace(one, name=f"Cover {name}")


def wings(
    *crew_links: CrewLink, crew: Sequence[Crew] = FABRIC, tasks: Sequence[Task] = (), **fields: Any
) -> Plan:
    """
    Return two wings to be covered from Monday 5 January, then a flight.

    The left one takes a week, the right one two: with hands for both the finish is Friday
    the 16th, one after the other it is Friday the 23rd.
    """
    flight = task("flight", 0, milestone=Milestone.FINISH)
    return plan(
        [cover("left"), cover("right", 10), flight, *tasks],
        [link("left", "flight"), link("right", "flight")],
        crew=crew,
        crew_links=crew_links,
        **fields,
    )


LEFT_FIRST = CrewLink("left", "right", names=("fabric",))


def left_takes(days: float) -> Plan:
    """Return the wings, the right one after a left one that takes so long."""
    made = wings(LEFT_FIRST)
    return replace(made, tasks=(cover("left", days), *made.tasks[1:]))


def load(made: Plan) -> CrewLoad:
    return crew_load(current_of(made))


def told(made: Plan) -> list[str]:
    return load(made).explanation


# The figures


def test_finish_stands_beside_the_one_with_hands_for_everything() -> None:
    found = load(wings(LEFT_FIRST))
    assert (found.finish, found.finish_without_limits) == (date(2026, 1, 23), date(2026, 1, 16))
    assert (found.crew_links, found.path_days) == (1, 15)


def test_trade_has_its_weeks_people_and_share_of_the_path() -> None:
    (fabric,) = load(wings(LEFT_FIRST)).trades
    assert (fabric.trade, fabric.people, fabric.labels) == ("fabric", 1, ["Fabric worker 1"])
    weeks = [(one.week.day, one.used_days, one.available_days) for one in fabric.weeks]
    assert weeks == [(5, 5, 5), (12, 5, 5), (19, 5, 5)]
    assert (fabric.used_days, fabric.available_days, fabric.over_days) == (15, 15, 0)
    assert fabric.share_of_path == 1


def test_without_an_order_both_wings_ask_for_the_same_hands() -> None:
    """Ten days in the first week for a worker of five; the second has the right wing alone."""
    (fabric,) = load(wings()).trades
    assert [(one.used_days, one.over_days) for one in fabric.weeks] == [(10, 5), (5, 0)]
    assert fabric.busiest_week == MONDAY


def test_same_people_with_two_trades_count_once() -> None:
    crew = (Crew("fabric", label="Ann", people=1), Crew("paint", label="Ann"), Crew("fabric"))
    (fabric,) = load(wings(crew=crew)).trades
    assert fabric.people == 2
    assert fabric.labels == ["Ann"]


def test_trades_come_in_the_order_of_the_crew() -> None:
    more = [cover("a", trade="wood"), cover("b", trade="metal"), cover("c", trade="glass")]
    crew = (Crew("metal"), Crew("fabric"), Crew("wood"))
    found = load(wings(crew=crew, tasks=more))
    assert [one.trade for one in found.trades] == ["metal", "fabric", "wood", "glass"]


def test_place_counts_dates_from_start_to_finish() -> None:
    """A week of work from Monday to Friday stands in the jig for five dates of seven."""
    jig = Place("jig", name="Wing jig")
    (found,) = load(wings(tasks=[cover("rig", places=("jig",))], places=(jig,))).places
    assert (found.place, found.name, found.capacity) == ("jig", "Wing jig", 1)
    assert (found.weeks[0].used_days, found.weeks[0].available_days) == (5, 7)


def test_drawing_has_the_figures_of_the_table() -> None:
    jig = Place("jig", name="Wing jig", capacity=2)
    current = current_of(wings(tasks=[cover("rig", places=("jig",))], places=(jig,)))
    found = crew_load(current)
    drawn = crew_strips(current)
    assert [(one.name, one.count) for one in drawn] == [
        ("Fabric", "1 person"), ("Wing jig", "room for 2"),
    ]  # fmt: skip
    figures = [(one.monday, one.used, one.available, one.over) for one in drawn[0].weeks]
    assert figures == [
        (one.week, one.used_days, one.available_days, one.over_days)
        for one in found.trades[0].weeks
    ]
    assert [one.name for one in crew_strips(current, "fabric")] == ["Fabric"]
    assert crew_strips(current, "glass") == []


# Who waits for whom


def test_wait_is_told_as_one_says_it_in_the_shop() -> None:
    (wait,) = load(wings(LEFT_FIRST)).waits
    assert (wait.key, wait.before, wait.after) == ("left > right", "left", "right")
    assert (wait.since, wait.until, wait.days) == (MONDAY, date(2026, 1, 12), 7)
    assert wait.on_path
    assert wait.sentence == (
        "Cover right waits 7 days for the only fabric worker, who first does Cover left."
    )


def test_answer_names_the_ends_of_a_wait_as_the_plan_file_does() -> None:
    (wait,) = crew_load_shown(load(wings(LEFT_FIRST)))["waits"]
    assert list(wait) == [
        "key", "from", "from_name", "to", "to_name", "kind", "names", "units", "since", "until",
        "days", "on_path", "sentence",
    ]  # fmt: skip
    assert (wait["from"], wait["from_name"]) == ("left", "Cover left")
    assert (wait["to"], wait["to_name"]) == ("right", "Cover right")


def test_link_that_is_turned_round_keeps_the_key_of_the_plan() -> None:
    """The right wing was begun first, so that the left one waits."""
    begun = replace(cover("right", 10), status=status("in_work", 10, started=MONDAY))
    made = wings(LEFT_FIRST)
    tasks = tuple(begun if one.id == "right" else one for one in made.tasks)
    (wait,) = load(replace(made, tasks=tasks)).waits
    assert (wait.before, wait.after, wait.key) == ("right", "left", "left > right")


def test_what_begins_on_the_same_date_does_not_wait() -> None:
    assert load(left_takes(0.25)).waits == []


def test_months_are_told_in_weeks() -> None:
    made = wings(LEFT_FIRST)
    long = tuple(
        replace(one, duration=55 * 1440) if one.id == "left" else one for one in made.tasks
    )
    (wait,) = load(replace(made, tasks=long)).waits
    assert wait.sentence.startswith("Cover right waits 11 weeks for the only fabric worker")


@pytest.mark.parametrize(
    ("crew", "units", "words"),
    [
        ([Crew("fabric")], 1, "the only person for fabric, who first does"),
        ([Crew("fabric", label="Fabric 1")], 1, "the only person for fabric, who first does"),
        ([Crew("fabric", label="Ann Other")], 1, "Ann Other, who first does"),
        ([Crew("fabric", label="Volunteer 1"), Crew("fabric", label="Volunteer 2")], 1,
         "a volunteer, who first does"),
        ([Crew("fabric", label="Upholsterer 1", people=2)], 2,
         "both upholsterers, who first do"),
        ([Crew("fabric", label="Apprentice 1", people=2)], 1,
         "an apprentice, who first does"),
        ([Crew("fabric", people=3)], 3, "all 3 people for fabric, who first do"),
        ([Crew("fabric", label="Fabric worker (part time)", people=3)], 2,
         "2 fabric workers, who first do"),
        ([], 1, "a person for fabric, who first does"),
    ],
)  # fmt: skip
def test_people_are_named_as_many_as_there_are(crew: list[Crew], units: int, words: str) -> None:
    (wait,) = load(wings(replace(LEFT_FIRST, units=units), crew=crew)).waits
    assert wait.sentence == f"Cover right waits 7 days for {words} Cover left."


@pytest.mark.parametrize(("room", "words"), [(1, "the Wing jig"), (2, "room in the Wing jig")])
def test_wait_for_a_place_names_it(room: int, words: str) -> None:
    jig = Place("jig", room, "Wing jig")
    made = wings(CrewLink("left", "right", PLACE, ("jig",)), places=(jig,))
    (wait,) = load(made).waits
    assert wait.sentence == (f"Cover right waits 7 days for {words}, where first comes Cover left.")


# The explanation


def test_finish_is_explained_with_and_without_limits() -> None:
    assert told(wings(LEFT_FIRST)) == [
        "As the plan stands, the work is finished on 2026-01-23.",
        (
            "With hands and room for everything it would be 2026-01-16: waiting for people and "
            "places costs 7 days."
        ),
        (
            "The only fabric worker is the bottleneck: all 15 working days that set the "
            "finish are fabric work."
        ),
        "Cover right waits 7 days for the only fabric worker, who first does Cover left.",
    ]


def test_plan_without_an_order_says_what_its_dates_take_for_granted() -> None:
    assert told(wings()) == [
        "As the plan stands, the work is finished on 2026-01-16.",
        (
            "The crew has no order of work yet: this date takes it that there are hands and room "
            "for everything."
        ),
        "In the week from 2026-01-05, 5 days of fabric work find nobody free.",
    ]


def test_crew_that_costs_nothing_is_no_bottleneck() -> None:
    """The left wing waits for the right one: a week, and still done with it on the path."""
    long = [task("paint", 40)]
    found = load(wings(LEFT_FIRST, tasks=long))
    assert found.bottleneck is None
    assert found.explanation[1] == (
        "With hands and room for everything it would be the same date: "
        "the crew does not hold the finish up."
    )


def test_bottleneck_is_what_is_waited_for_and_not_who_has_most_work() -> None:
    """Metal has 40 days on the path and nobody waits for it; the jig is waited for."""
    jig = Place("jig", name="Wing jig")
    made = plan(
        [
            cover("left", places=("jig",)),
            cover("right", places=("jig",)),
            task("fit", 40, trade="metal"),
        ],
        [link("right", "fit")],
        crew=(Crew("metal"), Crew("fabric", 2)),
        places=(jig,),
        crew_links=(CrewLink("left", "right", PLACE, ("jig",)),),
    )
    found = load(made)
    assert found.bottleneck is not None
    assert (found.bottleneck.kind, found.bottleneck.name) == (PLACE, "jig")
    assert found.bottleneck.sentence == (
        "The Wing jig is the bottleneck: 10 of the 50 working days that set the finish "
        "are spent in it."
    )


def test_longest_wait_for_each_is_told_and_the_others_are_counted() -> None:
    """Three wait for fabric, one for metal: the longest of each stands there."""
    tasks = [cover("fin"), cover("rudder"), *(
        cover(one, trade="metal") for one in ("nose", "tail")
    )]  # fmt: skip
    links = (
        LEFT_FIRST,
        CrewLink("right", "fin", names=("fabric",)),
        CrewLink("fin", "rudder", names=("fabric",)),
        CrewLink("nose", "tail", names=("metal",)),
    )
    crew = (*FABRIC, Crew("metal", label="Metalworker 1"))
    sentences = told(wings(*links, crew=crew, tasks=tasks))
    assert sentences[3:] == [
        "Cover rudder waits 4 weeks for the only fabric worker, who first does Cover fin.",
        "Cover tail waits 7 days for the only metalworker, who first does Cover nose.",
        "2 more tasks wait as well.",
    ]


def test_one_more_wait_is_told_in_the_singular() -> None:
    links = (LEFT_FIRST, CrewLink("right", "fin", names=("fabric",)))
    assert told(wings(*links, tasks=[cover("fin")]))[-1] == "1 more task waits as well."


def test_weeks_that_ask_for_too_much_are_counted() -> None:
    tasks = [cover("fin", 10)]
    assert told(wings(tasks=tasks))[-1] == (
        "In the week from 2026-01-05, 10 days of fabric work find nobody free, "
        "and the same goes for 1 other week."
    )


def test_place_without_room_is_told() -> None:
    tasks = [task(one, 1, places=("jig",)) for one in ("a", "b")]
    made = plan(tasks, places=(Place("jig", name="Wing jig"),))
    assert (
        told(made)[-1]
        == "In the week from 2026-01-05, 1 day of work finds no room in the Wing jig."
    )


def test_only_the_worst_shortages_are_told_one_by_one() -> None:
    trades = ("a", "b", "c", "d", "e")
    made = plan(
        [task(f"{trade}{n}", 1 + place, trade=trade)
         for place, trade in enumerate(trades) for n in (1, 2)],
        crew=[Crew(trade) for trade in trades],
    )  # fmt: skip
    sentences = told(made)
    assert [one[:38] for one in sentences[2:5]] == [
        f"In the week from 2026-01-05, {days} days of" for days in (5, 4, 3)
    ]
    assert sentences[5] == "2 more trades or places are asked for too much as well."


def test_trade_that_nobody_has_is_told() -> None:
    sentences = told(wings(tasks=[cover("glaze", trade="glass"), cover("stitch", trade="wool")]))
    assert "Nobody in the crew does glass work or wool work." in sentences


def test_task_for_more_people_than_there_are_is_told() -> None:
    one = told(wings(tasks=[cover("roll", people=3)]))
    assert one[-1] == "Cover roll asks for 3 people for fabric work at once, and there is 1."
    two = told(wings(tasks=[cover("roll", people=3), cover("turn", people=2)]))
    assert two[-1].endswith("and there is 1; 1 more task asks for too many as well.")


def test_people_who_are_away_for_long_are_told() -> None:
    """Nobody in February, March, April, and a wing that cannot be finished before."""
    away = replace(SHOP, id="away", closed=((date(2026, 1, 12), date(2026, 5, 3)),))
    crew = (Crew("fabric", calendar="away", label="Fabric worker 1"),)
    made = wings(crew=crew, calendars=(SHOP, away))
    moved = tuple(replace(one, calendar="away") if one.trade else one for one in made.tasks)
    assert told(replace(made, tasks=moved))[-1] == (
        "From 2026-01-10 to 2026-05-03 nobody is there for fabric work, and work waits for them."
    )


# Plans with little in them


def test_plan_without_work_asks_for_nobody() -> None:
    found = load(plan())
    assert found.explanation == [
        "Nothing is planned yet.",
        "No open work asks for people or a place.",
    ]
    assert (found.trades, found.places, found.waits, found.bottleneck) == ([], [], [], None)


def test_finished_plan_says_when() -> None:
    over = status("done", started=MONDAY, finished=MONDAY)
    made = plan([cover("left", status=over)], as_of=date(2026, 1, 9), crew=FABRIC)
    assert told(made)[0] == "All work is done. It was finished on 2026-01-05."
    assert load(made).path_days == 0


def test_plan_without_crew_names_what_nobody_does() -> None:
    found = load(wings(crew=()))
    assert (found.trades[0].people, found.trades[0].available_days) == (0, 0)
    assert found.explanation[-1] == "Nobody in the crew does fabric work."


def test_crew_without_a_calendar_counts_on_that_of_the_project() -> None:
    """Such a plan cannot be levelled, but it can be looked at."""
    crew = (Crew("fabric"),)
    week = Calendar("shop", week_hours=(8, 8, 0, 0, 0, 0, 0))
    assert load(wings(crew=crew, calendars=(week,))).trades[0].weeks[0].available_days == 2


# Whatever the plan


def crewed(drawn: Plan) -> Plan:
    """Return a drawn plan whose tasks share few people, one after the other by their dates."""
    tasks = tuple(
        replace(one, trade=("metal", "wood")[place % 2], people=1 + place % 2, places=("jig",))
        for place, one in enumerate(drawn.tasks)
    )
    made = replace(
        drawn,
        tasks=tasks,
        crew=(Crew("metal", 2, label="Hand 1"), Crew("wood", 1, "odd"), Crew("wood", 1, "shop")),
        places=(Place("jig"),),
    )
    dated = schedule(made)
    order = sorted(range(len(tasks)), key=lambda place: (int(dated.begin[place]), place))
    links = tuple(
        CrewLink(tasks[a].id, tasks[b].id, names=(tasks[a].trade or "",))
        for trade in (0, 1)
        for a, b in pairwise(place for place in order if place % 2 == trade)
    )
    return replace(made, crew_links=links)


@examples(60)
@given(plans())
def test_random_plan_is_told_without_a_contradiction(drawn: Plan) -> None:
    """Sums are those of the weeks, waits have a length, sentences end, the week opens."""
    try:
        current = current_of(crewed(drawn))
    except PlanError:
        reject()
    found = crew_load(current)
    for one in (*found.trades, *found.places):
        assert one.used_days == pytest.approx(sum(week.used_days for week in one.weeks), abs=0.5)
        assert all(0 <= week.over_days <= week.used_days for week in one.weeks)
        assert [week.week for week in one.weeks] == sorted(week.week for week in one.weeks)
        assert {week.week.weekday() for week in one.weeks} == {0}
    assert sum(one.share_of_path for one in found.trades) <= 1.001
    for wait in found.waits:
        assert wait.days == (wait.until - wait.since).days > 0
        assert (wait.key in current.versions["crew_link"]) == bool(
            {f"{wait.before} > {wait.after}", f"{wait.after} > {wait.before}"}
            & set(current.versions["crew_link"])
        )
    assert all(sentence.endswith(".") for sentence in found.explanation)
    go.Figure(crew_load_figure(crew_strips(current), current.plan, current.finish_on))
    for step in critical_chain(current):
        assert step.sentence.endswith(".")
    week = crew_week(current)
    for person in week.people:
        for day in person.days:
            assert sum(work.hours for work in day.works) <= day.hours + 0.05
