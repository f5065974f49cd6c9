"""The generator of instances keeps what it promises of each cell."""

from __future__ import annotations

from collections import Counter
from math import ceil

import networkx as nx
import numpy as np
import pytest

from ribstitch.planning.levelling import parse_patterson
from tests.bench.instances import Instance, cells, drawn
from tests.support.levelling_checks import read_instance

CHOSEN = (0, 5, 12, 21, 28, 35, 44, 47)


def peaks(instance: Instance) -> list[int]:
    """The most that is used of each resource if everything starts as early as it can."""
    before: list[list[int]] = [[] for _ in instance.durations]
    for number, after in enumerate(instance.followers):
        for other in after:
            before[other].append(number)
    start: list[int] = []
    for others in before:
        start.append(max((start[n] + instance.durations[n] for n in others), default=0))
    used: Counter[tuple[int, int]] = Counter()
    for number, took in enumerate(instance.durations):
        for period in range(start[number], start[number] + took):
            for place, units in enumerate(instance.demands[number]):
                used[period, place] += units
    return [
        max(units for (_, one), units in used.items() if one == place)
        for place in range(len(instance.capacities))
    ]


@pytest.mark.parametrize("number", CHOSEN)
def test_an_instance_has_the_complexity_factor_and_strength_of_its_cell(number: int) -> None:
    cell = cells(30)[number]
    one = drawn(cell, seed=7)
    network = nx.DiGraph((n, other) for n, after in enumerate(one.followers) for other in after)
    assert network.number_of_edges() == ceil(cell.complexity * 32)
    assert nx.transitive_reduction(network).edges == network.edges
    assert max(degree for _, degree in network.in_degree()) <= 3
    assert max(degree for _, degree in network.out_degree()) <= 3
    assert (network.out_degree(0), network.in_degree(31)) == (3, 3)
    asks = np.array(one.demands[1:-1]) > 0
    assert asks.sum() == round(cell.factor * 120)
    assert asks.any(axis=1).all()
    least = np.array(one.demands).max(axis=0)
    wanted = least + cell.strength * (np.array(peaks(one)) - least)
    assert np.abs(np.array(one.capacities) - wanted).max() <= 0.5
    assert set(one.durations[1:-1]) <= set(range(1, 11))


def test_instances_are_read_back_as_they_were_drawn_and_depend_on_the_seed() -> None:
    one, other = (drawn(cells(60)[3], seed) for seed in (1, 2))
    assert one != other
    assert drawn(cells(60)[3], 1) == one
    read, project = read_instance(one.patterson()), parse_patterson(one.patterson())
    assert (read.durations, read.demands, read.followers) == (
        one.durations,
        one.demands,
        one.followers,
    )
    assert project.durations == tuple(one.durations)
    assert project.capacities == tuple(one.capacities)


def test_sets_have_as_many_cells_as_published() -> None:
    assert [len(cells(size)) for size in (30, 60, 120)] == [48, 48, 60]
