"""Which crew links still say something, and what they do to dates: small plans by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest

from ribstitch.planning.activities import expand
from ribstitch.planning.crew_order import crew_links_in_force
from ribstitch.planning.errors import CycleError
from ribstitch.planning.model import (
    Crew,
    CrewLink,
    CrewLinkKind,
    Place,
    Plan,
    SendOut,
    SendOutStatus,
    Source,
    Task,
    Vendor,
)
from ribstitch.planning.schedule import schedule
from tests.core.making import MONDAY, link, plan, shown, status, task, ticks

AS_OF = date(2026, 1, 12)
"""A Monday, a week after the start."""
WORKING = status("in_work", 2, started=MONDAY)
HELD = status("held", 2, started=MONDAY)
HELD_BEFORE_IT_BEGAN = status("held")
DONE = status("done", started=MONDAY, finished=date(2026, 1, 7))
HELD_UNTIL_WEDNESDAY = status("held", held_until=date(2026, 1, 14))
DROPPED = status("dropped")
DROPPED_ON_THE_WAY = status("dropped", started=MONDAY)
TO_COME = status("not_started")


def crew(before: str, after: str) -> CrewLink:
    """Return a crew link about one metalworker."""
    return CrewLink(before, after, CrewLinkKind.TRADE, ("metal",))


def with_order(
    tasks: Sequence[Task], crew_links: Sequence[CrewLink], links: Sequence[Any] = (), **fields: Any
) -> Plan:
    """Return a plan as of the second week."""
    return plan(tasks, links, as_of=AS_OF, crew_links=crew_links, **fields)


def rejected(
    *,
    after: tuple[str, ...] = (),
    before: tuple[str, ...] = (),
    again_after: tuple[str, ...] = (),
    again_before: tuple[str, ...] = (),
) -> dict[str, Any]:
    """Return a vendor, an item that was rejected, and its second trip."""
    turned_down = SendOutStatus(rejected=MONDAY)
    first = SendOut("S1", "V1", lead=ticks(3), after=after, before=before, status=turned_down)
    again = SendOut(
        "S1/2", "V1", lead=ticks(3), trip_of="S1", after=again_after, before=again_before
    )
    return {"vendors": [Vendor("V1")], "send_outs": [first, again]}


def in_force(made: Plan) -> list[str]:
    """Return the order that holds, as "A > B"."""
    return [f"{one.before} > {one.after}" for one in crew_links_in_force(made)]


@pytest.mark.parametrize(
    ("before", "after", "found"),
    [
        (TO_COME, TO_COME, ["A > B"]),
        (WORKING, TO_COME, ["A > B"]),
        (HELD, TO_COME, ["B > A"]),
        (HELD_BEFORE_IT_BEGAN, TO_COME, ["B > A"]),
        (HELD_UNTIL_WEDNESDAY, TO_COME, ["A > B"]),
        (DONE, TO_COME, ["A > B"]),
        (DROPPED, TO_COME, ["A > B"]),
        (TO_COME, HELD_BEFORE_IT_BEGAN, ["A > B"]),
        (TO_COME, DROPPED, ["A > B"]),
        (TO_COME, WORKING, ["B > A"]),
        (HELD_BEFORE_IT_BEGAN, WORKING, ["B > A"]),
        (DROPPED, WORKING, []),
        (WORKING, WORKING, []),
        (HELD, WORKING, ["B > A"]),
        (DONE, WORKING, []),
        (TO_COME, HELD, ["A > B"]),
        (TO_COME, DROPPED_ON_THE_WAY, ["A > B"]),
        (TO_COME, DONE, []),
        (WORKING, DONE, []),
        (DONE, DONE, []),
    ],
)
def test_one_link_by_the_states_of_its_tasks(before: Any, after: Any, found: list[str]) -> None:
    """It turns round where hands are in use, and where the earlier is held for long."""
    tasks = [task("A", 3, status=before), task("B", 3, status=after)]
    assert in_force(with_order(tasks, [crew("A", "B")])) == found


def test_a_link_that_turns_round_keeps_what_it_is_about() -> None:
    made = with_order(
        [task("A"), task("B", 3, status=WORKING)],
        [CrewLink("A", "B", CrewLinkKind.TRADE, ("metal", "paint"), 2)],
    )
    assert crew_links_in_force(made) == (
        CrewLink("B", "A", CrewLinkKind.TRADE, ("metal", "paint"), 2),
    )


def test_waiting_for_people_moves_a_date_like_a_finish_start_link() -> None:
    """Four days from Monday 12 January, and then two: Friday 16 and Monday 19 January."""
    made = with_order([task("A", 4), task("B", 2)], [crew("A", "B")])
    result = schedule(made)
    assert shown(result, "B") == (date(2026, 1, 16), date(2026, 1, 19))
    assert shown(schedule(replace(made, crew_links=())), "B") == (AS_OF, date(2026, 1, 13))


def test_the_task_that_was_overtaken_waits_for_what_was_begun() -> None:
    """B has two days left, Monday and Tuesday; then A takes its four from Wednesday on."""
    made = with_order([task("A", 4), task("B", 3, status=WORKING)], [crew("A", "B")])
    result = schedule(made)
    assert shown(result, "B")[1] == date(2026, 1, 13)
    assert shown(result, "A") == (date(2026, 1, 14), date(2026, 1, 19))


def test_what_was_begun_at_once_goes_on_at_once() -> None:
    made = with_order(
        [task("A", 4, status=WORKING), task("B", 3, status=WORKING)], [crew("A", "B")]
    )
    result = schedule(made)
    assert shown(result, "A")[1] == shown(result, "B")[1] == date(2026, 1, 13)


def test_what_is_held_keeps_nobody_waiting() -> None:
    """The people of B, which is held, are free for A."""
    made = with_order([task("A", 1), task("B", 3, status=HELD)], [crew("A", "B")])
    assert shown(schedule(made), "A") == (AS_OF, AS_OF)


@pytest.mark.parametrize(
    "between",
    [
        {"links": [link("A", "B")]},
        {"links": [link("A", "X"), link("X", "B")]},
        {"links": [link("A", "B", "SS")]},
        {
            "vendors": [Vendor("V1")],
            "send_outs": [SendOut("S1", "V1", lead=ticks(3), after=("A",), before=("B",))],
        },
        {
            "vendors": [Vendor("V1")],
            "send_outs": [
                SendOut("S1", "V1", source=Source.IN_HAND, after=("A",), before=("B",)),
            ],
        },
        rejected(after=("A",), again_before=("B",)),
        rejected(before=("B",), again_after=("A",)),
        {"links": [link("A", "X")], "crew_links": [crew("X", "Y"), crew("Y", "B2")],
         "also": [link("B2", "B")]},
    ],
    ids=["link", "two links", "start-start", "send-out", "in hand",
         "out on the first trip", "back from the second", "other crew"],
)  # fmt: skip
def test_what_has_to_come_first_anyway_is_not_turned_round(between: dict[str, Any]) -> None:
    """B was begun although A has to come first: turned round, the two would wait in a circle."""
    others = dict(between)
    links = [*others.pop("links", ()), *others.pop("also", ())]
    order = [crew("A", "B"), *others.pop("crew_links", ())]
    tasks = [task("A"), task("B", 3, status=WORKING), task("X"), task("Y"), task("B2")]
    made = with_order(tasks, order, links, **others)
    assert in_force(made) == [f"{one.before} > {one.after}" for one in order[1:]]
    assert schedule(made).finish_on > AS_OF


def test_without_that_reason_the_same_link_turns_round() -> None:
    tasks = [task("A"), task("B", 3, status=WORKING), task("X")]
    assert in_force(with_order(tasks, [crew("A", "B")], [link("B", "X")])) == ["B > A"]


def test_of_two_that_would_close_a_loop_together_the_first_turns_round() -> None:
    """
    B before A and D before C, but D waits for A and B for C (both begun out of sequence).

    B > A > D > C > B: either can turn round, not both.
    """
    tasks = [
        task("A"), task("B", 3, status=WORKING), task("C"), task("D", 3, status=WORKING),
    ]  # fmt: skip
    order = [crew("A", "B"), crew("C", "D")]
    ties = [link("A", "D"), link("C", "B")]
    made = with_order(tasks, order, ties)
    assert in_force(made) == ["B > A"]
    assert in_force(with_order(tasks, order[::-1], ties)) == ["D > C"]
    assert schedule(made).finish_on > AS_OF
    assert in_force(with_order(tasks, order)) == ["B > A", "D > C"]


def test_a_whole_row_gives_way_to_its_last_task() -> None:
    """A > B > C with C begun: C has the one metalworker, so A comes after it, and B after A."""
    tasks = [task("A", 1), task("B", 1), task("C", 3, status=WORKING)]
    made = with_order(tasks, [crew("A", "B"), crew("B", "C")])
    assert in_force(made) == ["A > B", "C > B", "C > A"]
    result = schedule(made)
    assert [shown(result, name)[1].day for name in "CAB"] == [13, 14, 15]


def test_a_link_that_is_there_twice_over_holds_once() -> None:
    tasks = [task("A", 1), task("B", 1), task("C", 3, status=WORKING)]
    made = with_order(tasks, [crew("A", "B"), crew("B", "C"), crew("A", "C")])
    assert in_force(made) == ["A > B", "C > B", "C > A"]


@pytest.mark.parametrize(
    ("first", "found"),
    [
        (crew("A", "B"), ["A > B", "C > B", "C > A"]),
        (CrewLink("A", "B", names=("paint",)), ["A > B", "C > B"]),
        (CrewLink("A", "B", names=("paint", "metal")), ["A > B", "C > B", "C > A"]),
        (CrewLink("A", "B", CrewLinkKind.PLACE, ("metal",)), ["A > B", "C > B"]),
    ],
    ids=["same trade", "another trade", "one of two trades", "a place"],
)
def test_only_the_same_hands_are_followed_back(first: CrewLink, found: list[str]) -> None:
    tasks = [task("A"), task("B"), task("C", 3, status=WORKING)]
    assert in_force(with_order(tasks, [first, crew("B", "C")])) == found


def test_no_more_are_followed_back_than_the_task_has_taken() -> None:
    """Two metalworkers come to X, from A and from B; C has one of them: one of the two waits."""
    tasks = [task("A"), task("B"), task("X", people=2), task("C", 3, status=WORKING)]
    order = [crew("A", "X"), crew("B", "X"), crew("X", "C")]
    assert in_force(with_order(tasks, order)) == ["A > X", "B > X", "C > X", "C > A"]
    both = [*order[:2], CrewLink("X", "C", names=("metal",), units=2)]
    assert in_force(with_order(tasks, both)) == ["A > X", "B > X", "C > X", "C > B", "C > A"]


def test_hands_that_are_free_by_now_are_nobodys_that_waits() -> None:
    """Y is done: its metalworker is the one C has, and A keeps the other."""
    tasks = [
        task("Y", status=DONE), task("A"), task("X", people=2), task("C", 3, status=WORKING),
    ]  # fmt: skip
    order = [crew("Y", "X"), crew("A", "X"), crew("X", "C")]
    assert in_force(with_order(tasks, order)) == ["Y > X", "A > X", "C > X"]


def test_a_dropped_task_hands_on_and_waits_for_nobody() -> None:
    tasks = [task("A"), task("B", status=DROPPED), task("C", 3, status=WORKING)]
    assert in_force(with_order(tasks, [crew("A", "B"), crew("B", "C")])) == ["A > B", "C > A"]


def test_a_row_of_thousands_is_followed_back() -> None:
    row = [f"R{number}" for number in range(3000)]
    tasks = [*(task(name) for name in row), task("C", 3, status=WORKING)]
    order = [crew(*pair) for pair in pairwise([*row, "C"])]
    assert in_force(with_order(tasks, order))[-1] == "C > R0"


def test_a_row_begun_in_the_middle_waits_on_both_sides() -> None:
    """A > B > C with B begun: A waits for B now, and C for both, as before."""
    tasks = [task("A", 1), task("B", 3, status=WORKING), task("C", 1)]
    made = with_order(tasks, [crew("A", "B"), crew("B", "C")])
    assert in_force(made) == ["B > A", "B > C", "A > C"]
    assert [shown(schedule(made), name)[1].day for name in "BAC"] == [13, 14, 15]


def test_crew_links_come_last_among_the_links_of_an_expansion() -> None:
    tasks = [task("A"), task("B", 3, status=WORKING), task("C")]
    made = with_order(
        tasks,
        [crew("A", "B"), crew("B", "C")],
        [link("A", "C")],
        vendors=[Vendor("V1")],
        send_outs=[SendOut("S1", "V1", ship_out=ticks(1), lead=ticks(3), before=("C",))],
    )
    expansion = expand(made)
    found = {place: expansion.crew_link(place) for place in range(len(expansion.links))}
    ties = [(one.before, one.after) for one in expansion.links]
    assert ties[-2:] == [("B", "A"), ("B", "C")]
    assert list(found.values()) == [None] * (len(ties) - 2) + [crew("B", "A"), crew("B", "C")]
    assert expansion.crew_links == (crew("B", "A"), crew("B", "C"))


def test_a_loop_names_its_chain_and_what_the_crew_adds_to_it() -> None:
    made = with_order([task("A"), task("B"), task("C")], [crew("C", "A")], [
        link("A", "B"), link("B", "C"),
    ])  # fmt: skip
    with pytest.raises(CycleError) as caught:
        schedule(made)
    assert set(caught.value.members) == {"A", "B", "C"}
    assert caught.value.by_crew == (("C", "A"),)
    assert str(caught.value).endswith("(by the order of the crew, A waits for C)")


def test_a_loop_of_plain_links_says_nothing_of_the_crew() -> None:
    made = with_order([task("A"), task("B")], [crew("A", "B")], [link("A", "B"), link("B", "A")])
    with pytest.raises(CycleError) as caught:
        schedule(made)
    assert caught.value.by_crew == ()
    assert "crew" not in str(caught.value)


def test_a_loop_ends_where_the_shop_has_begun() -> None:
    """B was begun, so that it waits for A no longer; that A waits for it, the plan says."""
    tasks = [task("A"), task("B", 3, status=WORKING)]
    made = with_order(tasks, [crew("A", "B")], [link("B", "A")])
    assert in_force(made) == []
    assert schedule(made).finish_on == date(2026, 1, 14)


METALWORKER = {"crew": [Crew("metal", 1, "shop")]}


def metal(name: str, days: float = 1, **fields: Any) -> Task:
    return task(name, days, trade="metal", **fields)


def test_what_is_done_before_its_turn_leaves_no_gap() -> None:
    """A > B > C with B done: the one metalworker still does A before C."""
    tasks = [task("A", 2), task("B", status=DONE), task("C", 1)]
    made = with_order(tasks, [crew("A", "B"), crew("B", "C")])
    assert in_force(made) == ["B > C", "A > C"]
    assert [shown(schedule(made), name)[1].day for name in "AC"] == [13, 14]


def test_a_gap_is_closed_where_a_plain_link_says_the_same_as_the_order() -> None:
    """A > X crew, X > Y plain, all metal, X done: Y has its hands from A."""
    tasks = [metal("A", 2), metal("X", status=DONE), metal("Y")]
    assert in_force(with_order(tasks, [crew("A", "X")], [link("X", "Y")])) == ["A > Y"]
    tasks[2] = task("Y", trade="wood")
    assert in_force(with_order(tasks, [crew("A", "X")], [link("X", "Y")])) == []


def test_a_row_along_a_plain_link_gives_way_as_a_whole() -> None:
    """A > B plain, B > C crew, C begun: not only B waits for C, A does too."""
    tasks = [metal("A"), metal("B"), metal("C", 3, status=WORKING)]
    assert in_force(with_order(tasks, [crew("B", "C")], [link("A", "B")])) == ["C > B", "C > A"]


def test_each_hand_goes_one_way_past_what_is_done() -> None:
    """X, for two, had A's metalworker and one who was free: that one is C's, D waits for A."""
    tasks = [metal("A", 2), metal("X", people=2, status=DONE), metal("C"), metal("D")]
    order = [crew("A", "X"), crew("X", "C"), crew("X", "D")]
    assert in_force(with_order(tasks, order)) == ["X > C", "X > D", "A > D"]
    tasks[1] = metal("X", 1, status=DONE)
    assert in_force(with_order(tasks, order)) == ["X > C", "X > D", "A > C"]


@pytest.mark.parametrize(
    ("people", "found", "ends"), [(1, ["A > B"], [13, 15]), (2, [], [13, 13]), (0, [], [13, 13])]
)
def test_of_two_that_have_begun_one_waits_where_one_does_both(
    people: int, found: list[str], ends: list[int]
) -> None:
    """Each has two days left from Monday 12 January; with nobody there, nothing is known."""
    tasks = [metal("A", 4, status=WORKING), metal("B", 4, status=WORKING)]
    made = with_order(tasks, [crew("A", "B")], crew=[Crew("metal", people, "shop")])
    assert in_force(made) == found
    assert [shown(schedule(made), name)[1].day for name in "AB"] == ends


def test_two_that_have_begun_in_one_bay_follow_each_other() -> None:
    tasks = [task(name, 4, status=WORKING, places=("bay",)) for name in "AB"]
    order = [CrewLink("A", "B", CrewLinkKind.PLACE, ("bay",))]
    assert in_force(with_order(tasks, order, places=[Place("bay", 1)])) == ["A > B"]
    assert in_force(with_order(tasks, order, places=[Place("bay", 2)])) == []


@pytest.mark.parametrize("between", [TO_COME, DONE], ids=["to come", "done"])
def test_what_has_begun_waits_for_what_has_begun_further_up_the_row(between: Any) -> None:
    """A > B > C with A and C begun: one metalworker has both to end."""
    tasks = [metal("A", 4, status=WORKING), metal("B", status=between),
             metal("C", 4, status=WORKING)]  # fmt: skip
    made = with_order(tasks, [crew("A", "B"), crew("B", "C")], **METALWORKER)
    assert "A > C" in in_force(made)
    assert shown(schedule(made), "C")[1].day == 15


def test_what_both_wait_for_anyway_does_not_turn_a_pair_that_has_begun_into_a_loop() -> None:
    """Both begun out of sequence: by the plain link A's rest waits for B's."""
    tasks = [metal("A", 4, status=WORKING), metal("B", 4, status=WORKING)]
    made = with_order(tasks, [crew("A", "B")], [link("B", "A")], **METALWORKER)
    assert in_force(made) == []
    assert schedule(made).finish_on == date(2026, 1, 15)


def test_what_is_held_lets_by_what_is_ready() -> None:
    """A is held, nobody knows until when: B goes first, then A, then C, one at a time."""
    tasks = [metal("A", 2, status=HELD_BEFORE_IT_BEGAN), metal("B"), metal("C")]
    made = with_order(tasks, [crew("A", "B"), crew("B", "C")], **METALWORKER)
    assert in_force(made) == ["B > A", "B > C", "A > C"]
    assert [shown(schedule(made), name)[1].day for name in "BAC"] == [12, 14, 15]


def test_what_is_ready_goes_past_all_that_is_held_and_not_past_what_is_before() -> None:
    """G > H > A > B with H and A held: B goes after G and before both."""
    tasks = [metal("G"), *(metal(name, status=HELD_BEFORE_IT_BEGAN) for name in "HA"), metal("B")]
    order = [crew("G", "H"), crew("H", "A"), crew("A", "B")]
    result = schedule(with_order(tasks, order, **METALWORKER))
    assert [shown(result, name)[1].day for name in "GBHA"] == [12, 13, 14, 15]


@pytest.mark.parametrize(
    "reason",
    [
        {"links": [link("X", "B")]},
        {"links": [link("A", "X"), link("X", "B")]},
        {"vendors": [Vendor("V1")], "send_outs": [SendOut("S1", "V1", lead=1, before=("B",))]},
        {"after": {"not_before": AS_OF + timedelta(days=1)}},
        {"after": {"status": HELD_BEFORE_IT_BEGAN}},
        {"before": {"status": HELD_UNTIL_WEDNESDAY}},
    ],
    ids=["other work", "itself", "an item", "its date", "held too", "a known date"],
)
def test_what_is_not_ready_or_need_not_wait_long_keeps_its_turn(reason: dict[str, Any]) -> None:
    others = dict(reason)
    links, first, later = (others.pop(key, {}) for key in ("links", "before", "after"))
    tasks = [metal("A", **({"status": HELD_BEFORE_IT_BEGAN} | first)), metal("B", **later),
             task("X")]  # fmt: skip
    assert in_force(with_order(tasks, [crew("A", "B")], links, **others)) == ["A > B"]
