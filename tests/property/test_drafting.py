"""What holds for the draft of any evaluation."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import ceil

import networkx as nx
from hypothesis import given

from ribstitch.planfile import dump_plan
from ribstitch.planning.checks import check_plan
from ribstitch.planning.drafting import Drafted, draft_plan, list_jobs, merge, merged
from ribstitch.planning.drafting.jobs import FINISH, START
from ribstitch.planning.model import Plan, Treatment
from ribstitch.planning.schedule import schedule
from ribstitch.seeding import library
from tests.property.drafting_strategies import Evaluation, evaluations
from tests.property.settings import examples

ASSUMED = library.assumptions()


def drafted_of(plan: Plan) -> Drafted:
    return draft_plan(plan, ASSUMED)


def order_of(drafted: Drafted) -> nx.DiGraph[str]:
    """Return tasks and send-outs in the order that links, crates and their tasks give."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(task.id for task in drafted.tasks)
    graph.add_edges_from((link.before, link.after) for link in drafted.links)
    for item in drafted.send_outs:
        graph.add_edges_from((task, f"crate {item.id}") for task in item.after)
        graph.add_edges_from((f"crate {item.id}", task) for task in item.before)
    return graph


@given(evaluations())
@examples(100)
def test_every_draft_runs_from_its_first_to_its_last_task_without_a_circle(
    found: Evaluation,
) -> None:
    plan = found.plan()
    drafted = drafted_of(plan)
    graph = order_of(drafted)
    assert nx.is_directed_acyclic_graph(graph)
    tasks = [task.id for task in drafted.tasks]
    first = [one for one in tasks if not graph.in_degree(one)]
    last = [one for one in tasks if not graph.out_degree(one)]
    assert len(first) <= 1
    assert last == ([FINISH] if tasks else [])
    assert START not in tasks or first == [START]
    assert all(item.before for item in drafted.send_outs)


@given(evaluations())
@examples(100)
def test_every_step_of_every_card_is_there_with_its_hours_and_its_check(found: Evaluation) -> None:
    """Counted from cards and findings alone: standing jobs once, findings by quantity."""
    plan = found.plan()
    cards = {card.id: card for card in plan.cards}
    decided = [one for one in plan.findings if one.treatment and not one.dropped]
    uses = [(cards[job.card], job.quantity) for job in plan.standing_jobs]
    uses += [(cards[one.card], one.quantity) for one in decided if one.card]
    hours = [
        Fraction(step.hours[1]) * Fraction(quantity)
        for card, quantity in uses
        for step in card.steps
        if step.trade
    ]
    hours += [Fraction(one.own_hours[1]) for one in decided if one.own_hours and not one.card]
    jobs, _problems = list_jobs(plan)
    works = [work for job in jobs for work in job.works]
    assert sum((work.hours.likely for work in works if work.trade), Fraction(0)) == sum(hours)
    checks = {
        (job.id, step.number): step.check
        for job in jobs
        if job.card
        for step in job.card.steps
        if step.check
    }
    tasks = drafted_of(plan).tasks
    assert checks == {
        (task.origin.job, task.origin.step): task.check.kind
        for task in tasks
        if task.origin and task.check
    }
    assert len(works) == sum(1 for task in tasks if task.origin)
    units = sum(ceil(quantity) if card.one_by_one else 1 for card, quantity in uses)
    assert len([job for job in jobs if job.card]) == units


@given(evaluations(most=8))
@examples(20)
def test_a_draft_is_a_plan_that_can_be_scheduled_and_comes_out_the_same_again(
    found: Evaluation,
) -> None:
    plan = found.plan()
    first = merged(plan, merge(plan, drafted_of(plan)))
    check_plan(first)
    if first.tasks:
        schedule(first)
    again = merged(plan, merge(plan, drafted_of(plan)))
    assert dump_plan(first) == dump_plan(again)
    second = merge(first, drafted_of(first))
    assert second.steps == ()
    assert second.drafts == first.drafts


@given(evaluations(most=12))
@examples(40)
def test_only_what_is_decided_and_has_work_leads_to_tasks(found: Evaluation) -> None:
    plan = found.plan()
    drafted = drafted_of(plan)
    with_tasks = {task.origin.finding for task in drafted.tasks if task.origin} - {None}
    sentences = {one.finding for one in drafted.problems}
    for one in plan.findings:
        has_work = one.card is not None or one.own_hours is not None
        stands = one.treatment is not None and not one.dropped
        assert (one.id in with_tasks) == (stands and has_work)
        if stands and not has_work and one.treatment is not Treatment.KEEP:
            assert one.id in sentences


@given(evaluations(most=10))
@examples(40)
def test_one_more_finding_leaves_the_tasks_of_all_others_as_they_are(found: Evaluation) -> None:
    plan = found.plan()
    if not plan.findings:
        return
    fewer = replace(plan, findings=plan.findings[:-1])
    before = {task.id: task for task in drafted_of(fewer).tasks}
    after = {task.id: task for task in drafted_of(plan).tasks}
    assert {one: after[one] for one in before if one != START} == {
        one: task for one, task in before.items() if one != START
    }
