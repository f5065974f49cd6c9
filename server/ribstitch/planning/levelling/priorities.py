"""Priority rules: which activity to place next, by one number each.

The rules and their names follow the surveys R. Alvarez-Valdes & J. M. Tamarit,
"Heuristic algorithms for resource-constrained project scheduling", in Slowinski &
Weglarz (eds), Advances in Project Scheduling, 1989, and R. Kolisch, European Journal
of Operational Research 90, 1996; the rank positional weight is W. B. Helgeson &
D. P. Birnie's, Journal of Industrial Engineering 12, 1961.
"""

from __future__ import annotations

from collections.abc import Mapping

from ribstitch.planning.levelling.resource_project import ResourceProject

RULES: tuple[str, ...] = (
    "latest finish time",
    "latest start time",
    "minimum slack",
    "most total successors",
    "greatest rank positional weight",
    "greatest resource demand",
    "shortest processing time",
    "earliest start time",
)
"""Names of the rules, best on average first."""


def early_starts(project: ResourceProject) -> list[int]:
    """Return the earliest starts without capacities. [periods]"""
    starts = [0] * project.size
    for number in project.topological:
        for other, lag in project.before[number]:
            starts[number] = max(starts[number], starts[other] + lag)
    return starts


def tails(project: ResourceProject) -> list[int]:
    """Return the shortest time from the start of each activity to the end. [periods]"""
    rest = list(project.durations)
    for number in reversed(project.topological):
        for other, lag in project.after[number]:
            rest[number] = max(rest[number], lag + rest[other])
    return rest


def priorities(project: ResourceProject) -> Mapping[str, list[int]]:
    """
    Return what each rule says of each activity; the smaller goes first.

    Returns
    -------
    mapping of rule to list of int, length n
        Late dates count from a critical path that ends at 0, so that they are negative.
    """
    took, early, rest = project.durations, early_starts(project), tails(project)
    length = max((a + b for a, b in zip(early, rest, strict=True)), default=0)
    successors = _all_successors(project)
    everyone = range(project.size)
    weights = [took[n] + sum(took[other] for other, _ in project.after[n]) for n in everyone]
    resources = [took[n] * sum(project.demands[n]) for n in everyone]
    return {
        "latest finish time": [took[n] - rest[n] for n in everyone],
        "latest start time": [-rest[n] for n in everyone],
        "minimum slack": [length - rest[n] - early[n] for n in everyone],
        "most total successors": [-successors[n].bit_count() for n in everyone],
        "greatest rank positional weight": [-weight for weight in weights],
        "greatest resource demand": [-demand for demand in resources],
        "shortest processing time": list(took),
        "earliest start time": early,
    }


def _all_successors(project: ResourceProject) -> list[int]:
    """Return for each activity everything behind it, as a set of bits."""
    behind = [0] * project.size
    for number in reversed(project.topological):
        for other, _ in project.after[number]:
            behind[number] |= behind[other] | (1 << other)
    return behind
