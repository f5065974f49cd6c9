"""How much of the planned work has been done."""

from __future__ import annotations

from collections.abc import Iterable

from ribstitch.planning.model import State, Task


def share_done(tasks: Iterable[Task]) -> float:
    """
    Return the share of planned work that is done, 0 to 1.

    By planned days: a task in work (or held midway) counts with what it no longer needs.
    Dropped tasks do not count. Milestones alone are 1 once all are reached; where nothing is
    planned, nothing is accomplished.
    """
    planned, done, states = 0, 0, set()
    for task in tasks:
        if task.status.state is State.DROPPED:
            continue
        planned += task.duration
        done += _done(task)
        states.add(task.status.state)
    if planned == 0:
        return float(states == {State.DONE})
    return done / planned


def _done(task: Task) -> int:
    """Return how much of a task's planned work is done. [ticks]"""
    if task.status.state is State.DONE:
        return task.duration
    if task.status.started is None or task.status.remaining is None:
        return 0
    return max(task.duration - task.status.remaining, 0)
