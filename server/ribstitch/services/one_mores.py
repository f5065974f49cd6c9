"""What one more hand, day or place would gain: worked out beside the requests."""

from __future__ import annotations

from math import inf
from time import monotonic

from ribstitch.planning.levelling import OneMore, level_plan, one_more
from ribstitch.services.asked_work import AskedStanding, AskedWork, Handle
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.levellings import WAIT_SECONDS, Levellings, begins

_SECONDS_TO_STOP = 2.0

OneMoreStanding = AskedStanding[float, OneMore]
"""Asked for is how long to look for each plan. [s]"""


class OneMores:
    """
    What one more would gain, for all projects; one object serves the whole process.

    Parameters
    ----------
    levellings
        A plan that was levelled with at least the same effort is what the others are held
        against.
    seed
        Of everything drawn.
    """

    def __init__(self, levellings: Levellings, seed: int) -> None:
        self._levellings = levellings
        self._seed = seed
        self.work: AskedWork[float, OneMore] = AskedWork("What one more would gain", self._find)

    def begin(self, current: CurrentPlan, seconds: float) -> None:
        """Begin to work it out, looking so long for each plan; one that runs is given up. [s]"""
        self.work.begin(current, seconds)
        self.work.wait(current, WAIT_SECONDS)

    def standing(self, current: CurrentPlan) -> OneMoreStanding:
        """Say how it stands for a project."""
        return self.work.look(current)

    def stop(self, current: CurrentPlan) -> None:
        """Stop; there is nothing to keep before all of it is known."""
        self.work.stop(current)

    def close(self) -> None:
        """Stop everything; nothing begins any more."""
        self.work.close(_SECONDS_TO_STOP)

    def _find(self, current: CurrentPlan, seconds: float, handle: Handle[OneMore]) -> None:
        """Level the plan with one more of everything in turn."""

        def clock() -> float:
            """Tell the time; once it is stopped, that all time is over."""
            return inf if handle.is_stopped() else monotonic()

        def on_progress(share: float) -> None:
            handle.report(share)
            if handle.is_stopped():
                raise _StoppedError

        standing = self._levellings.standing(current)
        levelling = self._levellings.ready(current)
        if levelling is not None and standing.wish is not None and standing.wish.seconds >= seconds:
            base = levelling.levelled
        else:
            order = begins(current.schedule)
            base = level_plan(
                current.plan, seconds=seconds, clock=clock, seed=self._seed, current=order
            )
        try:
            found = one_more(
                current.plan,
                seconds=seconds,
                clock=clock,
                seed=self._seed,
                base=base,
                on_progress=on_progress,
            )
        except _StoppedError:
            return
        handle.offer(found)


class _StoppedError(Exception):
    """The rest is not wanted any more."""
