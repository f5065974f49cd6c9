"""Two searchers side by side: a population here, a solver in another thread."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from typing import Protocol

from ribstitch.planning.levelling.board import Board, Progress
from ribstitch.planning.levelling.population import Population

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
    board: Board, population: Population, report: Report, refiner: Refiner | None = None
) -> None:
    """Breed schedules here, and refine them in another thread, until the board is over."""
    told = _Told(board, report)
    if refiner is None:
        while not board.is_over:
            _breed(board, population)
            told.tell()
        return
    with ThreadPoolExecutor(max_workers=1) as pool:
        refining = pool.submit(refiner.run)
        try:
            while not board.is_over:
                _breed(board, population)
                told.tell()
                if refining.done():
                    refining.result()
        finally:
            _end(refiner, refining)
    told.tell()


def _breed(board: Board, population: Population) -> None:
    """Make one more schedule, with what the other thread has found."""
    if board.best.makespan < population.best.makespan:
        population.add(board.best)
    population.step()
    board.offer(population.best)


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


def _end(refiner: Refiner, refining: Future[None]) -> None:
    """Stop the other thread and let its errors be seen."""
    refiner.stop()
    while not wait([refining], timeout=0.05).done:
        refiner.stop()
    refining.result()
