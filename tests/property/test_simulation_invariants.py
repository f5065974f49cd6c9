"""What must hold of every simulation, whatever the numbers."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import TypeVar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.model import LagOn, Link, Plan, Relation, State, Task, TaskStatus, Zone
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.uncertainty import LEVELS, Simulation, compare_runs, simulate
from ribstitch.planning.uncertainty.luck import Luck
from ribstitch.planning.uncertainty.sources import model_of
from tests.core.making_uncertain import follow, plain_days, ranged
from tests.property.settings import examples
from tests.property.simulation_oracle import walk_through
from tests.property.strategies import plans
from tests.property.uncertain_strategies import uncertain_plans

Thing = TypeVar("Thing")
RUNS = 40


def by_id(result: Simulation) -> dict[str, tuple[list[int], float]]:
    """Return percentiles and criticality of every activity."""
    return {
        name: (result.percentile_finishes[number].tolist(), float(result.criticality[number]))
        for name, number in result.prepared.number.items()
    }


def settled(result: Schedule) -> list[str]:
    """Return the activities that are over or will not be done."""
    return [one.id for one in result.activities if one.is_done or one.dropped]


@examples(50)
@given(plans(max_tasks=25, max_send_outs=0))
def test_plan_without_uncertainty_gives_the_schedule_in_every_run(drawn: Plan) -> None:
    """Nothing has a range: shared factors and the seed have nothing to act on."""
    planned = schedule(drawn)
    result = simulate(drawn, runs=5, seed=3)
    assert (result.finish == planned.project_finish).all()
    for number, one in enumerate(planned.activities):
        if not one.dropped:
            assert (result.percentile_finishes[number] == planned.finish[number]).all(), one.id
    assert result.finish_at(50) == planned.finish_on


@examples(40)
@given(
    uncertain_plans(max_tasks=15, max_send_outs=2),
    st.randoms(use_true_random=False),
    st.integers(1, 1000),
)
def test_another_order_of_entry_changes_nothing(drawn: Plan, chance: Random, seed: int) -> None:
    def shuffled(things: tuple[Thing, ...]) -> tuple[Thing, ...]:
        return tuple(chance.sample(things, len(things)))

    turned = replace(
        drawn,
        calendars=shuffled(drawn.calendars),
        zones=shuffled(drawn.zones),
        tasks=shuffled(drawn.tasks),
        links=shuffled(drawn.links),
        vendors=shuffled(drawn.vendors),
        send_outs=shuffled(drawn.send_outs),
        risks=shuffled(drawn.risks),
    )
    first, second = simulate(drawn, runs=RUNS, seed=seed), simulate(turned, runs=RUNS, seed=seed)
    assert (first.finish == second.finish).all()
    assert by_id(first) == by_id(second)
    assert first.vendor_criticality == second.vendor_criticality


@examples(40)
@given(uncertain_plans(max_tasks=15, max_send_outs=2), st.integers(0, 15))
def test_a_task_more_that_nothing_waits_for_changes_nobodys_luck(drawn: Plan, place: int) -> None:
    """
    It may become the last, but all others finish as they did, run by run.

    So too if dropped work with a lag after it makes the runs count from an earlier day.
    """
    other = replace(ranged("more", 1, 3, 900), calendar="elapsed", zone="nose", trade="metal")
    dropped = Task("dropped", 1440, status=TaskStatus(State.DROPPED))
    tasks = (*drawn.tasks[:place], other, dropped, *drawn.tasks[place:])
    links = (*drawn.links, Link("dropped", "more", lag=1440))
    first = simulate(drawn, runs=RUNS)
    second = simulate(replace(drawn, tasks=tasks, links=links), runs=RUNS)
    alone = by_id(second)
    for name, (percentiles, _) in by_id(first).items():
        if not first.planned.activities[first.prepared.number[name]].dropped:
            assert alone[name][0] == percentiles, name
    assert (second.finish >= first.finish).all()


@examples(30)
@given(uncertain_plans(max_tasks=12, max_send_outs=2), st.integers(1, 10**9))
def test_same_seed_gives_the_same_runs_and_a_longer_draw_begins_with_the_shorter(
    drawn: Plan, seed: int
) -> None:
    first, again = simulate(drawn, runs=RUNS, seed=seed), simulate(drawn, runs=RUNS, seed=seed)
    assert (first.finish == again.finish).all()
    assert by_id(first) == by_id(again)
    longer = simulate(drawn, runs=3 * RUNS + 1, seed=seed)
    assert (longer.finish[:RUNS] == first.finish).all()


def skewed_chain() -> Plan:
    """Return three tasks, two of them side by side."""
    tasks = [ranged("A", 5, 10, 40), ranged("B", 5, 10, 40), ranged("C", 2, 8, 30)]
    return plain_days(tasks, follow("A-C"))


def test_first_ten_thousand_runs_do_not_depend_on_how_many_follow() -> None:
    made = skewed_chain()
    short, long = simulate(made, runs=10_000), simulate(made, runs=20_777)
    assert (long.finish[:10_000] == short.finish).all()
    assert (long.finish[:777] != long.finish[20_000:]).mean() > 0.9


def test_another_seed_gives_other_runs() -> None:
    made = skewed_chain()
    first, second = simulate(made, runs=500, seed=1), simulate(made, runs=500, seed=2)
    assert (first.finish != second.finish).mean() > 0.9


def test_tasks_alike_in_all_but_their_name_are_drawn_apart() -> None:
    """Independent draws: the correlation of 20,000 pairs is within four standard errors of 0."""
    made = plain_days([ranged("A", 5, 10, 40), ranged("B", 5, 10, 40)])
    planned = schedule(made)
    model = model_of(planned)
    runs = walk_through(planned, model, Luck(model.factors, 1, 20_000, model.unit))
    correlation = np.corrcoef(runs.works["A"], runs.works["B"])[0, 1]
    assert abs(correlation) < 4 / np.sqrt(20_000)


@examples(40)
@given(uncertain_plans(max_tasks=15, max_send_outs=2), st.integers(1, 1000))
def test_percentiles_and_shares_are_those_of_the_runs(drawn: Plan, seed: int) -> None:
    """Each percentile is one of the runs' finishes, found by sorting; shares by counting."""
    result = simulate(drawn, runs=RUNS, seed=seed)
    model = model_of(result.planned)
    runs = walk_through(result.planned, model, Luck(model.factors, seed, RUNS, model.unit))
    assert (result.finish == runs.project_finish).all()
    for name, finish in runs.finishes.items():
        number = result.prepared.number[name]
        if result.planned.activities[number].dropped:
            continue
        places = [next(n for n in range(RUNS) if (n + 1) * 100 >= p * RUNS) for p in LEVELS]
        assert result.percentile_finishes[number].tolist() == np.sort(finish)[places].tolist()
        assert result.criticality[number] == runs.critical[name].mean()


@examples(40)
@given(uncertain_plans(max_tasks=15, max_send_outs=2), st.integers(1, 1000))
def test_percentiles_and_shares_are_in_order(drawn: Plan, seed: int) -> None:
    """What is over or dropped is critical in no run; the rest in some share of them."""
    result = simulate(drawn, runs=RUNS, seed=seed)
    assert (np.diff(result.percentile_finishes, axis=1) >= 0).all()
    assert ((result.criticality >= 0) & (result.criticality <= 1)).all()
    for name in settled(result.planned):
        assert result.criticality[result.prepared.number[name]] == 0, name
    for number, one in enumerate(result.planned.activities):
        if one.is_done:
            fixed = (result.percentile_finishes[number] == result.planned.finish[number]).all()
            assert fixed, one.id
    spread = result.finish_spread
    assert spread.p10 <= spread.p50 <= spread.p80 <= spread.p90
    assert [result.finish_at(level) for level in LEVELS] == [
        spread.p10, spread.p50, spread.p80, spread.p90,
    ]  # fmt: skip


def on_elapsed_time(drawn: Plan) -> Plan:
    """Return the tasks of a plan on elapsed time, as if nothing had begun; no deadlines."""
    tasks = tuple(
        Task(one.id, one.duration or 1440, calendar="elapsed", duration_range=one.duration_range)
        for one in drawn.tasks
    )
    links = tuple(replace(one, lag_on=LagOn.ELAPSED, lag=abs(one.lag)) for one in drawn.links)
    project = replace(drawn.project, as_of=drawn.project.start)
    return replace(drawn, tasks=tasks, links=links, project=project, send_outs=(), risks=())


@examples(40)
@given(uncertain_plans(min_tasks=3, max_tasks=14, max_send_outs=0), st.integers(1, 1000))
def test_on_one_calendar_what_has_no_float_in_a_run_is_on_the_chain_and_nothing_else(
    drawn: Plan, seed: int
) -> None:
    """Elapsed time, finish-start links: floats by `schedule` with the works of the run."""
    made = on_elapsed_time(drawn)
    links = tuple(replace(one, relation=Relation.FINISH_START) for one in made.links)
    made = replace(made, links=links)
    planned = schedule(made)
    model = model_of(planned)
    runs = walk_through(planned, model, Luck(model.factors, seed, 4, model.unit))
    for run in range(4):
        works = runs.works_of(run)
        delays = {task.id: works[task.id] - task.duration for task in made.tasks}
        again = schedule(made, delays=delays)
        no_float = {
            one.id for number, one in enumerate(again.activities) if again.total_float[number] == 0
        }
        assert runs.critical_in(run) == no_float


@examples(40)
@given(uncertain_plans(max_tasks=14, max_send_outs=0, risks=False), st.data())
def test_more_work_on_finish_start_links_brings_no_run_and_no_percentile_in(
    drawn: Plan, data: st.DataObject
) -> None:
    """
    Low, likely and high all times a whole number, and later by as much: same luck.

    Every run ends no earlier, so P80 does not come in. (A higher high alone moves the mode
    and so may shorten the lucky end. Finished work that was estimated longer would tell of
    a better pace, so the task has not begun.)
    """
    links = tuple(replace(one, relation=Relation.FINISH_START) for one in drawn.links)
    made = replace(drawn, links=links)
    place = data.draw(st.integers(0, len(made.tasks) - 1))
    times, plus = data.draw(st.integers(1, 3)), 180 * data.draw(st.integers(0, 40))
    task = made.tasks[place]
    if task.duration == 0 or task.status.started or task.status.finished:
        return
    longer = replace(task, duration=times * task.duration + plus)
    if task.duration_range:
        low, likely, high = (times * one + plus for one in task.duration_range)
        longer = replace(longer, duration_range=(low, likely, high))
    tasks = (*made.tasks[:place], longer, *made.tasks[place + 1 :])
    first = simulate(made, runs=RUNS)
    second = simulate(replace(made, tasks=tasks), runs=RUNS)
    assert (second.finish >= first.finish).all()
    assert (second.percentile_finishes >= first.percentile_finishes).all()
    assert second.finish_at(80) >= first.finish_at(80)
    assert compare_runs(first, second).mean_days >= 0


@examples(40)
@given(uncertain_plans(max_tasks=14, max_send_outs=2), st.data())
def test_a_finish_start_link_more_brings_no_run_in(drawn: Plan, data: st.DataObject) -> None:
    """The draws of the two are the same, so it holds run by run."""
    after = data.draw(st.integers(0, len(drawn.tasks) - 1))
    before = data.draw(st.integers(-1, after - 1))
    if before < 0:
        return
    # a task before the one that opens a zone hides no work: a link would change what is drawn
    made = replace(drawn, zones=tuple(Zone(one.id) for one in drawn.zones))
    more = replace(made, links=(*made.links, Link(f"T{before}", f"T{after}")))
    first, second = simulate(made, runs=RUNS), simulate(more, runs=RUNS)
    assert (second.finish >= first.finish).all()


@examples(30)
@given(uncertain_plans(max_tasks=12, max_send_outs=0))
def test_once_all_is_done_nothing_is_uncertain(drawn: Plan) -> None:
    tasks = tuple(
        replace(
            one,
            milestone=None,
            status=replace(
                one.status,
                state=State.DONE,
                started=drawn.project.start,
                finished=drawn.project.start,
                remaining=None,
                held_until=None,
            ),
        )
        for one in drawn.tasks
    )
    as_of = max(drawn.project.start, drawn.project.as_of)
    made = replace(drawn, tasks=tasks, project=replace(drawn.project, as_of=as_of))
    result = simulate(made, runs=10)
    assert (result.finish == schedule(made).project_finish).all()
    assert not result.criticality.any()


@pytest.mark.parametrize("runs", [1, 2, 9])
def test_few_runs_are_as_good_as_many_for_what_they_say(runs: int) -> None:
    """The percentile of one run is that run: no interpolation beyond what was drawn."""
    result = simulate(skewed_chain(), runs=runs, seed=5)
    ordered = np.sort(result.finish).tolist()
    for level in LEVELS:
        place = next(n for n in range(runs) if (n + 1) * 100 >= level * runs)
        assert result.finish_at(level) == result.planned.project_finish_on(ordered[place])


def test_no_run_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one run"):
        simulate(skewed_chain(), runs=0)


def test_simulations_of_other_seeds_are_not_paired() -> None:
    made = skewed_chain()
    with pytest.raises(ValueError, match="one seed"):
        compare_runs(simulate(made, runs=10, seed=1), simulate(made, runs=10, seed=2))
