"""The order of the crew on random plans: it never closes a loop, whatever was begun first."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.activities import expand
from ribstitch.planning.crew_order import crew_links_in_force
from ribstitch.planning.errors import CycleError
from ribstitch.planning.model import CrewLink, Plan, State, TaskStatus
from ribstitch.planning.schedule import schedule
from tests.property.settings import examples
from tests.property.strategies import plans


@st.composite
def ordered_plans(draw: st.DrawFn, *, falling: bool = False) -> Plan:
    """
    Draw a plan with crew links.

    They go from earlier to later tasks, as all links of such plans do, so that all of them
    together close no loop; with `falling`, some go back.
    """
    made = draw(plans(min_tasks=2, started=True))
    count = len(made.tasks)
    pairs = draw(
        st.lists(
            st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(
                lambda pair: pair[0] != pair[1]
            ),
            unique=True,
            max_size=12,
        )
    )
    if not falling:
        pairs = list(dict.fromkeys((min(pair), max(pair)) for pair in pairs))
    links = tuple(CrewLink(f"T{before}", f"T{after}", names=("metal",)) for before, after in pairs)
    return replace(made, crew_links=links)


def begun_backward(plan: Plan) -> Plan:
    """Return a plan whose later half was begun while nothing of the first half was."""
    middle = len(plan.tasks) // 2
    working = TaskStatus(State.IN_WORK, plan.project.start)
    tasks = tuple(
        replace(task, status=TaskStatus() if number < middle else working)
        for number, task in enumerate(plan.tasks)
    )
    as_of = max(plan.project.as_of, plan.project.start)
    return replace(plan, tasks=tasks, project=replace(plan.project, as_of=as_of))


def has_loop(plan: Plan) -> bool:
    """Return whether the activities of a plan wait in a circle."""
    graph: nx.DiGraph[str] = nx.DiGraph((one.before, one.after) for one in expand(plan).links)
    return not nx.is_directed_acyclic_graph(graph)


@examples(200)
@given(ordered_plans())
def test_no_loop_is_closed_and_the_plan_is_scheduled(plan: Plan) -> None:
    assert not has_loop(plan)
    result = schedule(plan)
    assert result.finish_on >= schedule(replace(plan, crew_links=())).finish_on


@examples(200)
@given(ordered_plans())
def test_a_plan_begun_against_its_order_is_scheduled_all_the_same(plan: Plan) -> None:
    assert isinstance(schedule(begun_backward(plan)).finish_on, date)


@examples(200)
@given(ordered_plans(falling=True))
def test_a_loop_is_there_in_the_links_as_entered(plan: Plan) -> None:
    """What is refused has a circle among plain links and crew links that nobody has overtaken."""
    if not has_loop(plan):
        schedule(plan)
        return
    with pytest.raises(CycleError) as caught:
        schedule(plan)
    entered = {(one.before, one.after) for one in plan.crew_links}
    begun = {
        task.id
        for task in plan.tasks
        if task.status.started is not None or task.status.state is State.DONE
    }
    assert caught.value.by_crew
    assert set(caught.value.by_crew) <= {pair for pair in entered if pair[1] not in begun}


@examples(200)
@given(ordered_plans(falling=True))
def test_what_is_in_force_stands_or_keeps_the_hands_that_are_in_use(plan: Plan) -> None:
    """
    A link as entered, whose later task has not begun; or one from work that has begun to work
    that would have had the same hands before, as the links were entered.
    """
    states = {task.id: task.status for task in plan.tasks}
    entered = set(plan.crew_links)
    rows: nx.DiGraph[str] = nx.DiGraph((one.before, one.after) for one in entered)
    for one in crew_links_in_force(plan):
        later = states[one.after]
        assert later.started is None
        assert later.state is not State.DONE
        if one not in entered:
            assert states[one.before].state is State.IN_WORK
            assert later.state is not State.DROPPED
            assert nx.has_path(rows, one.after, one.before)


@examples(200)
@given(ordered_plans(falling=True))
def test_what_nobody_has_begun_keeps_its_links(plan: Plan) -> None:
    begun = {
        task.id
        for task in plan.tasks
        if task.status.started is not None or task.status.state is State.DONE
    }
    kept = [one for one in plan.crew_links if one.after not in begun]
    assert set(kept) <= set(crew_links_in_force(plan))
