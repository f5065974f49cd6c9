"""Random networks against scipy's linear programming (HiGHS) and networkx's longest path."""

from __future__ import annotations

import random

import networkx as nx
import pytest

from ribstitch.planning.model import Link, Relation, Task
from ribstitch.planning.schedule import schedule
from ribstitch.planning.ticks import TICKS_PER_DAY
from tests.core.making import link, plan, ticks
from tests.published.networks import CALENDARS, Network, unit
from tests.published.test_precedence_links import program


def random_network(seed: int, relations: tuple[Relation, ...], lags: tuple[int, int]) -> Network:
    """Return a random network of 10 to 50 tasks in whole days."""
    chance = random.Random(seed)
    count = chance.randint(10, 50)
    tasks = tuple(Task(f"T{n}", ticks(chance.randint(1, 15))) for n in range(count))
    links: list[Link] = []
    for after in range(1, count):
        for before in chance.sample(range(after), min(after, chance.randint(0, 3))):
            relation = chance.choice(relations)
            lag = chance.randint(*lags)
            if relation is Relation.START_FINISH and lag == 0:
                lag = 1  # a Monday's start and a Friday's finish are one unit, yet two instants
            links.append(link(f"T{before}", f"T{after}", relation, lag))
    return Network(tasks, tuple(links), ())


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("calendar", ["elapsed", "shop"])
def test_early_and_late_starts_agree_with_a_linear_program(seed: int, calendar: str) -> None:
    """All four relations, lags of -6 to 9 days; earliest and latest as extreme sums of starts."""
    network = random_network(seed, tuple(Relation), (-6, 9))
    result = schedule(plan(network.tasks, network.links, calendar=calendar, calendars=CALENDARS))
    finish = unit(result.project_finish, calendar)
    early = program(network)
    length = [one.duration // TICKS_PER_DAY for one in network.tasks]
    assert finish == max(s + d for s, d in zip(early, length, strict=True))
    assert [unit(one, calendar) for one in result.start] == early
    assert [unit(one, calendar) for one in result.late_begin] == program(network, finish)


@pytest.mark.parametrize("seed", range(40))
def test_finish_is_the_longest_path_that_networkx_finds(seed: int) -> None:
    """Finish-start links with lags from 0; an arrow's weight is its task and its lag."""
    network = random_network(seed, (Relation.FINISH_START,), (0, 9))
    graph: nx.DiGraph[str] = nx.DiGraph()
    length = {one.id: one.duration // TICKS_PER_DAY for one in network.tasks}
    for name, days in length.items():
        graph.add_edge(name, "finish", weight=days)
    for one in network.links:
        weight = length[one.before] + one.lag // TICKS_PER_DAY
        graph.add_edge(one.before, one.after, weight=weight)
    result = schedule(plan(network.tasks, network.links, calendars=CALENDARS))
    assert unit(result.project_finish, "shop") == nx.dag_longest_path_length(graph)
