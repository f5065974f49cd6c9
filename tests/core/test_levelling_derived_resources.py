"""Resources that follow from all the others, against every set of activities."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from ribstitch.planning.levelling import ResourceProject, StartLag
from ribstitch.planning.levelling.bounds import critical_path_bound, simple_bound, work_bound
from ribstitch.planning.levelling.derived_resources import (
    derived_bound,
    derived_resources,
    sets_at_once,
)
from ribstitch.planning.levelling.justification import ProjectDecoder
from ribstitch.planning.levelling.ordering import sampled_order
from tests.core.test_levelling_projects import drawn_project, shortest


def three_pairs() -> ResourceProject:
    """Each two of three activities are too much for one of three resources."""
    return ResourceProject(
        durations=(2, 3, 4),
        demands=((2, 2, 0), (2, 0, 2), (0, 2, 2)),
        capacities=(3, 3, 3),
        lags=(),
    )


def running(project: ResourceProject, starts: tuple[int, ...], period: int) -> list[int]:
    return [
        n
        for n, start in enumerate(starts)
        if start <= period < start + project.durations[n]
    ]  # fmt: skip


def test_activities_that_never_fit_in_pairs_go_one_after_the_other() -> None:
    project = three_pairs()
    assert sorted(sets_at_once(project)) == [0b001, 0b010, 0b100]
    resources = derived_resources(project, 9)
    assert simple_bound(project) == 5
    assert derived_bound(project, resources) == 9


def test_links_keep_activities_apart_too() -> None:
    project = ResourceProject((2, 3, 4), ((1,),) * 3, (3,), (StartLag(0, 1, 2), StartLag(1, 2, 1)))
    assert sorted(sets_at_once(project)) == [0b001, 0b110]


@pytest.mark.parametrize("seed", range(12))
def test_sets_at_once_are_all_that_no_other_can_join(seed: int) -> None:
    """Against every subset, resource by resource, links by the longest way between starts."""
    project = drawn_project(seed, size=8)
    size, took = project.size, project.durations
    way = np.full((size, size), -np.inf)
    np.fill_diagonal(way, 0.0)
    for lag in project.lags:
        way[lag.before, lag.after] = max(way[lag.before, lag.after], lag.lag)
    for middle in range(size):
        way = np.maximum(way, way[:, [middle]] + way[[middle], :])

    def together(some: tuple[int, ...]) -> bool:
        fits = all(
            sum(project.demands[n][place] for n in some) <= capacity
            for place, capacity in enumerate(project.capacities)
        )
        return fits and all(way[a, b] < took[a] for a, b in itertools.permutations(some, 2))

    timed = [n for n in range(size) if took[n]]
    subsets = [
        set(some)
        for count in range(1, len(timed) + 1)
        for some in itertools.combinations(timed, count)
        if together(some)
    ]
    wanted = [one for one in subsets if not any(one < other for other in subsets)]
    assert sorted(sets_at_once(project)) == sorted(sum(1 << n for n in one) for one in wanted)


@pytest.mark.parametrize("seed", range(12))
def test_no_bound_is_above_the_shortest_makespan(seed: int) -> None:
    project = drawn_project(seed)
    best = shortest(project)
    resources = derived_resources(project, best)
    assert derived_bound(project, resources) <= best
    assert max(critical_path_bound(project), work_bound(project)) <= best


@pytest.mark.parametrize("seed", range(20))
def test_every_schedule_keeps_derived_resources(seed: int) -> None:
    project = drawn_project(seed, size=18)
    decoder, draw = ProjectDecoder(project), np.random.default_rng(seed)
    resources = derived_resources(project, 30)
    assert resources
    for keys in decoder.priorities().values():
        starts = decoder.decode(sampled_order(keys, decoder.successors(), draw)).starts
        for period in range(project.makespan(starts)):
            for one in resources:
                used = sum(one.units[n] for n in running(project, starts, period))
                assert used <= one.capacity


def test_too_many_sets_are_given_up() -> None:
    project = ResourceProject((1,) * 30, ((1,),) * 30, (8,), ())
    assert sets_at_once(project, most=1000) == []
    assert derived_resources(project, 30) == ()


def test_a_project_without_work_has_no_derived_resources() -> None:
    assert derived_resources(ResourceProject((0, 0), ((), ()), (), ()), 0) == ()
