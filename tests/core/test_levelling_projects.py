"""Levelling without calendars: reading, placing, improving, bounding, stopping."""

from __future__ import annotations

import itertools
import time

import numpy as np
import pytest

from ribstitch.planning.errors import CycleError, InvalidValueError
from ribstitch.planning.levelling import ResourceProject, StartLag, level_project, parse_patterson
from ribstitch.planning.levelling.board import Board
from ribstitch.planning.levelling.bounds import critical_path_bound, work_bound
from ribstitch.planning.levelling.justification import ProjectDecoder
from ribstitch.planning.levelling.members import Member
from ribstitch.planning.levelling.ordering import order_by, sampled_order
from ribstitch.planning.levelling.priorities import RULES, priorities
from ribstitch.planning.levelling.serial import SerialScheme


def small_crew(people: int) -> ResourceProject:
    """The small crew of five activities whose answers can be enumerated by hand."""
    links = ((0, 2, 3), (1, 3, 2), (2, 4, 4))
    return ResourceProject(
        durations=(3, 2, 4, 2, 3),
        demands=((2,), (3,), (1,), (2,), (3,)),
        capacities=(people,),
        lags=tuple(StartLag(*link) for link in links),
        names=("A", "B", "C", "D", "E"),
        resource_names=("crew",),
    )


def drawn_project(seed: int, size: int = 7) -> ResourceProject:
    """A random project with two resources and lags of all signs."""
    draw = np.random.default_rng(seed)
    durations = tuple(draw.integers(0, 5, size).tolist())
    pairs = [pair for pair in itertools.combinations(range(size), 2) if draw.random() < 0.25]
    lags = tuple(StartLag(a, b, durations[a] + int(draw.integers(-2, 3))) for a, b in pairs)
    demands = tuple(map(tuple, draw.integers(0, 4, (size, 2)).tolist()))
    return ResourceProject(durations, demands, (3, 4), lags)


def shortest(project: ResourceProject) -> int:
    """The shortest makespan over all orders of placing: serial schedules hold an optimum."""
    scheme = SerialScheme(project)
    best = project.horizon
    for order in itertools.permutations(range(project.size)):
        place = {number: at for at, number in enumerate(order)}
        if all(place[lag.before] < place[lag.after] for lag in project.lags):
            best = min(best, project.makespan(scheme.starts(order)))
    return best


def broken(project: ResourceProject, starts: tuple[int, ...]) -> list[str]:
    """What a schedule breaks, counted period by period."""
    found = [f"{lag}" for lag in project.lags if starts[lag.after] < starts[lag.before] + lag.lag]
    for period in range(project.makespan(starts)):
        running = [n for n in range(project.size)
                   if starts[n] <= period < starts[n] + project.durations[n]]  # fmt: skip
        for place, capacity in enumerate(project.capacities):
            if sum(project.demands[n][place] for n in running) > capacity:
                found.append(f"{place} in {period}")
    return found


@pytest.mark.parametrize(("people", "days"), [(3, 12), (4, 10), (5, 10)])
def test_small_crew_finishes_as_enumerated_by_hand(people: int, days: int) -> None:
    found = level_project(small_crew(people), seconds=5, clock=time.monotonic)
    assert (found.makespan, found.bound) == (days, days)


def test_crew_too_small_is_named_with_what_would_make_it_possible() -> None:
    with pytest.raises(InvalidValueError, match=r"activity B: needs 3 of resource crew .* are 2"):
        small_crew(2)


@pytest.mark.parametrize("seed", range(12))
def test_solver_proves_the_shortest_of_all_orders(seed: int) -> None:
    project = drawn_project(seed)
    found = level_project(project, seconds=10, clock=time.monotonic, seed=seed)
    assert broken(project, found.starts) == []
    assert found.makespan == found.bound == shortest(project)


@pytest.mark.parametrize("seed", range(40))
def test_every_placing_and_improving_keeps_all_limits(seed: int) -> None:
    project = drawn_project(seed, size=25)
    decoder, draw = ProjectDecoder(project), np.random.default_rng(seed)
    successors = decoder.successors()
    for keys in priorities(project).values():
        for order in (order_by(keys, successors), sampled_order(keys, successors, draw)):
            member = decoder.decode(order)
            better = decoder.improve(member)
            assert broken(project, member.starts) == []
            assert broken(project, better.starts) == []
            assert better.makespan <= member.makespan
            assert better.makespan >= max(critical_path_bound(project), work_bound(project))


def test_serial_scheme_fills_a_gap_that_is_long_enough() -> None:
    """C (2 periods) fits between A and B, D (3 periods) does not."""
    project = ResourceProject(
        durations=(1, 1, 2, 3),
        demands=((2,), (2,), (1,), (1,)),
        capacities=(2,),
        lags=(StartLag(0, 1, 3),),
    )
    assert SerialScheme(project).starts([0, 1, 2, 3]) == [0, 3, 1, 4]


def test_every_rule_gives_its_own_order() -> None:
    keys = priorities(small_crew(3))
    assert tuple(keys) == RULES
    assert keys["latest start time"] == [-10, -4, -7, -2, -3]
    assert keys["latest finish time"] == [-7, -2, -3, 0, 0]
    assert keys["minimum slack"] == [0, 6, 0, 6, 0]
    assert keys["most total successors"] == [-2, -1, -1, 0, 0]
    assert keys["greatest rank positional weight"] == [-7, -4, -7, -2, -3]


def test_sampled_orders_follow_the_links_and_prefer_the_smaller_key() -> None:
    draw = np.random.default_rng(1)
    first = [sampled_order([0, 9, 5], [[2], [], []], draw, 2.0)[0] for _ in range(600)]
    assert 2 not in first
    share = first.count(0) / len(first)
    assert share == pytest.approx(100 / 101, abs=0.03)


def test_work_bound_counts_what_must_come_before_and_after() -> None:
    """3 x 2 units on a capacity of 2 take 3 periods, after 4 and before 5."""
    project = ResourceProject(
        durations=(4, 2, 2, 2, 5),
        demands=((0,), (1,), (1,), (1,), (0,)),
        capacities=(2,),
        lags=(*(StartLag(0, n, 4) for n in (1, 2, 3)), *(StartLag(n, 4, 2) for n in (1, 2, 3))),
    )
    assert work_bound(project) == 12
    assert critical_path_bound(project) == 11


def test_without_time_the_same_plan_comes_out_again() -> None:
    project = drawn_project(3, size=40)
    one, other = (level_project(project, seconds=0, clock=time.monotonic) for _ in range(2))
    assert one == other


def test_negative_time_is_refused() -> None:
    with pytest.raises(ValueError, match="-1 seconds"):
        level_project(small_crew(3), seconds=-1, clock=time.monotonic)


def test_a_board_keeps_the_best_and_knows_when_it_is_over() -> None:
    now = [0.0]
    board = Board(Member(9, ()), 5, 2.0, lambda: now[0], lambda: False)
    board.offer(Member(10, (1,)))
    assert board.best == Member(9, ())
    board.offer(Member(8, (2,)))
    board.raise_bound(4)
    assert (board.progress().makespan, board.bound, board.is_over) == (8, 5, False)
    assert board.progress().gap == 3 / 8
    now[0] = 2.0
    assert (board.is_over, board.is_proven, board.seconds_left) == (True, False, 0.0)
    board.raise_bound(8)
    assert board.is_proven


def test_patterson_layout_is_read_whatever_its_line_ends() -> None:
    project = parse_patterson("3 1 2 0 1 1 2\n4  \n2 1\n3 0 0 0")
    assert (project.size, project.capacities, project.durations) == (3, (2,), (0, 4, 0))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "line 1: the text ends before the number of activities"),
        ("2 1\n4\n0 0 1 2\n3", "line 4: the text ends before a demand of activity 2"),
        ("2 1\n4\n0 x", 'line 3: "x" stands where a demand of activity 1 should'),
        ("2 1\n4\n0 0 1 3\n", "line 3: what waits for activity 1 is 3, not from 1 to 2"),
        ("1 1\n4\n-2 0 0", "line 3: the duration of activity 1 is -2, not from 0"),
        ("1 0\n0 0 7", 'line 2: "7" stands after the last activity'),
        ("2 1\n4\n1 5 0\n1 1 0", "activity 1: needs 5 of resource 1 at once and there are 4"),
    ],
)
def test_what_is_no_instance_is_refused_by_line(text: str, sentence: str) -> None:
    with pytest.raises(InvalidValueError) as refused:
        parse_patterson(text)
    assert str(refused.value).startswith(sentence)


def test_activities_that_wait_in_a_circle_are_named() -> None:
    with pytest.raises(CycleError, match="1 -> 2 -> 1"):
        parse_patterson("2 0 1 1 2 1 1 1")
