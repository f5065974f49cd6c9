"""The order of the crew on random plans: it never closes a loop, whatever was begun first."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import networkx as nx
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ribstitch.planning.activities import expand
from ribstitch.planning.crew_order import crew_links_in_force
from ribstitch.planning.errors import CycleError
from ribstitch.planning.levelling import crew_loads
from ribstitch.planning.model import Crew, CrewLink, Plan, State, TaskStatus
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.making import MONDAY, link, task
from tests.core.making import plan as made_plan
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
def test_what_is_in_force_is_about_tasks_of_one_row(plan: Plan) -> None:
    """
    Links as entered; links along a row, past what has left its place; or against it, from work
    that has begun, or to what is held for who knows how long.
    """
    states = {task.id: task.status for task in plan.tasks}
    entered = set(plan.crew_links)
    rows: nx.DiGraph[str] = nx.DiGraph((one.before, one.after) for one in entered)
    for one in crew_links_in_force(plan):
        earlier, later = states[one.before], states[one.after]
        assert later.state is not State.DONE
        if one in entered or nx.has_path(rows, one.before, one.after):
            continue
        assert nx.has_path(rows, one.after, one.before)
        assert later.state is not State.DROPPED
        assert earlier.state is State.IN_WORK or is_held_for_long(later)


@examples(200)
@given(ordered_plans(falling=True))
def test_what_nobody_has_begun_keeps_its_links(plan: Plan) -> None:
    states = {task.id: task.status for task in plan.tasks}
    kept = [
        one
        for one in plan.crew_links
        if states[one.after].started is None
        and states[one.after].state is not State.DONE
        and not is_held_for_long(states[one.before])
    ]
    assert set(kept) <= set(crew_links_in_force(plan))


def is_held_for_long(status: TaskStatus) -> bool:
    return status.state is State.HELD and status.held_until is None


STATUSES = {
    "to come": TaskStatus(),
    "held": TaskStatus(State.HELD),
    "begun and held": TaskStatus(State.HELD, MONDAY, remaining=TICKS_PER_DAY),
    "in work": TaskStatus(State.IN_WORK, MONDAY, remaining=TICKS_PER_DAY),
    "dropped": TaskStatus(State.DROPPED),
    "done": TaskStatus(State.DONE, MONDAY, MONDAY),
}


@st.composite
def rows_of_one(draw: st.DrawFn) -> Plan:
    """The row of one metalworker, begun anyhow; some of it is tied by plain links, and kept."""
    count = draw(st.integers(2, 9))
    drawn = draw(st.lists(st.sampled_from(sorted(STATUSES)), min_size=count, max_size=count))
    tasks = [
        task(f"T{number}", draw(st.integers(1, 3)), trade="metal", status=STATUSES[state])
        for number, state in enumerate(drawn)
    ]
    pairs = [(f"T{number}", f"T{number + 1}") for number in range(count - 1)]
    plain = [
        pair
        for at, pair in enumerate(pairs)
        if draw(st.integers(0, 3)) == 0
        and (drawn[at] == "done" or drawn[at + 1] not in {"begun and held", "in work", "done"})
    ]
    return made_plan(
        tasks,
        [link(*pair) for pair in plain],
        as_of=MONDAY + timedelta(days=7),
        crew_links=[CrewLink(*pair, names=("metal",)) for pair in pairs if pair not in plain],
        crew=[Crew("metal", 1, "shop")],
    )


@examples(300)
@given(rows_of_one())
def test_one_pair_of_hands_is_never_asked_for_twice_whatever_the_shop_begins(plan: Plan) -> None:
    """One piece of work at a time; with one, at most, that is held for who knows how long."""
    assume(sum(is_held_for_long(one.status) for one in plan.tasks) <= 1)
    found = schedule(plan)
    assert [one for one in crew_loads(found) if one.over] == []
