"""Level a plan: dates that its people and places can keep, each task on its own calendar."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from ribstitch.planning.checks import check_plan
from ribstitch.planning.errors import PlanError
from ribstitch.planning.levelling.board import Board, Clock, Progress
from ribstitch.planning.levelling.crew_problem import CrewProblem
from ribstitch.planning.levelling.placing import PlanDecoder
from ribstitch.planning.levelling.plan_bounds import plan_bound
from ribstitch.planning.levelling.plan_solver import PlanSolver
from ribstitch.planning.levelling.population import Population, rule_members
from ribstitch.planning.levelling.searching import search
from ribstitch.planning.levelling.work_scale import OutOfRangeError
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.ticks import TICKS_PER_DAY, date_at, date_before


@dataclass(frozen=True)
class LevelledPlan:
    """
    A plan with dates that its people and places can keep.

    Instants by order of entry of the activities, as in `Schedule`. [ticks]

    Attributes
    ----------
    planned
        The schedule of the same plan without people and places.
    problem
        What limited it.
    begin
        Where each activity (or what remains of it) begins.
    finish
        Where each ends; actual where known.
    project_finish
        When the project is finished.
    bound
        No levelled plan finishes before it, started work kept in its place.
    """

    planned: Schedule
    problem: CrewProblem
    begin: tuple[int, ...]
    finish: tuple[int, ...]
    project_finish: int
    bound: int

    @property
    def finish_on(self) -> date:
        """The levelled finish date."""
        return self.planned.project_finish_on(self.project_finish)

    @property
    def is_proven(self) -> bool:
        """Whether no levelled plan can finish earlier."""
        return self.bound >= self.project_finish

    def start_on(self, number: int) -> date:
        """Return the date on which an activity starts; actual where known."""
        one = self.planned.activities[number]
        if one.started is not None:
            return date_at(one.started)
        if one.milestone is not None or not one.work:
            return self.planned.shown_finish(number, self.begin[number])
        return date_at(self.begin[number])

    def finish_on_of(self, number: int) -> date:
        """Return the date of an activity's last worked tick."""
        one = self.planned.activities[number]
        if one.milestone is not None or not one.work or one.is_done:
            return self.planned.shown_finish(number, self.finish[number])
        return date_before(self.finish[number])


Watch = Callable[[LevelledPlan, float], None]
"""Told of the best plan so far, and how long after the search began it is told. [s]"""


def level_plan(
    plan: Plan,
    *,
    seconds: float,
    clock: Clock,
    seed: int = 1,
    current: Mapping[str, int] | None = None,
    keep_days: float = 0,
    report: Watch = lambda *_: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> LevelledPlan:
    """
    Find dates for a plan that keep every link, person and place, and finish early.

    Tasks work on their own calendars and are not split. A task keeps its people in all of
    its working time, and its places from start to finish; legs of send-outs ask for
    nobody. Work under way comes first and stays where it is, whatever else moves.

    Parameters
    ----------
    plan
        The plan; it is checked first. Its crew links do not bind: levelling finds others.
    seconds
        How long to look for a better plan; with 0 it is the best of the rules. [s]
    clock
        Tells seconds that only go forward, such as `time.monotonic`.
    seed
        Of everything drawn.
    current
        Where activities begin in the plan as it stands, by id, to be kept. [ticks]
    keep_days
        How many days earlier the project must finish to be worth one moved start; a small
        part of a day decides only among plans that finish alike.
    report
        Told of the first plan, and of the best one whenever it or its bound gets better.
    cancelled
        Asked between plans; once it says yes, the best so far is returned.

    Raises
    ------
    PlanError
        If the plan cannot be scheduled, or a task needs what there never is: one sentence
        names it and what would make it possible.
    ValueError
        If `seconds` is negative.
    """
    if seconds < 0:
        raise ValueError(f"{seconds} seconds cannot be")
    check_plan(plan)
    planned = schedule(replace(plan, crew_links=()))
    prepared = planned.prepared
    deadline = clock() + seconds
    while True:
        problem = CrewProblem(prepared)
        chance = np.random.default_rng(seed)
        try:
            decoder = _decoder(problem, planned, current or {}, keep_days)
            first = [decoder.improve(member) for member in rule_members(decoder).values()]
            if current and keep_days:
                first.append(decoder.improve(decoder.as_it_stands()))
            best = min(first, key=lambda member: member.makespan)
            board = Board(
                best, plan_bound(problem, planned), max(0.0, deadline - clock()), clock, cancelled
            )
            tell = _Telling(report, planned, decoder, board)
            tell(board.progress())
            if not board.is_over:
                early = (planned.begin - prepared.network.origin).tolist()
                solver = PlanSolver(decoder, board, early, chance.spawn(1)[0])
                search(board, Population(decoder, first, chance), tell, (solver,))
        except OutOfRangeError:
            problem.check_alone()
            prepared = prepared.wider()
        else:
            return _levelled(planned, decoder, board)


@dataclass(frozen=True, slots=True)
class _Telling:
    """Hands on the best plan whenever the search reports."""

    watch: Watch
    planned: Schedule
    decoder: PlanDecoder
    board: Board

    def __call__(self, progress: Progress) -> None:
        """Tell of the best plan so far."""
        self.watch(_levelled(self.planned, self.decoder, self.board), progress.seconds)


def crew_fault(planned: Schedule) -> PlanError | None:
    """
    Return why a plan cannot be levelled, without levelling it; None if it can.

    Parameters
    ----------
    planned
        The plan, scheduled.

    Returns
    -------
    PlanError or None
        One sentence names the task, the people or the place, and what would make it
        possible.
    """
    try:
        CrewProblem(planned.prepared).check_alone()
    except PlanError as fault:
        return fault
    return None


def _decoder(
    problem: CrewProblem, planned: Schedule, current: Mapping[str, int], keep_days: float
) -> PlanDecoder:
    """Return what turns orders into plans, with the plan as it stands to keep to."""
    prepared = problem.prepared
    kept = {
        prepared.number[name]: begin - prepared.network.origin
        for name, begin in current.items()
        if name in prepared.number and not problem.rows[prepared.number[name]].finished
    }
    return PlanDecoder(problem, planned, kept, round(keep_days * TICKS_PER_DAY))


def _levelled(planned: Schedule, decoder: PlanDecoder, board: Board) -> LevelledPlan:
    """Turn the best that was found into absolute instants."""
    problem, best = decoder.problem, board.best
    origin = problem.prepared.network.origin
    ends = decoder.ends(best)
    last = [end for end, row in zip(ends, problem.rows, strict=True) if not row.dropped]
    project_finish = origin + max(last) if last else planned.project_finish
    return LevelledPlan(
        planned=planned,
        problem=problem,
        begin=tuple(origin + begin for begin in best.starts),
        finish=tuple(origin + end for end in ends),
        project_finish=project_finish,
        bound=origin + board.bound,
    )
