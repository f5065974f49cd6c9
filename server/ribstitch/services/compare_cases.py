"""Hold what-if cases beside the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ribstitch.planning.errors import PlanError
from ribstitch.planning.model import State
from ribstitch.planning.schedule import Schedule
from ribstitch.planning.whatif import Change, apply_changes
from ribstitch.services.forecast import CurrentPlan


@dataclass(frozen=True, slots=True)
class AskedCase:
    """A case to look at: changes in order, and what it is called."""

    name: str
    changes: Sequence[Change]


@dataclass(frozen=True, slots=True)
class PlanSide:
    """The plan as it is."""

    finish: date
    critical_path: list[str]


@dataclass(frozen=True, slots=True)
class MovedMilestone:
    """A milestone in the plan and in a case."""

    id: str
    name: str
    plan: date
    case: date
    moved_days: int


@dataclass(frozen=True, slots=True)
class CaseSide:
    """What a case does."""

    name: str
    finish: date
    moved_days: int
    """Calendar days later than the plan; negative: earlier."""
    critical_path: list[str]
    new_on_path: list[str]
    """Activities that set the finish in the case and not in the plan."""
    milestones: list[MovedMilestone]


@dataclass(frozen=True, slots=True)
class Comparison:
    """The plan and the cases side by side."""

    plan: PlanSide
    cases: list[CaseSide]


def compare(current: CurrentPlan, cases: Sequence[AskedCase]) -> Comparison:
    """
    Compute cases and hold them beside the plan.

    Raises
    ------
    PlanError
        If a case asks for what cannot be; `where` names it, as in
        ``cases[1].changes[0].vendor``.
    """
    path = _path(current.schedule)
    sides = []
    for number, case in enumerate(cases):
        try:
            changed = apply_changes(current.plan, case.changes).schedule()
        except PlanError as refused:
            where = f"cases[{number}].{refused.where}".rstrip(".")
            raise PlanError(where, refused.reason, refused.value) from refused
        sides.append(_side(case.name or f"Case {number + 1}", current.schedule, changed, path))
    return Comparison(PlanSide(current.finish_on, path), sides)


def _side(name: str, plan: Schedule, case: Schedule, path: Sequence[str]) -> CaseSide:
    """Hold one case beside the plan."""
    case_path = _path(case)
    known = set(path)
    return CaseSide(
        name=name,
        finish=case.finish_on,
        moved_days=(case.finish_on - plan.finish_on).days,
        critical_path=case_path,
        new_on_path=[one for one in case_path if one not in known],
        milestones=_milestones(plan, case),
    )


def _path(schedule: Schedule) -> list[str]:
    """Return the ids along the critical path."""
    return [schedule.activities[number].id for number in schedule.critical_path]


def _milestones(plan: Schedule, case: Schedule) -> list[MovedMilestone]:
    """Return the milestones that both have, with their dates."""
    dropped = {task.id for task in case.prepared.plan.tasks if task.status.state is State.DROPPED}
    found = []
    for task in plan.prepared.plan.tasks:
        if task.milestone is None or task.id in dropped:
            continue
        before = plan.finish_on_of(plan.number(task.id))
        after = case.finish_on_of(case.number(task.id))
        found.append(MovedMilestone(task.id, task.name, before, after, (after - before).days))
    return found
