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
        entries = [latest]
        for stretch, ticks in zip(chain.stretches[::-1], totals[::-1], strict=True):
            entries.append(stretch.entry(entries[-1], ticks))
        exits = entries[-2::-1]
        found: dict[Terms, int] = {}
        instant = chain.begin
        for stretch, total, leave_by in zip(chain.stretches, totals, exits, strict=True):
            taken_off = total
            if stretch.terms:
                least = -(-stretch.least(instant, leave_by) // self.grain) * self.grain
                most = self._most(stretch.terms)
                if least <= most:
                    found[stretch.terms] = least
                taken_off = min(least - self.grain, most)
            instant = stretch.end(instant, taken_off)
        return found

    def _most(self, terms: Terms) -> int:
        """Return the most that a stretch can add up to. [ticks]"""
        return sum(self.cuts[cut].most * max(sign, 0) for cut, sign in terms)
