"""How early a project could end at best: bounds that no schedule can beat."""

from __future__ import annotations

from collections.abc import Sequence

from ribstitch.planning.levelling.priorities import early_starts, tails
from ribstitch.planning.levelling.resource_project import ResourceProject


def critical_path_bound(project: ResourceProject) -> int:
    """Return the length of the longest chain of links. [periods]"""
    return max(
        (a + b for a, b in zip(early_starts(project), tails(project), strict=True)), default=0
    )


def work_bound(project: ResourceProject) -> int:
    """Return how long the most loaded resource takes at least; 0 without any. [periods]"""
    return max(
        (
            worked_off(project, [row[place] for row in project.demands], capacity)
            for place, capacity in enumerate(project.capacities)
        ),
        default=0,
    )


def worked_off(project: ResourceProject, units: Sequence[int], capacity: int) -> int:
    """
    Return how long one resource takes at least. [periods]

    For every early start and every time that is left after an activity: the work of all
    that start no earlier and have no less after them, over the capacity, between the two.

    Parameters
    ----------
    project
        The project.
    units
        What each activity asks for, shape (n,).
    capacity
        What there is.
    """
    early, rest, took = early_starts(project), tails(project), project.durations
    users = [n for n in range(project.size) if units[n] and took[n]]
    users.sort(key=lambda n: took[n] - rest[n])
    bound = 0
    for first in sorted({early[n] for n in users}):
        work = 0
        for n in users:
            if early[n] >= first:
                work += took[n] * units[n]
                bound = max(bound, first - (-work // capacity) + rest[n] - took[n])
    return bound


def simple_bound(project: ResourceProject) -> int:
    """Return the larger of both bounds. [periods]"""
    return max(critical_path_bound(project), work_bound(project))
