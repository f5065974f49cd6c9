"""Searchers side by side: a population here, solvers in other threads."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_EXCEPTION, Future, ThreadPoolExecutor, wait
from math import inf
from typing import Protocol

from ribstitch.planning.levelling.board import Board, Progress
from ribstitch.planning.levelling.population import Population

_PAUSE = 0.02
"""Between two looks at the board while others work. [s]"""

Report = Callable[[Progress], None]
"""Told of every better schedule and bound, in the thread that asked for them."""


class Refiner(Protocol):
    """Works on a board in a thread of its own."""

    def run(self) -> None:
        """Work until the board says that it is over."""
        ...

    def stop(self) -> None:
        """End current work soon."""
        ...


def search(
    board: Board,
    population: Population,
    report: Report,
    refiners: Sequence[Refiner] = (),
    patience: float = inf,
) -> None:
    """
    Breed schedules here, and refine them in other threads, until the board is over.

    Parameters
    ----------
    board
        Where all meet.
    population
        What breeds.
    report
        Told of whatever is better.
    refiners
        The first works from the start; the others take over from the population.
    patience
        So many schedules in a row that are no better, and breeding ends; where proof is
        what is missing, the time is better spent on it.
    """
    told = _Told(board, report)
    with ThreadPoolExecutor(max_workers=max(1, len(refiners))) as pool:
        refining = [pool.submit(one.run) for one in refiners[:1]]
        idle = 0
        try:
            while not board.is_over:
                if idle < patience:
                    idle = 0 if _breed(board, population) else idle + 1
                else:
                    refining += [pool.submit(one.run) for one in refiners[len(refining) :]]
                    wait(refining, timeout=_PAUSE, return_when=FIRST_EXCEPTION)
                told.tell()
                for one in refining:
                    if one.done():
                        one.result()
        finally:
            _end(refiners, refining)
    told.tell()


def _breed(board: Board, population: Population) -> bool:
    """Make one more schedule, with what others have found; return whether it is better."""
    best = board.best
    if best.makespan < population.best.makespan:
        population.add(best)
    population.step()
    board.offer(population.best)
    return population.best.makespan < best.makespan


class _Told:
    """What a caller has been told of a search."""

    def __init__(self, board: Board, report: Report) -> None:
        self._board = board
        self._report = report
        self._last = (board.best.makespan, board.bound)

    def tell(self) -> None:
        """Report if anything is better than what was told last."""
        now = self._board.progress()
        if (now.makespan, now.bound) != self._last:
            self._last = (now.makespan, now.bound)
            self._report(now)


def _end(refiners: Sequence[Refiner], refining: Sequence[Future[None]]) -> None:
    """Stop the other threads and let their errors be seen."""
    left = set(refining)
    while left:
        for one in refiners:
            one.stop()
        left = wait(left, timeout=_PAUSE).not_done
    for done in refining:
        done.result()
