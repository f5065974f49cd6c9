"""What a chain that ends too late demands: so much off here, or so much off there.

A demand holds for every choice of expedites, because the finish is never before the end
of a chain. It is as strong as the chain allows: the choice that failed is first taken as
far as it still fails.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ribstitch.planning.pulling_in.chains import Chain, Terms
from ribstitch.planning.pulling_in.options import Cut

Demand = Mapping[Terms, int]
"""At least one of these sums must reach its amount; none at all: it cannot be. [ticks]"""


@dataclass(frozen=True, slots=True)
class Judge:
    """
    Judges amounts taken off against chains.

    Attributes
    ----------
    cuts
        What can be taken off, and how much at most.
    grain
        All amounts are multiples of it. [ticks]
    """

    cuts: Sequence[Cut]
    grain: int

    def total(self, terms: Terms, amounts: Sequence[int]) -> int:
        """Return what a stretch adds up to. [ticks]"""
        return sum(sign * amounts[cut] for cut, sign in terms)

    def is_late(self, chain: Chain, amounts: Sequence[int], latest: int) -> bool:
        """Return whether a chain ends after an instant."""
        return chain.end([self.total(terms, amounts) for terms in chain.terms]) > latest

    def demand(self, chain: Chain, amounts: Sequence[int], latest: int) -> Demand:
        """Return what must be, where a chain ends after an instant."""
        totals = [self.total(terms, amounts) for terms in chain.terms]
        found: dict[Terms, int] = {}
        for place, terms in enumerate(chain.terms):
            if not terms:
                continue
            least = self._least(chain, totals, place, latest)
            if least is None:
                totals[place] = self._most(terms)
            else:
                totals[place] = least - self.grain
                found[terms] = least
        return found

    def _least(self, chain: Chain, totals: list[int], place: int, latest: int) -> int | None:
        """Return what has to be taken off in one stretch, all else as it is; None: no use."""
        grain = self.grain

        def is_late(ticks: int) -> bool:
            return chain.end([*totals[:place], ticks, *totals[place + 1 :]]) > latest

        low, high = totals[place], self._most(chain.terms[place])
        if is_late(high):
            return None
        while high - low > grain:
            middle = low + (high - low) // (2 * grain) * grain
            if is_late(middle):
                low = middle
            else:
                high = middle
        return high

    def _most(self, terms: Terms) -> int:
        """Return the most that a stretch can add up to. [ticks]"""
        return sum(self.cuts[cut].most * max(sign, 0) for cut, sign in terms)
