"""How a new draft gets into a plan: a three-way merge that never overwrites the shop's work.

What was drafted last is known by its digest (`Draft.marks`). A thing that still has that
digest was not touched, so the new draft may change it; a thing that has another one was
edited by hand and stays; a thing that has begun stays; a thing without one was made by
hand and stays. What was taken out by hand is not put back. What the draft no longer asks
for is dropped, unless it was edited or has begun, and only what was dropped so, and not
edited since, can stand again. What is over (a closed risk) is all record: no draft says anything
of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from ribstitch.planning.drafting.draft import Drafted
from ribstitch.planning.drafting.things import THINGS, ThingKind
from ribstitch.planning.model import Draft, Plan, Task

What = Literal["added", "changed", "dropped", "kept", "same", "gone"]
"""``same``: it stands as it is wanted. ``gone``: nobody wants it, and it is not there or
none of the planner's."""
Why = Literal["", "started", "edited", "dropped", "own"]
"""Why a thing is kept as it is: it has begun; it was edited, taken out, or made, by hand."""

TOLD: tuple[What, ...] = ("added", "changed", "dropped", "kept")
"""What a step of a merge can be, in the order in which it is told."""

_WITHDRAWN = "-"
"""Stands before the digest of a thing that stays in the plan and that a draft dropped."""


@dataclass(frozen=True, slots=True)
class Step:
    """What becomes of one thing."""

    kind: str
    key: str
    what: What
    why: Why
    now: Any
    """As it stands in the plan; None: it is not there."""
    drafted: Any
    """As the draft wants it; None: not at all."""
    then: Any
    """As it will stand in the plan; None: it is not there."""


@dataclass(frozen=True, slots=True)
class Merge:
    """What becomes of a plan."""

    steps: tuple[Step, ...]
    """Of everything that a draft and the plan do not agree on."""
    drafts: tuple[Draft, ...]
    """The new marks."""

    @property
    def counts(self) -> dict[str, int]:
        """How many things fare how."""
        return {what: sum(step.what == what for step in self.steps) for what in TOLD}

    @property
    def is_up_to_date(self) -> bool:
        """Whether the draft changes nothing."""
        return all(step.what == "kept" for step in self.steps)


def merge(plan: Plan, drafted: Drafted) -> Merge:
    """
    Hold a new draft against the plan and against what was drafted last.

    Parameters
    ----------
    plan
        The plan, with the marks of the last draft.
    drafted
        The new draft.
    """
    bases = {one.id: dict(one.marks) for one in plan.drafts}
    steps: list[Step] = []
    drafts: list[Draft] = []
    held: set[str] = set()
    missing: set[str] = set()
    for kind in THINGS:
        sides = _Sides(
            kind,
            base=bases.get(kind.name, {}),
            ours=kind.by_key(kind.in_plan(plan)),
            theirs={
                key: fitted
                for key, one in kind.by_key(kind.in_draft(drafted)).items()
                if (fitted := kind.without(one, missing)) is not None
            },
        )
        found, marks = sides.merged(held)
        steps += found
        missing |= {step.key for step in found if _is_out_of_reach(step)}
        if kind.name == "task":
            held = _held_tasks(plan, found)
        if marks:
            drafts.append(Draft(kind.name, tuple(sorted(marks.items()))))
    return Merge(tuple(steps), tuple(drafts))


@dataclass(frozen=True, slots=True)
class _Sides:
    """The things of one kind: as they were drafted last, as they stand, as they are drafted."""

    kind: ThingKind
    base: Mapping[str, str]
    ours: Mapping[str, Any]
    theirs: Mapping[str, Any]

    def merged(self, held: set[str]) -> tuple[list[Step], dict[str, str]]:
        """Return what becomes of the things, and their new marks; what hangs on `held` stays."""
        steps: list[Step] = []
        marks: dict[str, str] = {}
        for key in (*self.theirs, *(one for one in self.base if one not in self.theirs)):
            now, wanted = self.ours.get(key), self.theirs.get(key)
            if now is not None and self.kind.is_over(now):
                marks |= {key: self.base[key]} if key in self.base else {}
                continue
            fresh = self._digest(wanted)
            what, why = decide(
                before=self._before(key, now),
                now=fresh if now == wanted else self._digest(now),
                wanted=fresh,
                is_begun=now is not None
                and (self.kind.is_begun(now) or self.kind.touches(now, held)),
                is_dropped=self._is_dropped(now),
                is_withdrawn=self._is_withdrawn(key),
            )
            then = self._then(what, now, wanted)
            mark = fresh if what in ("added", "changed", "same") else self._mark(key, what, then)
            if mark is not None:
                marks[key] = mark
            if what not in ("same", "gone"):
                steps.append(Step(self.kind.name, key, what, why, now, wanted, then))
        return steps, marks

    def _mark(self, key: str, what: What, then: Any) -> str | None:
        """Return the mark of what is not as it is drafted now; None: it is none of the draft's."""
        mark = self.base.get(key)
        if mark is None:
            return None
        if what == "dropped":
            return None if then is None else _WITHDRAWN + mark
        return mark if self._is_dropped(then) or not self._is_withdrawn(key) else None

    def _is_dropped(self, thing: Any) -> bool:
        return thing is not None and self.kind.is_dropped(thing)

    def _is_withdrawn(self, key: str) -> bool:
        """Whether a draft dropped a thing, which stayed in the plan."""
        return self.base.get(key, "").startswith(_WITHDRAWN)

    def _digest(self, thing: Any) -> str | None:
        return None if thing is None else self.kind.digest(thing)

    def _before(self, key: str, now: Any) -> str | None:
        """Return the digest of a thing as it was before this draft."""
        if key in self.base:
            return self.base[key].removeprefix(_WITHDRAWN)
        if now is None or self.kind.blank is None:
            return None
        return self._digest(self.kind.blank(now))

    def _then(self, what: What, now: Any, wanted: Any) -> Any:
        match what:
            case "added":
                return wanted
            case "changed":
                return self.kind.combined(now, wanted)
            case "dropped":
                return self.kind.dropped(now)
            case _:
                return now


def decide(
    *,
    before: str | None,
    now: str | None,
    wanted: str | None,
    is_begun: bool,
    is_dropped: bool,
    is_withdrawn: bool,
) -> tuple[What, Why]:
    """
    Decide what becomes of one thing.

    Parameters
    ----------
    before, now, wanted
        Digests: as it was drafted last, as it stands in the plan, as it is drafted now.
        None: it was not drafted, is not there, is not wanted.
    is_begun
        The shop has begun it, or something keeps it.
    is_dropped
        It stands in the plan as dropped.
    is_withdrawn
        An earlier draft dropped it.
    """
    if wanted is None and (now is None or before is None or is_dropped or is_withdrawn):
        return "gone", ""
    if now is None:
        return ("added", "") if before is None or is_withdrawn else ("kept", "dropped")
    if now == wanted and not is_dropped:
        return "same", ""
    if before is None:
        return "kept", "own"
    if is_dropped and not is_withdrawn:
        return "kept", "dropped"
    if now != before:
        return "kept", "edited"
    if is_begun:
        return "kept", "started"
    return ("dropped" if wanted is None else "changed"), ""


def _is_out_of_reach(step: Step) -> bool:
    """Whether nothing of the draft can hang on a thing: it was taken out, or made, by hand."""
    return step.what == "kept" and (step.now is None or step.why == "own")


def _held_tasks(plan: Plan, steps: list[Step]) -> set[str]:
    """
    Return the tasks of jobs of which something stays that is not wanted any more.

    What was begun and is not drafted any more keeps its place: its links stay, and so do
    those of the rest of its job, which is dropped and hands the order on.
    """
    kept = {step.now.origin.job for step in steps
            if step.what == "kept" and step.drafted is None and step.now.origin}  # fmt: skip
    return {task.id for task in plan.tasks if _job(task) in kept}


def _job(task: Task) -> str | None:
    return task.origin.job if task.origin else None


def merged(plan: Plan, found: Merge) -> Plan:
    """Return a plan with a merge carried out; what is new stands at the end of its list."""
    for kind in THINGS:
        after = {step.key: step.then for step in found.steps if step.kind == kind.name}
        if not after:
            continue
        things: dict[str, Any] = kind.by_key(kind.in_plan(plan)) | after
        plan = kind.with_things(plan, tuple(one for one in things.values() if one is not None))
    return replace(plan, drafts=found.drafts)
