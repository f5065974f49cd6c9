"""Resources that follow from all the others together, and bound a project much better.

Two activities may fit each resource on its own and still never run side by side. Give
each activity a weight so that nothing that can run together weighs more than 1: the
weights are demands on one more resource, which every schedule keeps. The weights that
make a project longest come from a linear program over the largest sets of activities that
can run together; it is the dual of the relaxation in A. Mingozzi, V. Maniezzo,
S. Ricciardelli & L. Bianco, "An exact algorithm for the resource-constrained project
scheduling problem based on a new mathematical formulation", Management Science 44, 1998.
Weights are rounded to whole numbers and the capacity counted out for them, so that
nothing depends on the precision of the program.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ribstitch.planning.calendars import Ints
from ribstitch.planning.levelling.bounds import worked_off
from ribstitch.planning.levelling.priorities import early_starts, tails
from ribstitch.planning.levelling.resource_project import ResourceProject

MOST_ACTIVITIES = 200
"""In a larger project too many activities can run at once for this to end."""
MOST_STEPS = 40_000
"""Sets that are looked at before a project is left without derived resources."""
_FINENESS = 1000
"""Units that the capacity is divided into."""
_PARTS = (1 / 3, 1 / 2, 2 / 3)
"""Where a project is cut into an earlier and a later part with resources of their own."""


@dataclass(frozen=True, slots=True)
class DerivedResource:
    """Units of each activity, shape (n,), that never come to more than a capacity at once."""

    units: tuple[int, ...]
    capacity: int


def derived_resources(project: ResourceProject, longest: int) -> tuple[DerivedResource, ...]:
    """
    Return resources that every schedule of a project keeps.

    Parameters
    ----------
    project
        The project.
    longest
        A makespan that is reached; where its middle is for an activity decides in which
        part of the project that activity is looked at. [periods]

    Returns
    -------
    tuple of DerivedResource
        The first is the one of the whole project; none if too many sets of activities can
        run together.
    """
    sets = sets_at_once(project) if project.size <= MOST_ACTIVITIES else []
    if not sets:
        return ()
    table = np.array([[one >> n & 1 for n in range(project.size)] for one in sets], dtype=np.int64)
    took = np.array(project.durations)
    middle = np.array(early_starts(project)) + longest - np.array(tails(project))
    wanted = [took]
    for part in _PARTS:
        cut = np.quantile(middle[took > 0], part)
        wanted += [np.where(middle <= cut, took, 0), np.where(middle >= cut, took, 0)]
    found = dict.fromkeys(_heaviest(table, one) for one in wanted)
    return tuple(one for one in found if one.capacity)


def sets_at_once(project: ResourceProject, most: int = MOST_STEPS) -> list[int]:
    """
    Return the sets of activities that can run at once and that no other can join.

    Each is an integer with the bits of its activities; activities without duration are in
    none. The list is empty if it would take more than `most` steps to find them.
    """
    asked, apart = project.demands, _never_together(project)
    found: list[int] = []
    steps = 0

    def grow(chosen: int, last: int, left: Sequence[int], fitting: Sequence[int]) -> bool:
        """Add activities in order of number; `fitting` holds all that could join."""
        nonlocal steps
        steps += 1
        if not fitting:
            found.append(chosen)
        for n in fitting:
            if n > last:
                rest = [free - units for free, units in zip(left, asked[n], strict=True)]
                still = [
                    other
                    for other in fitting
                    if other != n
                    and not apart[n] >> other & 1
                    and all(units <= free for units, free in zip(asked[other], rest, strict=True))
                ]
                if steps >= most or not grow(chosen | 1 << n, n, rest, still):
                    return False
        return True

    timed = [n for n, took in enumerate(project.durations) if took]
    return found if timed and grow(0, -1, project.capacities, timed) else []


def derived_bound(project: ResourceProject, resources: Sequence[DerivedResource]) -> int:
    """Return the makespan that no schedule can beat, by some derived resources. [periods]"""
    return max((worked_off(project, one.units, one.capacity) for one in resources), default=0)


def _never_together(project: ResourceProject) -> list[int]:
    """Return for each activity which others its links keep away from it, as bits."""
    size, took = project.size, project.durations
    apart = [0] * size
    for first in range(size):
        after: dict[int, int] = {first: 0}
        for number in project.topological:
            reached = after.get(number)
            if reached is not None:
                for other, lag in project.after[number]:
                    after[other] = max(after.get(other, reached + lag), reached + lag)
        for other, lag in after.items():
            if other != first and lag >= took[first]:
                apart[first] |= 1 << other
                apart[other] |= 1 << first
    return apart


def _heaviest(table: Ints, wanted: Ints) -> DerivedResource:
    """Return the resource that makes some work longest."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    answer = linprog(
        -wanted.astype(float),
        A_ub=csr_array(table.astype(float)),
        b_ub=np.ones(len(table)),
        bounds=(0.0, 1.0),
        method="highs",
    )
    if answer.x is None:
        return DerivedResource((0,) * len(wanted), 0)
    units = np.rint(answer.x * _FINENESS).astype(np.int64) * (wanted > 0)
    return DerivedResource(tuple(units.tolist()), int((table @ units).max()))
