"""Draft the plan that the evaluation asks for: look at what would change, then take it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from ribstitch.charts.paper import plural
from ribstitch.planning.checks import check_plan
from ribstitch.planning.drafting import Drafted, Merge, Problem, Step, draft_plan, merge, merged
from ribstitch.planning.drafting.merging import TOLD
from ribstitch.planning.drafting.things import THINGS
from ribstitch.planning.errors import InvalidValueError, PlanError
from ribstitch.planning.model import LagOn, Link, Plan, Task
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import days_from_ticks
from ribstitch.seeding import library
from ribstitch.services.change_plan import (
    Author,
    Change,
    Recorded,
    change_plan,
    refuse_stale_plan,
    things_of,
)
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.services.holds import CheckHoldsError, refuse_blocked
from ribstitch.store import Edit, Person, UnitOfWork
from ribstitch.store.kinds import DRAFT, PLAN_KINDS

_OWN = {kind.name: (kind.own, kind.drafted) for kind in THINGS}


@dataclass(frozen=True, slots=True)
class FieldChange:
    """What a draft would say otherwise of one thing, as plan files say it."""

    field: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class DraftItem:
    """What becomes of one thing, and why it is there."""

    kind: str
    key: str
    name: str
    why: str
    asked: str
    """Why the vendor of a send-out is asked; empty where the draft says no vendor."""
    finding: str | None
    card: str | None
    reason: str
    """Why it is kept: ``started``, ``edited``, ``dropped``, ``own``; else empty."""
    instead: str
    """What the plan has in the place of an item that somebody took out; else empty."""
    fields: tuple[FieldChange, ...]


@dataclass(frozen=True, slots=True)
class DraftPreview:
    """What taking a draft would do."""

    added: tuple[DraftItem, ...]
    changed: tuple[DraftItem, ...]
    dropped: tuple[DraftItem, ...]
    kept: tuple[DraftItem, ...]
    problems: tuple[Problem, ...]
    finish_before: date
    finish_after: date | None
    """None: it cannot be taken; the problems say why."""

    @property
    def is_up_to_date(self) -> bool:
        """Whether taking it would change nothing."""
        return not (self.added or self.changed or self.dropped)


@dataclass(frozen=True, slots=True)
class DraftTaken:
    """What taking a draft led to."""

    recorded: Recorded
    kind: str
    """Of one thing that was changed: taking that back takes back all; empty if none was."""
    counts: Mapping[str, int]
    """How many things were added, changed, dropped and kept."""


def preview_draft(current: CurrentPlan) -> DraftPreview:
    """Return what drafting the plan anew would change; worked out once for each plan."""
    return current.derived("draft", lambda: _preview(current))


def take_draft(
    forecasts: Forecasts,
    project_id: int,
    plan_version: int,
    person: Person,
    at: datetime,
    reason: str = "",
) -> DraftTaken:
    """
    Draft the plan anew and take the draft, in one action.

    Parameters
    ----------
    forecasts
        The forecasts of the store.
    project_id
        Whose plan.
    plan_version
        The version of the plan that the draft was looked at with.
    person, at, reason
        Who takes it, when, and why.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    StaleEditError
        If the plan was changed since.
    PlanError
        If the plan that comes of it cannot be scheduled.
    CheckHoldsError
        If it would drop a task whose check is open.
    """
    edits: list[Edit] = []
    counts: dict[str, int] = {}

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        refuse_stale_plan(current, plan_version, work)
        found = merge(current.plan, _draft(current.plan))
        check_plan(merged(current.plan, found))
        counts.update(found.counts)
        edits.extend(_edits(current, found))
        return Change("plan.draft", edits, _summary(counts))

    done = change_plan(forecasts, project_id, Author(person, at, reason), decide)
    kind = edits[0].kind if done.change_number is not None else ""
    return DraftTaken(done, kind, counts)


def _draft(plan: Plan) -> Drafted:
    return draft_plan(plan, library.assumptions())


def _summary(counts: Mapping[str, int]) -> str:
    """Say what was drafted, for the forecast log."""
    parts = [f"{count} {what}" for what, count in counts.items() if what != "kept"]
    return f"Drafted from the evaluation: {', '.join(parts)}"


def _edits(current: CurrentPlan, found: Merge) -> list[Edit]:
    """Return the edits of a merge, the new marks last; a thing is called as the store calls it."""
    keys = {
        id(thing): key
        for kind in THINGS
        for key, thing in things_of(current.plan, current.versions, kind.name).items()
    }
    edits = [
        Edit(step.kind, keys.get(id(step.now), step.key), step.now, step.then)
        for step in found.steps
        if step.now != step.then
    ]
    before = things_of(current.plan, current.versions, DRAFT.name)
    after = {one.id: one for one in found.drafts}
    return edits + [
        Edit(DRAFT.name, key, before.get(key), after.get(key))
        for key in {**before, **after}
        if before.get(key) != after.get(key)
    ]


def _preview(current: CurrentPlan) -> DraftPreview:
    """Draft a plan anew, and say what would become of each thing."""
    plan = current.plan
    drafted = _draft(plan)
    found = merge(plan, drafted)
    problems, finish, is_sound = drafted.problems, None, True
    after = merged(plan, found)
    try:
        refuse_blocked(plan, after)
        finish = schedule(after).finish_on
    except (PlanError, CheckHoldsError) as refused:
        problems = (*problems, Problem(None, f"This draft cannot be taken. {refused}"))
        is_sound = not isinstance(refused, InvalidValueError)
    teller = _Teller(after, drafted, with_fields=is_sound)
    groups = {
        what: tuple(teller.item(step) for step in found.steps if step.what == what) for what in TOLD
    }
    return DraftPreview(
        **groups, problems=problems, finish_before=current.finish_on, finish_after=finish
    )


class _Teller:
    """Says of each step what it is about, and why."""

    def __init__(self, after: Plan, drafted: Drafted, *, with_fields: bool) -> None:
        self._with_fields = with_fields  # what no plan file takes cannot be told field by field
        self._tasks = {task.id: task for task in after.tasks}
        self._links = after.links
        self._reasons = drafted.reasons
        self._asked = drafted.asked

    def item(self, step: Step) -> DraftItem:
        """Return one line of the preview."""
        thing = step.drafted if step.now is None else step.now
        task = self._task(step.kind, thing)
        origin = task.origin if task else None
        return DraftItem(
            kind=step.kind,
            key=step.key,
            name=self._name(step.kind, thing),
            why=self._why(step, task),
            asked=self._who_is_asked(step),
            finding=origin.finding if origin else None,
            card=origin.card if origin else None,
            reason=step.why,
            instead=self._instead(step),
            fields=_fields(step) if self._with_fields else (),
        )

    def _task(self, kind: str, thing: Any) -> Task | None:
        """Return the task that tells what a thing was drafted from."""
        names: tuple[str | None, ...]
        match kind:
            case "task":
                return thing if isinstance(thing, Task) else None
            case "link":
                names = (thing.after, thing.before)
            case "send_out":
                names = (*thing.before, *thing.after)
            case "risk" | "cost":
                names = (thing.task,)
            case _:
                return None
        tasks = [self._tasks[name] for name in names if name in self._tasks]
        with_finding = (one for one in tasks if one.origin and one.origin.finding)
        return next(with_finding, tasks[0] if tasks else None)

    def _name(self, kind: str, thing: Any) -> str:
        if kind == "link":
            return f"{self._task_name(thing.before)} before {self._task_name(thing.after)}"
        return str(thing.name or thing.id)

    def _task_name(self, task: str) -> str:
        return self._tasks[task].name if task in self._tasks else task

    def _instead(self, step: Step) -> str:
        """Say what waits, as long as an item would be away that somebody took out."""
        if step.kind != "send_out" or step.now is not None or step.what != "kept":
            return ""
        item = step.drafted
        return "; ".join(
            f'"{self._task_name(link.after)}" waits {_lag(link)} after '
            f'"{self._task_name(link.before)}"'
            for link in self._links
            if link.before in item.after and link.after in item.before and link.lag > 0
        )

    def _who_is_asked(self, step: Step) -> str:
        is_drafted = step.kind == "send_out" and step.what in ("added", "changed")
        return self._asked[step.key] if is_drafted else ""

    def _why(self, step: Step, task: Task | None) -> str:
        if step.drafted is None:
            return "Nothing in the evaluation asks for it any more."
        match step.kind:
            case "link":
                return self._reasons.get(step.key, "")
            case "zone":
                return "Grades of its findings, by their hours."
            case "task":
                return str(step.drafted.why)
            case _:
                return task.why if task else ""


def _lag(link: Link) -> str:
    unit = "day" if link.lag_on is LagOn.ELAPSED else "working day"
    return plural(days_from_ticks(link.lag), unit)


def _fields(step: Step) -> tuple[FieldChange, ...]:
    """Return where a thing and its draft differ, without the shop's own record of it."""
    if step.now is None or step.drafted is None or step.why == "dropped":
        return ()
    kind = PLAN_KINDS[step.kind]
    before, after = kind.document(step.now) or {}, kind.document(step.drafted) or {}
    own, drafted = _OWN[step.kind]
    return tuple(
        FieldChange(field, before.get(field), after.get(field))
        for field in {**before, **after}
        if before.get(field) != after.get(field)
        and field not in own
        and (not drafted or field in drafted)
    )
