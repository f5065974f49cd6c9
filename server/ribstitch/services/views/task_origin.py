"""Where a task comes from: the finding, the method card, the step."""

from __future__ import annotations

from dataclasses import dataclass

from ribstitch.planning.model import Task
from ribstitch.services.forecast import CurrentPlan


@dataclass(frozen=True, slots=True)
class TaskOrigin:
    """What a task was drafted from; None where there is none, or it is no longer in the plan."""

    finding: str | None
    seen: str
    """What was seen, in the finder's words; empty without a finding."""
    card: str | None
    card_name: str
    step: int | None
    step_name: str


def task_origin(current: CurrentPlan, task: Task) -> TaskOrigin | None:
    """Return what a task was drafted from; None: somebody entered it."""
    origin = task.origin
    if origin is None:
        return None
    plan = current.plan
    finding = next((one for one in plan.findings if one.id == origin.finding), None)
    card = next((one for one in plan.cards if one.id == origin.card), None)
    steps = () if card is None else card.steps
    step = next((one for one in steps if one.number == origin.step), None)
    return TaskOrigin(
        finding=None if finding is None else finding.id,
        seen="" if finding is None else finding.seen,
        card=None if card is None else card.id,
        card_name="" if card is None else card.name,
        step=None if step is None else step.number,
        step_name="" if step is None else step.name,
    )
