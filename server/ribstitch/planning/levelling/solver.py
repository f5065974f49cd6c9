"""The CP-SAT side of levelling a project: proofs for all of it, better parts of it.

One worker without linear relaxation closes small projects several times faster than
the solver's usual team does; on large ones it improves a part of the best schedule at a
time, the rest kept in its order (large neighbourhood search; M. Palpant, C. Artigues &
P. Michelon, "LSSPER", Annals of Operations Research 131, 2004).
"""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

import numpy as np

from ribstitch.planning.levelling.board import Board, ContradictionError
from ribstitch.planning.levelling.derived_resources import (
    DerivedResource,
    derived_bound,
    derived_resources,
)
from ribstitch.planning.levelling.justification import ProjectDecoder
from ribstitch.planning.levelling.members import Member
from ribstitch.planning.levelling.priorities import early_starts, tails

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

PROVEN_WHOLE = 45
"""Up to so many activities, all the time goes into proof. [activities]"""
_PROOF_SHARE = 0.5
"""Share of the time that goes into proof for larger projects."""
_PART_SECONDS = 0.6
"""Time for one part. [s]"""
_PART = 40
"""Activities of a part."""


class ProjectSolver:
    """
    Proves and improves schedules of one project on a board, in a thread of its own.

    Parameters
    ----------
    decoder
        Of the project; tightens what the solver finds.
    board
        Where the best schedule and bound stand.
    draw
        Source of all chance.
    """

    def __init__(self, decoder: ProjectDecoder, board: Board, draw: np.random.Generator) -> None:
        self._decoder = decoder
        self._project = decoder.project
        self._board = board
        self._draw = draw
        self._early = early_starts(self._project)
        self._tails = tails(self._project)
        self._derived: tuple[DerivedResource, ...] = ()
        self._running: cp_model.CpSolver | None = None

    def run(self) -> None:
        """Work until the board says that it is over."""
        total = self._board.seconds_left
        self._derived = derived_resources(self._project, self._board.best.makespan)
        self._board.raise_bound(derived_bound(self._project, self._derived))
        share = 1.0 if self._project.size <= PROVEN_WHOLE else _PROOF_SHARE
        if not self._board.is_over:
            self._solve(frozenset(range(self._project.size)), total * share)
        while not self._board.is_over:
            self._solve(self._part(self._board.best), _PART_SECONDS)

    def stop(self) -> None:
        """End the solver's current work as soon as it can be."""
        running = self._running
        if running is not None:
            running.stop_search()

    def _part(self, member: Member) -> frozenset[int]:
        """Draw a stretch of time and return the activities around it."""
        middle = np.array(member.starts) + np.array(self._project.durations) / 2
        at = self._draw.integers(0, max(member.makespan, 1))
        blur = 0.15 * member.makespan * self._draw.random(self._project.size)
        return frozenset(np.argsort(np.abs(middle - at) + blur)[:_PART].tolist())

    def _solve(self, free: Collection[int], seconds: float) -> None:
        """Improve on the best schedule; what is not free keeps its order."""
        from ortools.sat.python import cp_model

        best, whole = self._board.best, len(free) == self._project.size
        model, starts = self._model(best, free)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 0
        solver.parameters.max_time_in_seconds = min(seconds, self._board.seconds_left)
        solver.parameters.random_seed = int(self._draw.integers(1 << 30))
        if whole:
            solver.best_bound_callback = lambda bound: self._bound_found(round(bound))
        self._running = solver
        status = solver.solve(model, self._watcher(starts) if whole else None)
        self._running = None
        if status in (cp_model.INFEASIBLE, cp_model.MODEL_INVALID):
            raise ContradictionError(solver.status_name(status))
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self._take([solver.value(start) for start in starts])
        if whole and status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
            self._board.raise_bound(round(solver.best_objective_bound))

    def _model(
        self, best: Member, free: Collection[int]
    ) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
        """Build the model of a project whose schedule ends no later than the best."""
        from ortools.sat.python import cp_model

        project, end = self._project, best.makespan
        model = cp_model.CpModel()
        starts = [
            model.new_int_var(early, end - tail, "")
            for early, tail in zip(self._early, self._tails, strict=True)
        ]
        for lag in project.lags:
            model.add(starts[lag.after] >= starts[lag.before] + lag.lag)
        for before, after in _kept_order(project.durations, best.starts, free):
            model.add(starts[after] >= starts[before] + project.durations[before])
        runs = [
            model.new_fixed_size_interval_var(start, took, "")
            for start, took in zip(starts, project.durations, strict=True)
        ]
        for place, capacity in enumerate(project.capacities):
            users = [n for n in range(project.size) if project.demands[n][place]]
            model.add_cumulative(
                [runs[n] for n in users], [project.demands[n][place] for n in users], capacity
            )
        for one in self._derived:
            users = [n for n in range(project.size) if one.units[n]]
            model.add_cumulative(
                [runs[n] for n in users], [one.units[n] for n in users], one.capacity
            )
        makespan = model.new_int_var(self._board.bound, end, "")
        for number in range(project.size):
            if not project.after[number]:
                model.add(makespan >= starts[number] + project.durations[number])
        model.minimize(makespan)
        for start, hint in zip(starts, best.starts, strict=True):
            model.add_hint(start, hint)
        return model, starts

    def _watcher(self, starts: list[cp_model.IntVar]) -> cp_model.CpSolverSolutionCallback:
        """Return what hands every schedule that the solver finds to the board."""
        from ortools.sat.python import cp_model

        take = self._take

        class Watcher(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                take([self.value(start) for start in starts])

        return Watcher()

    def _take(self, starts: list[int]) -> None:
        """Offer what the solver found, tightened, to the board."""
        found = Member(self._project.makespan(starts), tuple(starts))
        self._board.offer(self._decoder.improve(found))

    def _bound_found(self, bound: int) -> None:
        """Tell the board of a bound."""
        self._board.raise_bound(bound)
        if self._board.is_over:
            self.stop()


def _kept_order(
    durations: tuple[int, ...], starts: tuple[int, ...], free: Collection[int]
) -> list[tuple[int, int]]:
    """Return which of the activities that are not free comes right after which."""
    kept = sorted(
        (n for n, took in enumerate(durations) if took and n not in free), key=starts.__getitem__
    )
    pairs = []
    for place, before in enumerate(kept):
        end = starts[before] + durations[before]
        until = None
        for after in kept[place + 1 :]:
            if starts[after] < end:
                continue
            if until is not None and starts[after] >= until:
                break
            pairs.append((before, after))
            ends = starts[after] + durations[after]
            until = ends if until is None else min(until, ends)
    return pairs
