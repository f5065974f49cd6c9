"""Searchers side by side: who works when, what ends them, whose errors are seen."""

from __future__ import annotations

import time
from dataclasses import dataclass, field, replace
from threading import Event

import numpy as np
import pytest

from ribstitch.planning.levelling import level_plan, level_project, plan_solver
from ribstitch.planning.levelling.board import Board
from ribstitch.planning.levelling.justification import ProjectDecoder
from ribstitch.planning.levelling.population import Population, rule_members
from ribstitch.planning.levelling.searching import search
from ribstitch.planning.model import Crew, Plan
from tests.core.making import MONDAY, link, plan, task
from tests.core.test_levelling_projects import broken, drawn_project


@dataclass
class Waiting:
    """A refiner that works until it is stopped."""

    stopped: Event = field(default_factory=Event)
    began: bool = False

    def run(self) -> None:
        self.began = True
        self.stopped.wait(10)

    def stop(self) -> None:
        self.stopped.set()


@dataclass
class Failing:
    """A refiner that breaks at once."""

    def run(self) -> None:
        raise ArithmeticError("broken")

    def stop(self) -> None: ...


def searched(refiners: tuple[Waiting | Failing, ...], patience: float, asks: int) -> int:
    """Search a project that cannot be proven and return how many schedules were made."""
    decoder = ProjectDecoder(drawn_project(3, size=20))
    first = [decoder.improve(one) for one in rule_members(decoder).values()]
    best = min(first, key=lambda one: one.makespan)
    asked = iter(range(asks))
    board = Board(best, 0, 60.0, time.monotonic, lambda: next(asked, None) is None)
    population = Population(decoder, first, np.random.default_rng(1))
    made = 0
    step = population.step

    def counted() -> None:
        nonlocal made
        made += 1
        step()

    population.step = counted  # type: ignore[method-assign]
    search(board, population, lambda _: None, refiners, patience)
    return made


def test_breeding_ends_where_nothing_gets_better_and_a_second_solver_begins() -> None:
    first, second = Waiting(), Waiting()
    made = searched((first, second), patience=10, asks=400)
    assert first.began
    assert second.began
    assert 10 <= made < 390
    assert first.stopped.is_set()
    assert second.stopped.is_set()


def test_without_an_end_of_patience_breeding_goes_on_and_the_second_rests() -> None:
    first, second = Waiting(), Waiting()
    assert searched((first, second), patience=float("inf"), asks=100) == 100
    assert first.began
    assert not second.began


@pytest.mark.parametrize("patience", [float("inf"), 5])
def test_an_error_of_a_solver_is_seen(patience: float) -> None:
    with pytest.raises(ArithmeticError, match="broken"):
        searched((Failing(), Failing()), patience, asks=10**6)


def test_a_search_without_solvers_ends_too() -> None:
    assert searched((), float("inf"), asks=50) == 50


@pytest.mark.parametrize("seed", range(4))
def test_medium_projects_keep_all_limits_while_parts_are_solved(seed: int) -> None:
    project = drawn_project(seed, size=70)
    found = level_project(project, seconds=1, clock=time.monotonic, seed=seed)
    assert broken(project, found.starts) == []
    assert found.bound <= found.makespan <= min(found.rule_makespans.values())


def small_crew() -> Plan:
    """Five tasks for three people: 12 days at best, which no simple bound says."""
    rows = {"A": (3, 2), "B": (2, 3), "C": (4, 1), "D": (2, 2), "E": (3, 3)}
    tasks = [
        task(name, days, people=asked, trade="metal", calendar="elapsed")
        for name, (days, asked) in rows.items()
    ]
    links = [link("A", "C"), link("B", "D"), link("C", "E")]
    return replace(plan(tasks, links), crew=(Crew("metal", 3, "elapsed"),))


@pytest.mark.parametrize(("most", "proven"), [(plan_solver.MOST_ENTRIES, True), (0, False)])
def test_a_plan_too_large_for_the_solver_is_left_to_the_search(
    monkeypatch: pytest.MonkeyPatch, most: int, proven: bool
) -> None:
    monkeypatch.setattr(plan_solver, "MOST_ENTRIES", most)
    found = level_plan(small_crew(), seconds=5 if proven else 0.2, clock=time.monotonic)
    assert (found.finish_on - MONDAY).days + 1 == 12
    assert found.is_proven is proven
