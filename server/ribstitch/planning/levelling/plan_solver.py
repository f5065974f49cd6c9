"""The CP-SAT side of levelling a plan: a model that asks for a little less than the plan.

An activity is the work that its calendar does before it. Links within one calendar are
tied in that work, links between two in instants, which are looked up by the worked date.
Left out are places, people who are asked for on another calendar than their own, and lags
on working time between two calendars. What is left out can only make the model's answer
earlier, so that its bound holds for the plan; and the answer is taken as an order and
placed exactly, so that a plan comes out whatever was left out.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from ribstitch.planning.levelling.board import Board, ContradictionError
from ribstitch.planning.levelling.crew_problem import Bound, Limit, Row
from ribstitch.planning.levelling.members import Member
from ribstitch.planning.levelling.placing import PlanDecoder
from ribstitch.planning.levelling.work_scale import OutOfRangeError, WorkScale
from ribstitch.planning.ticks import TICKS_PER_DAY

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

MOST_ENTRIES = 600_000
"""A larger model would not be read in before its time is over. [dates to look up]"""


class PlanSolver:
    """
    Proves and improves levelled plans on a board, in a thread of its own.

    Parameters
    ----------
    decoder
        Of the plan; places what the solver answers.
    board
        Where the best plan and bound stand.
    early
        Where each activity begins without people and places. [ticks]
    draw
        Source of all chance.
    """

    def __init__(
        self, decoder: PlanDecoder, board: Board, early: Sequence[int], draw: np.random.Generator
    ) -> None:
        self._decoder = decoder
        self._board = board
        self._early = early
        self._draw = draw
        self._running: cp_model.CpSolver | None = None

    def run(self) -> None:
        """Solve until the board says that it is over, each time for a better plan."""
        while not self._board.is_over:
            if not self._solve():
                return

    def stop(self) -> None:
        """End the solver's current work as soon as it can be."""
        running = self._running
        if running is not None:
            running.stop_search()

    def _solve(self) -> bool:
        """Look for a plan that finishes earlier; return whether there is one."""
        from ortools.sat.python import cp_model

        best = self._board.best
        built = _Model(self._decoder, best, self._early, lambda: self._board.is_over)
        if not built.is_whole:
            return False
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 0
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_time_in_seconds = self._board.seconds_left
        solver.parameters.random_seed = int(self._draw.integers(1 << 30))
        solver.best_bound_callback = lambda finish: self._bound_found(round(finish))
        self._running = solver
        status = solver.solve(built.model, built.watcher(self._take))
        self._running = None
        if status in (cp_model.INFEASIBLE, cp_model.MODEL_INVALID):
            raise ContradictionError(solver.status_name(status))
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
            self._bound_found(round(solver.best_objective_bound))
        return bool(
            status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
            and self._board.best.makespan < best.makespan
        )

    def _take(self, starts: list[int]) -> None:
        """Place what the solver found in its order and offer it to the board."""
        order = self._decoder.order_of(Member(0, tuple(starts)))
        try:
            self._board.offer(self._decoder.improve(self._decoder.decode(order)))
        except OutOfRangeError:
            return

    def _bound_found(self, finish: int) -> None:
        """Tell the board of an instant before which no plan finishes."""
        self._board.raise_bound(finish)
        if self._board.is_over:
            self.stop()


class _Model:
    """The model of one plan that finishes no later than the best."""

    def __init__(
        self,
        decoder: PlanDecoder,
        best: Member,
        early: Sequence[int],
        is_over: Callable[[], bool],
    ) -> None:
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        self._problem = decoder.problem
        self._best, self._early = best, early
        self._ends = decoder.ends(best)
        self._fixed = decoder.started_first
        rows = self._problem.rows
        self._last = max(
            (end for end, row in zip(self._ends, rows, strict=True) if not row.dropped), default=0
        )
        self._work: dict[int, cp_model.IntVar] = {}
        """Work done before each activity that is free to move."""
        self._range: dict[int, tuple[int, int, int]] = {}
        """What that work can be at least, is in the best plan, can be at most. [ticks]"""
        self._idle: dict[int, cp_model.IntVar] = {}
        """Where each activity without work stands."""
        self._instants: dict[tuple[int, bool], cp_model.LinearExpr] = {}
        self.entries = 0
        """Dates that have to be looked up: what makes the model large."""
        self.is_whole = False
        """Whether all of the plan is in it: not if that is too much, or time is over."""
        for number, row in enumerate(rows):
            self._add_activity(number, row)
        for number, row in enumerate(rows):
            for bound in row.bounds:
                self._add_link(number, row, bound)
            if self.entries > MOST_ENTRIES or is_over():
                return
        for number, limit in enumerate(self._problem.limits):
            if limit.scale is not None:
                self._add_people(number, limit, limit.scale)
            if is_over():
                return
        self._add_finish()
        self.is_whole = self.entries <= MOST_ENTRIES and not is_over()

    def watcher(self, take: Callable[[list[int]], None]) -> cp_model.CpSolverSolutionCallback:
        """Return what hands the begins of every solution on."""
        from ortools.sat.python import cp_model

        rows, work, idle = self._problem.rows, self._work, self._idle
        starts = self._best.starts

        class Watcher(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                found = list(starts)
                for number, variable in work.items():
                    found[number] = rows[number].scale.latest(self.value(variable))
                for number, variable in idle.items():
                    found[number] = self.value(variable)
                take(found)

        return Watcher()

    def _add_activity(self, number: int, row: Row) -> None:
        """Add an activity that is free to move, by the work done before it."""
        if row.finished is not None or number in self._fixed:
            return
        model, begin = self.model, self._best.starts[number]
        early = min(self._early[number], begin)
        if not row.work:
            at = model.new_int_var(early, max(self._last, begin), "")
            model.add_hint(at, begin)
            self._idle[number] = at
            return
        scale = row.scale
        here, low = scale.work_before(begin), scale.work_before(early)
        high = max(scale.work_before(self._last) - row.work, here)
        work = model.new_int_var(low, high, "")
        model.add_hint(work, here)
        self._work[number] = work
        self._range[number] = (low, here, high)

    def _is_free(self, number: int) -> bool:
        """Return whether an activity can move."""
        return number in self._work or number in self._idle

    def _instant(self, number: int, at_end: bool) -> cp_model.LinearExpr:
        """Return where an activity that is free to move begins or ends."""
        if number in self._idle:
            return self._idle[number]
        if (number, at_end) not in self._instants:
            row, work = self._problem.rows[number], self._work[number]
            low, here, high = self._range[number]
            if at_end:
                last = row.work - 1
                limits = (low + last, here + last, high + last)
                found = self._looked_up(row.scale, work + last, limits) + 1
            else:
                found = self._looked_up(row.scale, work, (low, here, high))
            self._instants[number, at_end] = found
        return self._instants[number, at_end]

    def _looked_up(
        self, scale: WorkScale, work: cp_model.LinearExpr, limits: tuple[int, int, int]
    ) -> cp_model.LinearExpr:
        """Return where the tick after so much work begins; limits are low, here, high."""
        model, before = self.model, scale.before
        low, here, high = (bisect_right(before, one) - 1 for one in limits)
        days = [day for day in range(low, high + 1) if scale.worked[day]]
        now = days.index(here)
        place = model.new_int_var(0, len(days) - 1, "")
        model.add_hint(place, now)

        def by_place(values: list[int]) -> cp_model.LinearExpr:
            self.entries += len(values)
            found = model.new_int_var(min(values), max(values), "")
            model.add_element(place, values, found)
            model.add_hint(found, values[now])
            return found

        worked = [scale.worked[day] for day in days]
        if min(worked) == max(worked):
            first, most = before[days[0]], worked[0]
            model.add(work >= place * most + first)
            model.add(work < place * most + (first + most))
        else:
            start = by_place([before[day] for day in days])
            model.add(work >= start)
            model.add(work < start + by_place(worked))
        return work + by_place([TICKS_PER_DAY * day - before[day] for day in days])

    def _add_link(self, number: int, row: Row, bound: Bound) -> None:
        """Add what a link asks of an activity that is free to move."""
        if not self._is_free(number) or (row.deaf and not bound.to_finish):
            return
        before, other = bound.before, self._problem.rows[bound.before]
        moves = self._is_free(before) and (other.started is None or bound.from_finish)
        if (
            moves
            and number in self._work
            and before in self._work
            and not bound.elapsed_lag
            and row.scale.worked == other.scale.worked
        ):
            mine = self._work[number] + (row.work if bound.to_finish else 0)
            theirs = self._work[before] + (other.work if bound.from_finish else 0)
            self.model.add(mine >= theirs + bound.work_lag)
        elif bound.work_lag >= 0:
            event: cp_model.LinearExprT = self._ends[before]
            if moves:
                event = self._instant(before, bound.from_finish)
            elif not bound.from_finish:
                event = self._best.starts[before] if other.started is None else other.started
            mine = self._instant(number, bound.to_finish)
            self.model.add(mine >= event + bound.elapsed_lag)

    def _add_finish(self) -> None:
        """Add the finish, to be made early; what something waits for ends before it."""
        rows = self._problem.rows
        awaited = {
            bound.before
            for number, row in enumerate(rows)
            for bound in row.bounds
            if self._is_free(number) and not row.dropped and not row.deaf
            and bound.from_finish and min(bound.elapsed_lag, bound.work_lag) >= 0
        }  # fmt: skip
        still = max(
            (end for n, end in enumerate(self._ends) if not rows[n].dropped
             and not self._is_free(n)), default=0,
        )  # fmt: skip
        finish = self.model.new_int_var(min(still, self._last), self._last, "")
        for number, row in enumerate(rows):
            if self._is_free(number) and not row.dropped and number not in awaited:
                self.model.add(finish >= self._instant(number, at_end=True))
        self.model.minimize(finish)
        self.model.add_hint(finish, self._last)

    def _add_people(self, number: int, limit: Limit, scale: WorkScale) -> None:
        """Add that people are not asked for twice, by activities on their own time."""
        model, rows = self.model, self._problem.rows
        end = scale.work_before(self._last)
        users = [
            (n, one)
            for n, row in enumerate(rows)
            for one in row.asking
            if one.timeline == number and self._problem.aligned[id(row.scale), number]
        ]
        runs = [
            model.new_fixed_size_interval_var(
                self._work.get(n, rows[n].scale.work_before(self._best.starts[n])), rows[n].work, ""
            )
            for n, _ in users
        ]
        for place in range(len(limit.resources)):
            most = max(units[place] for _, units in limit.steps)
            away, missing = [], []
            for step, (at, units) in enumerate(limit.steps):
                until = limit.steps[step + 1][0] if step + 1 < len(limit.steps) else end
                if units[place] < most and at < min(until, end):
                    away.append(model.new_fixed_size_interval_var(at, min(until, end) - at, ""))
                    missing.append(most - units[place])
            model.add_cumulative(
                [*runs, *away], [*(one.units[place] for _, one in users), *missing], most
            )
