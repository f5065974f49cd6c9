"""A new draft gets into a plan as the rules say, and never over the shop's own work."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.checks import check_plan
from ribstitch.planning.drafting import Drafted, draft_plan, merge, merged
from ribstitch.planning.model import (
    Draft,
    Link,
    Plan,
    Project,
    State,
    Task,
    TaskStatus,
)
from ribstitch.planning.schedule import schedule
from ribstitch.seeding import library
from tests.property.drafting_strategies import Evaluation, evaluations
from tests.property.merge_oracle import Drawn, outcome
from tests.property.settings import examples

ASSUMED = library.assumptions()
START = date(2026, 1, 5)
NOTHING = draft_plan(Plan(Project(START, START)), ASSUMED)
DONE = TaskStatus(State.DONE, START, START)
KEYS = st.sampled_from("abcdef")
WORDS = st.integers(1, 3)
STATES = {
    (False, False): TaskStatus(),
    (True, False): TaskStatus(State.IN_WORK, START),
    (False, True): TaskStatus(State.DROPPED),
}


@st.composite
def drawn(draw: st.DrawFn) -> Drawn:
    begun, dropped = draw(st.sampled_from(sorted(STATES)))
    return Drawn(draw(WORDS), begun, dropped)


def nothing_but(tasks: tuple[Task, ...]) -> Drafted:
    return replace(NOTHING, tasks=tasks)


def task(key: str, says: int) -> Task:
    return Task(key, 1440 * says)


def tasks(says: dict[str, int]) -> Drafted:
    return nothing_but(tuple(task(*one) for one in says.items()))


SAID = st.dictionaries(KEYS, WORDS)


@given(SAID, SAID, st.dictionaries(KEYS, drawn()), SAID)
@examples(500)
def test_each_thing_fares_as_a_slow_and_plain_set_of_rules_says(
    first: dict[str, int], last: dict[str, int], plan: dict[str, Drawn], draft: dict[str, int]
) -> None:
    empty = Plan(Project(START, START))
    once = merged(empty, merge(empty, tasks(first)))
    twice = merged(once, merge(once, tasks(last)))
    standing = replace(
        twice,
        tasks=tuple(
            replace(task(key, one.says), status=STATES[one.is_begun, one.is_dropped])
            for key, one in plan.items()
        ),
    )
    found = merge(standing, tasks(draft))
    told = {one.key: f"{one.what} {one.why}".strip() for one in found.steps}
    withdrawn = {key: says for key, says in first.items() if key not in last}
    assert told == outcome(last, withdrawn, plan, draft)
    after = {one.id: one for one in merged(standing, found).tasks}
    for key, one in plan.items():
        if one.is_begun or key not in {**last, **withdrawn}:
            assert after[key] == next(task for task in standing.tasks if task.id == key)


def under_way(plan: Plan, seed: int) -> Plan:
    """Return a drafted plan in which much has happened: done, edited, dropped, tied by hand."""
    luck = Random(seed)
    first = merged(plan, merge(plan, draft_plan(plan, ASSUMED)))
    tasks = []
    for one in first.tasks:
        fate = luck.randint(0, 9)
        if fate < 3 and one.milestone is None:
            tasks.append(replace(one, status=DONE))
        elif fate == 3:
            tasks.append(replace(one, name=f"{one.name}, as we do it"))
        elif fate == 4 and one.milestone is None:
            tasks.append(replace(one, status=TaskStatus(State.DROPPED)))
        else:
            tasks.append(one)
    if tasks:
        own = Task("by-hand", 1440)
        link = Link(luck.choice(tasks).id, own.id)
        first = replace(first, links=(*first.links[1:], link))
        tasks.append(own)
    return replace(first, tasks=tuple(tasks))


def changed(plan: Plan, seed: int) -> Plan:
    """Return the plan with its evaluation changed: one line more, one less, one otherwise."""
    luck = Random(seed)
    findings = list(plan.findings)
    extra = Evaluation(plan.project.airframe, 1, seed, has_standing_jobs=True).plan().findings[0]
    findings.append(replace(extra, id="F-new", send_out=None))
    first = luck.randrange(len(findings))
    findings[first] = replace(findings[first], dropped=not findings[first].dropped)
    second = luck.randrange(len(findings))
    findings[second] = replace(findings[second], quantity=findings[second].quantity + 1)
    return replace(plan, findings=tuple(findings))


@given(evaluations(most=8), st.integers(0, 10**6))
@examples(80)
def test_whatever_was_found_since_nothing_begun_or_made_by_hand_is_touched(
    found: Evaluation, seed: int
) -> None:
    before = changed(under_way(found.plan(), seed), seed)
    after = merged(before, merge(before, draft_plan(before, ASSUMED)))
    marks = {one.id: dict(one.marks) for one in before.drafts}.get("task", {})
    pristine = {one.id: one for one in draft_plan(found.plan(), ASSUMED).tasks}
    now = {one.id: one for one in after.tasks}
    for one in before.tasks:
        is_edited = one.id in pristine and replace(one, status=TaskStatus()) != replace(
            pristine[one.id]
        )
        if one.status == DONE or is_edited or one.id not in marks:
            assert now[one.id] == one
    assert Link(*_hand_link(before)) in after.links if before.tasks else True
    check_plan(after)
    if after.tasks:
        schedule(after)


@given(evaluations(most=8), st.integers(0, 10**6))
@examples(60)
def test_a_draft_taken_twice_changes_nothing_the_second_time(found: Evaluation, seed: int) -> None:
    before = changed(under_way(found.plan(), seed), seed)
    once = merged(before, merge(before, draft_plan(before, ASSUMED)))
    twice = merge(once, draft_plan(once, ASSUMED))
    assert twice.is_up_to_date
    assert merged(once, twice) == once


def test_marks_of_a_plan_are_those_of_its_last_draft() -> None:
    plan = Plan(Project(START, START))
    found = merge(plan, nothing_but((task("a", 1), task("b", 2))))
    assert [one.id for one in found.drafts] == ["task"]
    assert [key for key, _digest in found.drafts[0].marks] == ["a", "b"]
    assert merged(plan, found).drafts == (Draft("task", found.drafts[0].marks),)


def _hand_link(plan: Plan) -> tuple[str, str]:
    return next((one.before, one.after) for one in plan.links if one.after == "by-hand")
