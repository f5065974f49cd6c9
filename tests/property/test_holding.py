"""
However statuses, sign-offs and evidence follow each other, nothing passes an open check.

The oracle keeps books of its own, in the words of docs/reference/checks.md: it walks the
links backwards step by step and reads a check's papers from the first to the last.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.holding import newly_blocked
from ribstitch.planning.model import (
    Check,
    CheckKind,
    Evidence,
    Plan,
    Relation,
    SendOut,
    SendOutStatus,
    SignOff,
    State,
    TaskStatus,
)
from tests.core.making import MONDAY, link, plan, task
from tests.property.settings import examples

_NAMES = "ABC"
_BEGUN = {State.IN_WORK, State.DONE}


@dataclass(frozen=True)
class Step:
    """One thing that somebody asks for."""

    what: str
    task: str
    state: State = State.NOT_STARTED
    override: str = ""
    reopens: bool = False


def plans() -> st.SearchStrategy[Plan]:
    """Return small plans in which work waits for checks, some through an item that is away."""

    @st.composite
    def build(draw: st.DrawFn) -> Plan:
        kinds = draw(st.lists(st.sampled_from([None, *CheckKind]), min_size=3, max_size=3))
        tasks = [
            task(name, check=None if kind is None else Check(kind))
            for name, kind in zip(_NAMES, kinds, strict=True)
        ]
        pairs = [(one, other) for one in _NAMES for other in _NAMES if one < other]
        tied = draw(st.lists(st.sampled_from(pairs), unique=True, min_size=1, max_size=3))
        relations = [draw(st.sampled_from(["FS", "SS"])) for _ in tied]
        away = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=2))
        return plan(
            tasks,
            [link(*pair, relation) for pair, relation in zip(tied, relations, strict=True)],
            send_outs=[
                SendOut(f"S{number}", "V", after=(one,), before=(other,))
                for number, (one, other) in enumerate(away)
            ],
        )

    return build()


STEPS = st.lists(
    st.one_of(
        st.builds(Step, st.just("status"), st.sampled_from(_NAMES), st.sampled_from(State)),
        st.builds(Step, st.just("status"), st.sampled_from(_NAMES), st.just(State.IN_WORK)),
        st.builds(Step, st.just("status"), st.sampled_from(_NAMES), st.just(State.DROPPED)),
        st.builds(Step, st.just("finish"), st.sampled_from(_NAMES)),
        st.builds(Step, st.sampled_from(["send", "send", "unsend"]), st.sampled_from(["S0", "S1"])),
        st.builds(Step, st.just("attach"), st.sampled_from(_NAMES)),
        st.builds(Step, st.just("detach"), st.sampled_from(_NAMES)),
        st.builds(
            Step,
            st.just("sign"),
            st.sampled_from(_NAMES),
            override=st.sampled_from(["", "", "because"]),
            reopens=st.sampled_from([False, False, True]),
        ),
        st.builds(Step, st.just("unsign"), st.sampled_from(_NAMES)),
    ),
    min_size=1,
    max_size=14,
)


def taken(before: Plan, step: Step, number: int) -> Plan:
    """Return the plan as a step would make it."""
    match step.what:
        case "status":
            dates: dict[str, Any] = {"started": MONDAY} if step.state in _BEGUN else {}
            status = TaskStatus(step.state, **dates)
            tasks = [
                replace(one, status=status) if one.id == step.task else one for one in before.tasks
            ]
            return replace(before, tasks=tuple(tasks))
        case "send" | "unsend":
            shipped = SendOutStatus(shipped=MONDAY if step.what == "send" else None)
            items = [
                replace(one, status=shipped) if one.id == step.task else one
                for one in before.send_outs
            ]
            return replace(before, send_outs=tuple(items))
        case "finish":
            for what in ("attach", "sign", "status"):
                before = taken(before, Step(what, step.task, State.DONE), number)
            return before
        case "attach":
            photo = Evidence(f"E{number}", "0" * 64, "image/png", 1, MONDAY, task=step.task)
            return replace(before, evidence=(*before.evidence, photo))
        case "detach":
            kept = tuple(one for one in before.evidence if one.task != step.task)
            return replace(before, evidence=kept)
        case "sign":
            kind = next(one.check.kind if one.check else None for one in before.tasks
                        if one.id == step.task)  # fmt: skip
            one = SignOff(
                f"SO{number}", MONDAY, "I", step.task, override=step.override,
                reopens=step.reopens and not step.override, kind=kind,
            )  # fmt: skip
            return replace(before, sign_offs=(*before.sign_offs, one))
        case _:
            mine = [one for one in before.sign_offs if one.task == step.task]
            return replace(
                before, sign_offs=tuple(one for one in before.sign_offs if one not in mine[-1:])
            )


def enough(made: Plan, name: str) -> bool:
    """Return whether the papers of a check are enough, read from the first to the last."""
    kind = next(one.check.kind for one in made.tasks if one.id == name and one.check)
    photos = any(one.task == name for one in made.evidence)
    word, reason, doubted = False, False, False
    for one in made.sign_offs:
        if one.task == name:
            if one.reopens:
                word, reason, doubted = False, False, True
            elif one.override:
                reason = True
            else:
                word = True
    if kind is CheckKind.HOLD:
        return reason or (photos and (word or not doubted))
    return word or reason


def waits_for(made: Plan, name: str) -> Iterator[str]:
    """Yield all tasks whose finish another one waits for, step by step."""
    ties = {(one.before, one.after) for one in made.links
            if one.relation is Relation.FINISH_START}  # fmt: skip
    ties |= {(one.after[0], one.before[0]) for one in made.send_outs}
    todo, seen = [name], set()
    while todo:
        at = todo.pop()
        for before, after in ties:
            if after == at and before not in seen:
                seen.add(before)
                todo.append(before)
                yield before


def past_an_open_check(made: Plan) -> set[tuple[str, str]]:
    """Return who has begun, left, is done or was dropped past whose check, as things stand."""
    states = {one.id: one.status.state for one in made.tasks}
    checked = {one.id for one in made.tasks if one.check}
    held = {one for one in checked if states[one] is not State.DROPPED and not enough(made, one)}
    found = set()
    for name, state in states.items():
        if state is State.DONE and name in checked and not enough(made, name):
            found.add((name, name))
        if state is State.DROPPED and name in checked and not enough(made, name):
            found.add((f"{name} dropped", name))
        if state in _BEGUN:
            found |= {(name, one) for one in waits_for(made, name) if one in held}
    for item in made.send_outs:
        if item.status.shipped is not None:
            first = item.after[0]
            ahead = {first, *waits_for(made, first)}
            found |= {(item.id, one) for one in ahead if one in held}
    return found


@examples(200)
@given(plans(), STEPS)
def test_only_a_word_that_takes_back_leaves_work_past_an_open_check(
    made: Plan, steps: list[Step]
) -> None:
    """Whatever was not refused: nothing passes a check but where a later word has opened it."""
    for number, step in enumerate(steps):
        after = taken(made, step, number)
        if newly_blocked(made, after) is not None:
            continue
        new = past_an_open_check(after) - past_an_open_check(made)
        if new:
            assert step.what == "sign"
            assert step.reopens
            assert {check for _, check in new} == {step.task}
        made = after


@examples(250)
@given(plans(), STEPS)
def test_nothing_is_refused_without_such_a_reason(made: Plan, steps: list[Step]) -> None:
    for number, step in enumerate(steps):
        after = taken(made, step, number)
        if newly_blocked(made, after) is None:
            made = after
        else:
            assert past_an_open_check(after) - past_an_open_check(made)
