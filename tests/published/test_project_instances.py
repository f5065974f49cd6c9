"""Resource-constrained projects whose shortest makespans are published.

R. Kolisch & A. Sprecher, European Journal of Operational Research 96, 1997, and the
library's lists of optima and best known values (data/README.md). All values are whole
numbers and compared exactly.
"""

from __future__ import annotations

import itertools
import time
from pathlib import Path

import pytest

from ribstitch.planning.levelling import Progress, level_project, parse_patterson
from tests.support.levelling_checks import ends, faults, read_instance

DATA = Path(__file__).parent / "data"
SHORTEST = {"j30_1_1": 43, "j30_13_1": 58, "j60_1_2": 68, "j120_41_1": 127}
CRITICAL_PATH = {"j30_1_1": 38, "j30_13_1": 34, "j60_1_2": 65, "j120_41_1": 103}
PROVEN = ("j30_1_1", "j60_1_2")
"""Closed in well under a second on two cores."""


def text_of(name: str) -> str:
    return (DATA / f"{name}.rcp").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", PROVEN)
def test_shortest_makespan_is_found_and_proven(name: str) -> None:
    text = text_of(name)
    found = level_project(parse_patterson(text), seconds=20, clock=time.monotonic)
    assert faults(read_instance(text), found.starts) == []
    assert ends(read_instance(text), found.starts) == found.makespan == SHORTEST[name]
    assert found.bound == SHORTEST[name]
    assert found.gap == 0


@pytest.mark.parametrize("name", sorted(SHORTEST))
def test_plan_at_once_keeps_every_limit_and_no_bound_is_above_the_optimum(name: str) -> None:
    text = text_of(name)
    found = level_project(parse_patterson(text), seconds=0, clock=time.monotonic)
    assert faults(read_instance(text), found.starts) == []
    assert ends(read_instance(text), found.starts) == found.makespan
    assert CRITICAL_PATH[name] <= found.bound <= SHORTEST[name] <= found.makespan
    assert found.makespan <= min(found.rule_makespans.values())


def test_more_time_never_makes_a_longer_plan() -> None:
    """The hard one of the small set: what half a second adds to the plan at once."""
    text = text_of("j30_13_1")
    at_once = level_project(parse_patterson(text), seconds=0, clock=time.monotonic)
    later = level_project(parse_patterson(text), seconds=0.5, clock=time.monotonic)
    assert faults(read_instance(text), later.starts) == []
    assert SHORTEST["j30_13_1"] <= later.makespan <= at_once.makespan
    assert at_once.bound <= later.bound <= SHORTEST["j30_13_1"]


def test_progress_never_gets_worse_and_ends_with_the_result() -> None:
    told: list[Progress] = []
    project = parse_patterson(text_of("j30_13_1"))
    found = level_project(project, seconds=0.7, clock=time.monotonic, report=told.append)
    assert len(told) > 1
    assert [one.makespan for one in told] == sorted((one.makespan for one in told), reverse=True)
    assert [one.bound for one in told] == sorted(one.bound for one in told)
    assert (told[-1].makespan, told[-1].bound) == (found.makespan, found.bound)
    assert told[0].seconds < 0.3


def test_cancelling_returns_the_best_so_far_at_once() -> None:
    asked, began, text = itertools.count(), time.monotonic(), text_of("j30_13_1")
    found = level_project(
        parse_patterson(text),
        seconds=60,
        clock=time.monotonic,
        cancelled=lambda: next(asked) > 20,
    )
    assert time.monotonic() - began < 10
    assert faults(read_instance(text), found.starts) == []
    assert found.gap > 0


def test_the_checker_sees_a_broken_link_and_a_broken_capacity() -> None:
    instance = read_instance(text_of("j30_1_1"))
    all_at_once = faults(instance, [0] * len(instance.durations))
    assert "5 does not wait for 1" in all_at_once
    assert any("of resource 0 in period 0" in fault for fault in all_at_once)
