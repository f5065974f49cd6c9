"""Draft text of an entry for work that was done: words to copy, nothing more.

What an entry holds is told in 14 CFR 43.9: what was done, the date on which it was
completed, who did it, and name, signature, certificate number and kind of certificate of the
person who approves it (read in an excerpt). Who signs decides what is written.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.model import State, Task
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.hazards import STANDING_LINE
from ribstitch.services.holds import holding_of


@dataclass(frozen=True, slots=True)
class WorkEntry:
    """The draft of an entry."""

    first: date
    last: date
    tasks: int
    """How many were done in the span."""
    text: str
    standing_line: str


def work_entry(
    current: CurrentPlan, first: date | None = None, last: date | None = None
) -> WorkEntry:
    """
    Return the draft for all work that was finished in a span of dates.

    Parameters
    ----------
    current
        The plan.
    first, last
        Both included; without them the month of the as-of date, up to that date.

    Raises
    ------
    InvalidValueError
        If the span ends before it begins.
    """
    end = current.as_of if last is None else last
    begin = end.replace(day=1) if first is None else first
    if begin > end:
        raise InvalidValueError("last", f"{end} is before {begin}, the first date", end)
    done = [
        task
        for task in current.plan.tasks
        if task.milestone is None
        and task.status.state is State.DONE
        and task.status.finished is not None
        and begin <= task.status.finished <= end
    ]
    done.sort(key=lambda task: (task.status.finished, task.id))
    text = "\n".join(_lines(current, done, begin, end))
    return WorkEntry(begin, end, len(done), text, STANDING_LINE)


def _lines(current: CurrentPlan, done: list[Task], begin: date, end: date) -> list[str]:
    """Return the draft, line by line."""
    project = current.plan.project
    serial = f", serial {project.serial}" if project.serial else ""
    head = [f"{project.aircraft or project.name}{serial}", f"Work done from {begin} to {end}:"]
    if not done:
        return [*head, "No task was finished in these dates."]
    return [
        *head,
        *(_of_task(current, task) for task in done),
        f"Completed on: {done[-1].status.finished}",
        "Approved by (name):",
        "Certificate (number and kind):",
        "Signature:",
    ]


def _of_task(current: CurrentPlan, task: Task) -> str:
    """Say what was done, when, by whom, and who accepted it."""
    names = dict.fromkeys(
        one.label or one.trade for one in current.plan.hours if one.task == task.id
    )
    by = " and ".join(name for name in names if name) or "(who did it)"
    accepted = ""
    standing = holding_of(current).standings.get(task.id)
    if standing is not None and standing.is_settled and standing.deciding is not None:
        one = standing.deciding
        licence = f" ({one.licence})" if one.licence else ""
        word = "passed over" if one.override else "signed off"
        accepted = f"; {word} by {one.by}{licence} on {one.on}"
    return f"- {task.id} {task.name}: finished {task.status.finished}, by {by}{accepted}."
