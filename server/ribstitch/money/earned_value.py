"""Earned value: what was to be done by now, what is done, and what it cost.

Terms and formulas are those of the open standard (ANSI/EIA-748; ISO 21508:2018). Nothing
is computed from rounded indices, and an index without a divisor is None: "not yet".
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

_PERFORMANCE_WEIGHT = Fraction(4, 5)
"""Weight of cost in the estimate that weighs cost and schedule; the rest is schedule's."""


@dataclass(frozen=True, slots=True)
class EarnedValue:
    """
    The four figures of one instant, in one currency, and what follows from them.

    Attributes
    ----------
    budget
        Budget at completion (BAC).
    planned
        Planned value: budget of the work that was to be done by now (PV).
    earned
        Earned value: budget of the work that is done (EV).
    actual
        Actual cost of the work that is done (AC).
    """

    budget: Fraction
    planned: Fraction
    earned: Fraction
    actual: Fraction

    @property
    def cost_variance(self) -> Fraction:
        """CV: negative is dearer than budgeted."""
        return self.earned - self.actual

    @property
    def schedule_variance(self) -> Fraction:
        """SV: negative is less done than planned."""
        return self.earned - self.planned

    @property
    def cost_index(self) -> Fraction | None:
        """CPI: budget earned for each unit of money spent."""
        return _ratio(self.earned, self.actual)

    @property
    def schedule_index(self) -> Fraction | None:
        """SPI: budget earned for each unit planned; 1 at the end, however late."""
        return _ratio(self.earned, self.planned)

    @property
    def estimate_by_cost(self) -> Fraction | None:
        """EAC = BAC / CPI: the rest goes as dear as what is done."""
        return _ratio(self.budget, self.cost_index)

    @property
    def estimate_as_budgeted(self) -> Fraction:
        """EAC = AC + (BAC - EV): the rest costs what was budgeted."""
        return self.actual + self.to_earn

    @property
    def estimate_by_both(self) -> Fraction | None:
        """EAC = AC + (BAC - EV) / (CPI x SPI): haste makes the rest dearer still."""
        if self.cost_index is None or self.schedule_index is None:
            return None
        return self._estimate(self.cost_index * self.schedule_index)

    @property
    def estimate_weighted(self) -> Fraction | None:
        """EAC = AC + (BAC - EV) / (0.8 CPI + 0.2 SPI): both, cost above all."""
        if self.cost_index is None or self.schedule_index is None:
            return None
        weight = _PERFORMANCE_WEIGHT
        return self._estimate(weight * self.cost_index + (1 - weight) * self.schedule_index)

    @property
    def to_earn(self) -> Fraction:
        """BAC - EV: budget of what is still to be done."""
        return self.budget - self.earned

    @property
    def to_spend(self) -> Fraction | None:
        """ETC by cost: what is still to be spent if the rest goes like what is done."""
        estimate = self.estimate_by_cost
        return None if estimate is None else estimate - self.actual

    @property
    def variance_at_completion(self) -> Fraction | None:
        """VAC by cost: negative is over the budget at the end."""
        estimate = self.estimate_by_cost
        return None if estimate is None else self.budget - estimate

    @property
    def index_to_budget(self) -> Fraction | None:
        """TCPI to the budget: how cheap the rest must go; below zero it cannot be kept."""
        return self.index_to(self.budget)

    def index_to(self, estimate: Fraction) -> Fraction | None:
        """Return TCPI to an estimate at completion."""
        return _ratio(self.to_earn, estimate - self.actual)

    def _estimate(self, index: Fraction) -> Fraction | None:
        """Return actual cost and the rest at an index."""
        rest = _ratio(self.to_earn, index)
        return None if rest is None else self.actual + rest


def _ratio(part: Fraction, whole: Fraction | None) -> Fraction | None:
    """Divide; None where there is nothing to divide by."""
    return part / whole if whole else None
