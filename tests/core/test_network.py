"""The structure of a plan: loops are named, levels wait for nothing but earlier ones."""

from __future__ import annotations

import networkx as nx
import pytest

from ribstitch.planning.errors import CycleError
from ribstitch.planning.model import Link, Plan, Relation, SendOut, State, TaskStatus, Vendor
from ribstitch.planning.prepared import prepare
from ribstitch.planning.schedule import schedule
from tests.core.making import link, plan, task, ticks


def loop_of(made: Plan) -> CycleError:
    """Return the loop that a plan is refused for."""
    with pytest.raises(CycleError) as caught:
        schedule(made)
    return caught.value


def rotated(members: tuple[str, ...], first: str) -> list[str]:
    """Return the members of a loop from one of them on."""
    at = members.index(first)
    return [*members[at:], *members[:at]]


@pytest.mark.parametrize("relation", list(Relation))
def test_a_loop_lists_every_member_in_link_order(relation: Relation) -> None:
    tasks = [task(name) for name in "ABCDE"]
    links = [
        link("A", "B"),
        link("B", "C", relation),
        link("C", "D"),
        link("D", "B"),
        link("D", "E"),
    ]
    error = loop_of(plan(tasks, links))
    assert rotated(error.members, "B") == ["B", "C", "D"]
    chain = " -> ".join((*error.members, error.members[0]))
    assert str(error) == f"links: these wait for each other in a circle: {chain}"
    assert error.where == "links"


def test_a_loop_through_a_send_out_names_its_legs() -> None:
    item = SendOut(
        "S1", "V1", prepare=ticks(1), lead=ticks(10), accept=ticks(1), after=("B",), before=("A",)
    )
    error = loop_of(
        plan([task("A"), task("B")], [link("A", "B")], vendors=[Vendor("V1")], send_outs=[item])
    )
    assert rotated(error.members, "A") == ["A", "B", "S1/prepare", "S1/vendor_work", "S1/accept"]


def test_a_loop_through_a_dropped_task_is_still_a_loop() -> None:
    tasks = [task("A"), task("B", status=TaskStatus(State.DROPPED))]
    error = loop_of(plan(tasks, [link("A", "B"), link("B", "A")]))
    assert rotated(error.members, "A") == ["A", "B"]


def test_two_links_between_two_tasks_are_no_loop() -> None:
    result = schedule(
        plan([task("A", 3), task("B", 2)], [link("A", "B", "SS"), link("A", "B", "FF")])
    )
    assert result.finish_on.isoformat() == "2026-01-07"


def test_levels_hold_activities_that_wait_for_nothing_but_earlier_levels() -> None:
    """Compared with networkx's topological generations of the same graph."""
    names = "ABCDEF"
    ties = [("A", "B"), ("A", "C"), ("B", "D"), ("C", "D"), ("E", "F"), ("A", "F")]
    made = plan([task(name) for name in names], [Link(a, b) for a, b in ties])
    network = prepare(made).network
    graph: nx.DiGraph[str] = nx.DiGraph(ties)
    found = [{names[at] for at in network.order[level.part]} for level in network.levels]
    assert found == [set(level) for level in nx.topological_generations(graph)]


def test_a_change_of_status_needs_no_new_structure() -> None:
    tasks = [task("A", 3), task("B")]
    begun = TaskStatus(State.IN_WORK, started=plan().project.start)
    first = prepare(plan(tasks, [link("A", "B")]))
    second = prepare(plan([task("A", 3, status=begun), task("B")], [link("A", "B")]))
    assert second.network is first.network
    assert second.values.under_way.any()
    assert not first.values.under_way.any()
