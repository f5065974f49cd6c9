"""Level a project without calendars: a plan at once, a better one for as long as allowed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf

import numpy as np

from ribstitch.planning.levelling.board import Board, Clock, Progress
from ribstitch.planning.levelling.bounds import simple_bound
from ribstitch.planning.levelling.justification import ProjectDecoder
from ribstitch.planning.levelling.population import Population, rule_members
from ribstitch.planning.levelling.resource_project import ResourceProject
from ribstitch.planning.levelling.searching import Report, search
from ribstitch.planning.levelling.solver import PROVEN_WHOLE, ProjectSolver

_PATIENCE = 1500
"""Schedules of a small project in a row that are no better, before proof comes first."""


@dataclass(frozen=True, slots=True)
class LevelledProject:
    """
    A feasible schedule, and how good it is.

    Attributes
    ----------
    starts
        Start of each activity, shape (n,). [periods]
    makespan
        When the last activity ends. [periods]
    bound
        No schedule ends before it; equal to `makespan` if that is proven shortest.
    rule_makespans
        What each priority rule gives on its own.
    """

    starts: tuple[int, ...]
    makespan: int
    bound: int
    rule_makespans: dict[str, int]

    @property
    def gap(self) -> float:
        """Return by what share of itself the makespan may still be too long."""
        return Progress(self.makespan, self.bound, 0.0).gap


def level_project(
    project: ResourceProject,
    *,
    seconds: float,
    clock: Clock,
    seed: int = 1,
    report: Report = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> LevelledProject:
    """
    Find a short schedule that keeps every lag and capacity.

    Parameters
    ----------
    project
        What is to be done, with what.
    seconds
        How long to look for a better schedule and a better bound; with 0 it is the best
        of the priority rules, improved. The search ends early on a proof. [s]
    clock
        Tells seconds that only go forward, such as `time.monotonic`.
    seed
        Of everything drawn. Two searchers share the time, so that the same seed gives
        the same schedule only with `seconds` 0.
    report
        Told of the first schedule and of every better one, and of every better bound.
    cancelled
        Asked between schedules; once it says yes, the best so far is returned.

    Raises
    ------
    ValueError
        If `seconds` is negative.
    """
    if seconds < 0:
        raise ValueError(f"{seconds} seconds cannot be")
    decoder = ProjectDecoder(project)
    rules = rule_members(decoder)
    first = [decoder.improve(member) for member in rules.values()]
    best = min(first, key=lambda member: member.makespan)
    board = Board(best, simple_bound(project), seconds, clock, cancelled)
    report(board.progress())
    if not board.is_over:
        is_small = project.size <= PROVEN_WHOLE
        chance, *others = np.random.default_rng(seed).spawn(3 if is_small else 2)
        population = Population(decoder, first, chance)
        solvers = [ProjectSolver(decoder, board, other) for other in others]
        search(board, population, report, solvers, _PATIENCE if is_small else inf)
    rule_makespans = {rule: member.makespan for rule, member in rules.items()}
    return LevelledProject(board.best.starts, board.best.makespan, board.bound, rule_makespans)
