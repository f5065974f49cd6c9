"""Find the cheapest expedites that reach an instant, and prove that none are cheaper.

Expedites are chosen by what is known to be needed, and the network is computed with them,
exactly. Where it ends too late, the chain that sets its end says what is missing, which
every choice has to bring; and a better informed choice is made. What is chosen never
costs more than the best answer, so that the first choice that is in time is the best.

O(chains that can become critical) rounds; each solves a small integer program and makes
one pass over the network.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np

from ribstitch.planning.network import FAR, Values
from ribstitch.planning.passes import EarlyDates, forward
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.pulling_in.chains import Chain
from ribstitch.planning.pulling_in.chooser import Choice, Chooser
from ribstitch.planning.pulling_in.demands import Judge
from ribstitch.planning.pulling_in.driving import Driving
from ribstitch.planning.pulling_in.options import Cut, Option, taken_off, values_with

Clock = Callable[[], float]
"""Tells seconds that only go forward; the core has no clock of its own."""

_ENDS = 6
"""Of so many activities that end too late the chain is looked at in one round."""
_FIRST_LOOK = 1.0
"""After so long a solver is interrupted, so that a caller can cancel. [s]"""


@dataclass(frozen=True, slots=True)
class Reached:
    """
    What reaches an instant.

    Attributes
    ----------
    steps
        Steps taken of each option; None: nothing was found in time.
    bound
        Nothing that reaches it costs less. [units]
    """

    steps: tuple[int, ...] | None
    bound: int


class Reaching:
    """
    Reaches instants in one network, remembering what it learned of it.

    Parameters
    ----------
    prepared
        The plan.
    options, cuts
        What can be taken, and what that takes off.
    clock
        Tells the time.
    tick
        Called every now and then; raises where the rest is not wanted any more.
    """

    def __init__(
        self,
        prepared: Prepared,
        options: Sequence[Option],
        cuts: Sequence[Cut],
        clock: Clock,
        tick: Callable[[], None],
    ) -> None:
        self._prepared, self._options, self._cuts = prepared, options, cuts
        self._clock, self._tick = clock, tick
        self._driving = Driving(prepared, cuts)
        amounts = [option.step for option in options]
        for cut in cuts:
            amounts += [cut.most, *(cut.promises or {}).values()]
        self._judge = Judge(cuts, gcd(*amounts))
        self._chains: dict[Chain, None] = {}
        """All chains that have been seen to drive."""
        self._failed: list[tuple[Chain, tuple[int, ...]]] = []
        """Chains, with amounts that did not make them end in time."""
        before = prepared.network.links.before
        self._last = np.setdiff1d(np.arange(prepared.network.size), before)

    def finish(self, steps: Sequence[int]) -> int:
        """Return the project finish with steps taken. [ticks from the network's origin]"""
        return int(self._computed(self._amounts(steps))[1].finish)

    def reach(self, latest: int, prices: Sequence[int], deadline: float) -> Reached | None:
        """
        Return the cheapest steps with which the project is finished by an instant.

        Parameters
        ----------
        latest
            The instant. [ticks from the network's origin]
        prices
            Of one step of each option.
        deadline
            When to give up, on the clock. [s]

        Returns
        -------
        Reached or None
            None: nothing reaches it.
        """
        chooser = Chooser(self._options, self._cuts, prices, self._judge.grain)
        for chain, amounts in self._failed:
            if self._judge.is_late(chain, amounts, latest):
                chooser.add(self._judge.demand(chain, amounts, latest))
        while True:
            choice = self._choose(chooser, deadline)
            if choice is None:
                return None
            if choice.steps is None:
                return Reached(None, choice.bound)
            amounts = self._amounts(choice.steps)
            late = self._late(amounts, latest)
            if not late:
                return Reached(choice.steps, choice.bound)
            if self._clock() >= deadline:
                return Reached(None, choice.bound)
            for chain in late:
                self._failed.append((chain, amounts))
                chooser.add(self._judge.demand(chain, amounts, latest))

    def _choose(self, chooser: Chooser, deadline: float) -> Choice | None:
        """Choose, looking up every now and then."""
        seconds = _FIRST_LOOK
        while True:
            self._tick()
            left = deadline - self._clock()
            choice = chooser.choose(min(seconds, left))
            if choice is None or choice.is_least or left <= seconds:
                return choice
            seconds *= 2

    def _amounts(self, steps: Sequence[int]) -> tuple[int, ...]:
        """Return what each cut takes off. [ticks]"""
        return tuple(taken_off(cut, self._options, steps) for cut in self._cuts)

    def _computed(self, amounts: Sequence[int]) -> tuple[Values, EarlyDates]:
        """Compute the network with amounts taken off."""
        values = values_with(self._prepared.values, self._cuts, amounts)
        return values, forward(self._prepared.network, values)

    def _late(self, amounts: tuple[int, ...], latest: int) -> list[Chain]:
        """Return chains that end too late; with none, the project is in time."""
        late = [chain for chain in self._chains if self._judge.is_late(chain, amounts, latest)]
        if late:
            return late
        values, early = self._computed(amounts)
        if int(early.finish) <= latest:
            return []
        ends = np.where(values.dropped, -FAR, early.end)
        ranks = self._last[np.argsort(-ends[self._last], kind="stable")][:_ENDS].tolist()
        ranks.append(int(np.argmax(ends)))
        found = [
            self._driving.chain_to(rank, values, early)
            for rank in dict.fromkeys(ranks)
            if ends[rank] > latest
        ]
        self._chains |= dict.fromkeys(found)
        return found
