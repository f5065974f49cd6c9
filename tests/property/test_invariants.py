"""What must hold of every schedule, whatever the numbers."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random
from typing import TypeVar

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.grace import send_out_grace, vendor_grace
from ribstitch.planning.model import LagOn, Link, Plan, Relation, Source, Task, TaskStatus
from ribstitch.planning.passes import backward, forward, total_float
from ribstitch.planning.prepared import prepare
from ribstitch.planning.schedule import Schedule, schedule
from tests.core.making import plan, ticks
from tests.property.oracle import TO_FINISH, Oracle
from tests.property.oracle_days import WorkDays
from tests.property.settings import examples
from tests.property.strategies import plans

Thing = TypeVar("Thing")
MIRRORED = {
    Relation.FINISH_START: Relation.FINISH_START,
    Relation.START_START: Relation.FINISH_FINISH,
    Relation.FINISH_FINISH: Relation.START_START,
    Relation.START_FINISH: Relation.START_FINISH,
}


def by_id(result: Schedule) -> dict[str, tuple[int, ...]]:
    """Return all dates and floats of a schedule by activity."""
    columns = (
        result.start, result.begin, result.finish, result.late_begin, result.late_finish,
        result.total_float, result.free_float,
    )  # fmt: skip
    return {
        one.id: tuple(int(column[at]) for column in columns)
        for at, one in enumerate(result.activities)
    }


def without_status(made: Plan) -> Plan:
    """Return the plan as if nothing had begun, on the first day."""
    tasks = tuple(replace(one, status=TaskStatus()) for one in made.tasks)
    return replace(made, tasks=tasks, project=replace(made.project, as_of=made.project.start))


@examples(60)
@given(plans(max_tasks=20, max_send_outs=3), st.randoms(use_true_random=False))
def test_other_names_and_another_order_change_nothing(drawn: Plan, chance: Random) -> None:
    names = [one.id for one in drawn.tasks] + [one.id for one in drawn.send_outs]
    others = names.copy()
    chance.shuffle(others)
    new = {old: f"{other}*" for old, other in zip(names, others, strict=True)}

    def shuffled(things: list[Thing]) -> tuple[Thing, ...]:
        chance.shuffle(things)
        return tuple(things)

    renamed = replace(
        drawn,
        tasks=shuffled([replace(one, id=new[one.id]) for one in drawn.tasks]),
        links=shuffled(
            [replace(one, before=new[one.before], after=new[one.after]) for one in drawn.links]
        ),
        send_outs=shuffled(
            [
                replace(
                    one,
                    id=new[one.id],
                    after=tuple(new[name] for name in one.after),
                    before=tuple(new[name] for name in one.before),
                    trip_of=one.trip_of and new[one.trip_of],
                )
                for one in drawn.send_outs
            ]
        ),
    )
    first, second = schedule(drawn), schedule(renamed)

    def renamed_leg(name: str) -> str:
        item, _, leg = name.rpartition("/")
        return f"{new[item]}/{leg}" if item in new else new[name]

    expected = {renamed_leg(name): dates for name, dates in by_id(first).items()}
    assert by_id(second) == expected
    graces = {new[one.id]: one.grace for one in send_out_grace(first)}
    assert {one.id: one.grace for one in send_out_grace(second)} == graces
    assert {(one.id, one.grace) for one in vendor_grace(first)} == {
        (one.id, one.grace) for one in vendor_grace(second)
    }


@examples(80)
@given(plans(max_tasks=20), st.data())
def test_a_link_more_never_brings_anything_in(drawn: Plan, data: st.DataObject) -> None:
    count = len(drawn.tasks)
    after = data.draw(st.integers(0, count - 1))
    before = data.draw(st.integers(-1, after - 1))
    if before < 0:
        return
    link = Link(
        f"T{before}",
        f"T{after}",
        data.draw(st.sampled_from(Relation)),
        data.draw(st.integers(-40, 40)) * 180,
        data.draw(st.sampled_from(LagOn)),
    )
    first, second = schedule(drawn), schedule(replace(drawn, links=(*drawn.links, link)))
    assert second.project_finish >= first.project_finish
    assert (second.finish >= first.finish).all()
    assert (second.begin >= first.begin).all()


@examples(80)
@given(plans(max_tasks=20), st.data())
def test_longer_work_on_finish_start_links_never_brings_anything_in(
    drawn: Plan, data: st.DataObject
) -> None:
    links = tuple(replace(one, relation=Relation.FINISH_START) for one in drawn.links)
    at = data.draw(st.integers(0, len(drawn.tasks) - 1))
    extra = data.draw(st.integers(1, 4000))
    task = drawn.tasks[at]
    longer = replace(task, duration=task.duration + extra, milestone=None)
    tasks = (*drawn.tasks[:at], longer, *drawn.tasks[at + 1 :])
    first = schedule(replace(drawn, links=links))
    second = schedule(replace(drawn, links=links, tasks=tasks))
    assert second.project_finish >= first.project_finish
    assert (second.finish >= first.finish).all()


@examples(80)
@given(plans(max_tasks=20, deadlines=False, max_send_outs=0))
def test_reversed_time_swaps_early_and_late_on_elapsed_time(drawn: Plan) -> None:
    """Every link turned round: the first day's early start is the last day's late finish."""
    tasks = [Task(one.id, one.duration, calendar="elapsed") for one in drawn.tasks]
    links = [replace(one, lag_on=LagOn.ELAPSED) for one in drawn.links]
    turned = [
        replace(one, before=one.after, after=one.before, relation=MIRRORED[one.relation])
        for one in links
    ]
    ahead, back = schedule(plan(tasks, links)), schedule(plan(tasks, turned))
    origin = 1440 * ahead.prepared.plan.project.start.toordinal()
    last = ahead.project_finish
    assert back.project_finish == last
    assert (last - ahead.late_begin).tolist() == (back.finish - origin).tolist()
    assert (last - ahead.late_finish).tolist() == (back.start - origin).tolist()
    assert ahead.total_float.tolist() == back.total_float.tolist()


@examples(80)
@given(plans(max_tasks=25, deadlines=False))
def test_free_float_is_never_more_than_total_float(drawn: Plan) -> None:
    result = schedule(drawn)
    assert (result.free_float >= 0).all()
    assert (result.free_float <= result.total_float).all()


@examples(120)
@given(plans(max_tasks=25))
def test_critical_path_is_an_unbroken_chain_of_driving_links(drawn: Plan) -> None:
    """Each of its links alone dates its successor; it ends at the finish, its start is free."""
    result, oracle = schedule(drawn), Oracle(drawn)
    path = [result.activities[at].id for at in result.critical_path]
    if not path:
        last = [one for one in oracle.jobs if oracle.dates[one].finish == oracle.finish]
        assert any(oracle.jobs[one].finished is not None for one in last)
        return
    assert oracle.dates[path[-1]].finish == oracle.finish
    for before, after in pairwise(path):
        assert before in dated_by(oracle, after)
    first = oracle.jobs[path[0]]
    on_its_floor = oracle._placed(first, first.work, first.floor, 0)
    assert oracle.dates[first.name] == on_its_floor or any(
        oracle.jobs[one].finished is not None for one in dated_by(oracle, first.name)
    )


def dated_by(oracle: Oracle, name: str) -> set[str]:
    """Return what dates a job on its own; dropped jobs pass on what dates them."""
    found: set[str] = set()
    for link in oracle.incoming[name]:
        if alone(oracle, link) == oracle.dates[name]:
            dropped = oracle.jobs[link.before].dropped
            found |= dated_by(oracle, link.before) if dropped else {link.before}
    return found


def alone(oracle: Oracle, link: Link) -> object:
    """Return where a link on its own places its successor."""
    job, instant = oracle.jobs[link.after], oracle.asked(link, oracle.dates[link.before])
    ends = link.relation in TO_FINISH
    return oracle._placed_by_ways(job, [] if ends else [instant], [instant] if ends else [])


@examples(60)
@given(plans(max_tasks=25, deadlines=False, max_send_outs=0), st.data())
def test_600_days_more_on_a_critical_task_move_the_finish_by_600(
    drawn: Plan, data: st.DataObject
) -> None:
    """One calendar, finish-start links, lags from 0: the finish moves by just as many days."""
    made = without_status(drawn)
    tasks = tuple(Task(one.id, one.duration or 1440) for one in made.tasks)
    links = tuple(
        Link(one.before, one.after, Relation.FINISH_START, abs(one.lag)) for one in made.links
    )
    made = replace(made, tasks=tasks, links=links)
    first = schedule(made)
    at = data.draw(st.sampled_from(first.critical_path))
    longer = replace(tasks[at], duration=tasks[at].duration + ticks(600))
    second = schedule(replace(made, tasks=(*tasks[:at], longer, *tasks[at + 1 :])))
    shop = WorkDays(made.calendars[0])
    moved = shop.before(second.project_finish) - shop.before(first.project_finish)
    assert moved == ticks(600)


@examples(60)
@given(plans(max_tasks=25), st.data())
def test_many_cases_at_once_equal_one_by_one(drawn: Plan, data: st.DataObject) -> None:
    prepared = prepare(drawn)
    network, values = prepared.network, prepared.values
    seed = data.draw(st.integers(0, 2**32 - 1))
    work = np.random.default_rng(seed).integers(0, 9 * 1440, size=(6, network.size))
    together = replace(values, work=work)
    early = forward(network, together)
    late = backward(network, together, early)
    floats = total_float(network, early, late)
    for case in range(len(work)):
        single = replace(values, work=work[case])
        one = forward(network, single)
        other = backward(network, single, one)
        assert (early.event[case] == one.event).all()
        assert (early.begin[case] == one.begin).all()
        assert early.finish[case] == one.finish
        assert (late.begin[case] == other.begin).all()
        assert (late.end[case] == other.end).all()
        assert (floats[case] == total_float(network, one, other)).all()


@examples(60)
@given(plans(max_tasks=15, max_send_outs=4, sources=(Source.OVERHAUL, Source.PATTERN)))
def test_vendor_has_no_more_grace_than_any_of_its_send_outs(drawn: Plan) -> None:
    result = schedule(drawn)
    alone_late = {one.id: one.grace for one in send_out_grace(result)}
    for vendor in vendor_grace(result):
        assert vendor.grace <= min(alone_late[name] for name in vendor.send_outs)
