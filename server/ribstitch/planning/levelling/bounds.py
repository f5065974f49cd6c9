"""How early a project could end at best: bounds that no schedule can beat."""

from __future__ import annotations

from ribstitch.planning.levelling.priorities import early_starts, tails
from ribstitch.planning.levelling.resource_project import ResourceProject


def critical_path_bound(project: ResourceProject) -> int:
    """Return the length of the longest chain of links. [periods]"""
    return max(
        (a + b for a, b in zip(early_starts(project), tails(project), strict=True)), default=0
    )


def work_bound(project: ResourceProject) -> int:
    """
    Return how long the most loaded resource takes at least. [periods]

    The sum of all its work over its capacity, rounded up, after the earliest start and
    before the shortest tail of those that use it. Zero without resources.
    """
    early, rest, took = early_starts(project), tails(project), project.durations
    bound = 0
    for place, capacity in enumerate(project.capacities):
        users = [n for n in range(project.size) if project.demands[n][place] and took[n]]
        if users:
            work = sum(took[n] * project.demands[n][place] for n in users)
            first = min(early[n] for n in users)
            after = min(rest[n] - took[n] for n in users)
            bound = max(bound, first - (-work // capacity) + after)
    return bound


def simple_bound(project: ResourceProject) -> int:
    """Return the larger of both bounds. [periods]"""
    return max(critical_path_bound(project), work_bound(project))
