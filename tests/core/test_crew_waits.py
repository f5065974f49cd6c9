"""Who waits for whom, whose the critical path is, and who is the bottleneck; by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from ribstitch.planning.levelling import (
    Bottleneck,
    Gain,
    GainKind,
    bottleneck,
    crew_waits,
    path_shares,
)
from ribstitch.planning.model import Calendar, CrewLink, CrewLinkKind, Milestone, Place, Plan
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import start_of
from tests.core.making import MONDAY, SHOP, link, plan, status, task, ticks

TRADE, PLACE = CrewLinkKind.TRADE, CrewLinkKind.PLACE


def waits(made: Plan) -> dict[tuple[str, str], tuple[int, bool]]:
    """Days of each wait, and whether it is on the path; the longest first."""
    return {
        (one.link.before, one.link.after): (one.days, one.on_path)
        for one in crew_waits(schedule(made))
    }


def crewed(made: Plan, *pairs: str) -> Plan:
    ends = [pair.split(">") for pair in pairs]
    links = tuple(CrewLink(before, after, names=("fabric",)) for before, after in ends)
    return replace(made, crew_links=links)


def test_covering_waits_eleven_weeks_for_the_only_fabric_worker() -> None:
    """The left wing takes 60 working days, twelve weeks; the right one is ready after one."""
    tasks = [
        task("left", 60, trade="fabric"),
        task("ready", 5),
        task("right", 60, trade="fabric"),
    ]
    made = crewed(plan(tasks, [link("ready", "right")]), "left>right")
    (wait,) = crew_waits(schedule(made))
    assert wait.link == CrewLink("left", "right", TRADE, ("fabric",))
    assert wait.since == start_of(MONDAY + timedelta(days=7))
    assert wait.until == start_of(MONDAY + timedelta(days=7 * 12))
    assert (wait.days, wait.weeks, wait.on_path) == (77, 11, True)


def test_waits_of_a_chain_that_was_ready_at_once_add_up() -> None:
    """A, B, C of five days each: B waits one week, C two; C is on the path, D is not."""
    tasks = [task(name, 5 if name != "D" else 1) for name in "ABCD"]
    made = crewed(plan(tasks), "A>B", "B>C", "A>D")
    found = waits(made)
    assert found == {("B", "C"): (14, True), ("A", "B"): (7, True), ("A", "D"): (7, False)}
    assert next(iter(found)) == ("B", "C")


def test_a_wait_of_no_time_is_none() -> None:
    """B could not begin before A's end anyway: its own link says so."""
    made = crewed(plan([task("A", 3), task("B", 1)], [link("A", "B")]), "A>B")
    assert waits(made) == {}
    assert (
        waits(crewed(plan([task("A", 3), task("B", 1), task("C", 5)], [link("C", "B")]), "A>B"))
        == {}
    )


def test_two_that_are_waited_for_at_once_have_the_same_wait() -> None:
    tasks = [task("A", 5), task("B", 5), task("C", 2), task("D", 3)]
    made = crewed(plan(tasks), "A>D", "B>D", "C>D")
    assert {key: days for key, (days, _) in waits(made).items()} == {("A", "D"): 7, ("B", "D"): 7}


def test_a_wait_begins_on_the_next_day_on_which_the_task_could_be_worked() -> None:
    """C ends on Friday; B, who comes on Saturdays only, could begin the day after."""
    saturdays = Calendar("saturdays", week_hours=(0, 0, 0, 0, 0, 8, 0))
    tasks = [task("A", 10), task("B", 1, calendar="saturdays"), task("C", 5)]
    made = crewed(plan(tasks, [link("C", "B")], calendars=[SHOP, saturdays]), "A>B")
    (wait,) = crew_waits(schedule(made))
    assert (wait.since, wait.days) == (start_of(MONDAY + timedelta(days=5)), 7)


@pytest.mark.parametrize(
    ("relation", "lag", "since"),
    [("FS", 2, 9), ("SS", 3, 3), ("FF", 4, 10), ("SF", 8, 9), ("FS", -1, 4)],
)
def test_other_links_of_every_kind_say_since_when(relation: str, lag: float, since: int) -> None:
    """
    C is worked from Monday (day 0) to Friday (day 4), B takes one day.

    FS + 2: Monday and Tuesday pass, Wednesday is day 9. SS + 3: three days pass, Thursday.
    FF + 4: four days after Friday is Thursday, day 10, on which B is worked. SF + 8: the
    eighth day is the Wednesday of the second week, day 9. FS - 1: a day before C's end.
    """
    tasks = [task("A", 20), task("B", 1), task("C", 5)]
    made = crewed(plan(tasks, [link("C", "B", relation, lag)]), "A>B")
    (wait,) = crew_waits(schedule(made))
    assert (wait.since - start_of(MONDAY)) / 1440 == since


def test_milestones_wait_too_and_what_is_dropped_does_not() -> None:
    tasks = [task("A", 5), task("E", 9), task("M", 0, milestone=Milestone.FINISH),
             task("D", 2, status=status("dropped"))]  # fmt: skip
    assert waits(crewed(plan(tasks), "A>M", "A>D")) == {("A", "M"): (5, False)}


def test_a_crew_link_turned_round_is_a_wait_the_other_way() -> None:
    """B was begun before A, its five days are not over: now A waits for it."""
    begun = status("in_work", 5, started=MONDAY)
    made = crewed(plan([task("A", 2), task("B", 6, status=begun)]), "A>B")
    assert waits(made) == {("B", "A"): (7, True)}


def test_shares_of_the_path_are_days_of_work_by_trade_and_place() -> None:
    """Four days of metal in the jig, two of paint in the booth, two of curing: half, a quarter."""
    tasks = [
        task("A", 4, trade="metal", places=("jig",)),
        task("B", 2, trade="paint", places=("booth",)),
        task("C", 2, calendar="elapsed", places=("booth",)),
        task("D", 1, trade="wood"),
    ]
    made = plan(tasks, [link("A", "B"), link("B", "C")], places=[Place("jig"), Place("booth")])
    found = {(one.kind, one.name): (one.work, one.share) for one in path_shares(schedule(made))}
    assert found == {
        (TRADE, "metal"): (ticks(4), 1 / 2),
        (TRADE, "paint"): (ticks(2), 1 / 4),
        (None, None): (ticks(2), 1 / 4),
        (PLACE, "jig"): (ticks(4), 1 / 2),
        (PLACE, "booth"): (ticks(4), 1 / 2),
    }


def test_a_plan_without_work_to_come_has_no_shares_and_no_bottleneck() -> None:
    over = status("done", started=MONDAY, finished=MONDAY)
    for made in (plan(), plan([task("A", 1, trade="metal", status=over)])):
        assert path_shares(schedule(made)) == ()
        assert bottleneck(schedule(made)) is None


def gain(kind: GainKind, name: str, days: int, *trades: str) -> Gain:
    return Gain(kind, name, trades, None, MONDAY, days, is_proven=False)


def test_bottleneck_is_the_largest_gain_and_without_gains_the_largest_share() -> None:
    tasks = [task("A", 4, trade="metal"), task("B", 2, trade="paint", places=("booth",))]
    made = schedule(plan(tasks, [link("A", "B")], places=[Place("booth")]))
    assert bottleneck(made) == Bottleneck(TRADE, "metal", 4 / 6)
    metal = gain(GainKind.PERSON, "metal", 3, "metal")
    booth = gain(GainKind.PLACE, "booth", 5)
    assert bottleneck(made, [metal, booth]) == Bottleneck(PLACE, "booth", 2 / 6, booth)
    paint = gain(GainKind.PERSON, "paint", 3, "paint")
    assert bottleneck(made, [paint, metal]) == Bottleneck(TRADE, "metal", 4 / 6, metal)


def test_one_more_day_speaks_for_the_trade_that_has_most_of_the_path() -> None:
    tasks = [task("A", 4, trade="metal"), task("B", 2, trade="paint")]
    made = schedule(plan(tasks, [link("A", "B")]))
    day = gain(GainKind.DAY, "shop", 2, "metal", "paint")
    assert bottleneck(made, [day]) == Bottleneck(TRADE, "metal", 4 / 6, day)


def test_where_one_more_gains_nothing_nobody_of_the_crew_is_the_bottleneck() -> None:
    made = schedule(plan([task("A", 4, trade="metal")]))
    assert bottleneck(made, [gain(GainKind.PERSON, "metal", 0, "metal")]) is None
