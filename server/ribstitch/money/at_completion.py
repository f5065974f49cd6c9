"""What the aircraft will have cost when it is finished, run by run of a simulation.

Certain are the cost lines and the labour that is done; both come from the entries of the
ledger, which says what is left out lest it be counted twice. Different in each run are
the labour still to come, the standing cost until that run's finish, and what prices grow by
until the vendors have looked inside.

An hour to come costs what it costs on average on the scheduled dates, whatever the dates
of the run.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from functools import cached_property

import numpy as np

from ribstitch.money.cost_lines import cost_lines
from ribstitch.money.currencies import minor_digits
from ribstitch.money.labour import Rates, rates_of, work_to_go
from ribstitch.money.ledger import DAYS_PER_MONTH, labour_done, missing_of
from ribstitch.money.minor_units import from_minor_units
from ribstitch.money.price_growth import drawn_growth, most_growth
from ribstitch.planning.activities import floor_of
from ribstitch.planning.calendars import Ints
from ribstitch.planning.model import Plan
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.results import (
    Chance,
    Floats,
    Simulation,
    percentile_place,
)

_MOST_UNITS = 2**62
"""More does not fit into the costs of runs with what varies on top. [minor units]"""


@dataclass(frozen=True)
class CostRuns:
    """
    Cost at completion of each run of a simulation.

    Attributes
    ----------
    currency
        The project's currency (ISO 4217).
    cost
        Cost of each run, in the order of the runs, shape (runs,). [minor units]
    certain
        What is the same in every run: cost lines and labour of finished work, exact.
    left_out
        Ids of the cost lines that are reckoned otherwise, in order of entry.
    """

    currency: str
    cost: Ints = field(repr=False)
    certain: Fraction
    left_out: tuple[str, ...]

    @cached_property
    def ordered_cost(self) -> Ints:
        """Costs from the least to the greatest, shape (runs,). [minor units]"""
        return np.sort(self.cost)

    def percentile(self, percent: float) -> Decimal:
        """Return the cost that `percent` of 100 runs stay within."""
        place = percentile_place(percent, self.cost.size)
        return from_minor_units(int(self.ordered_cost[place]), self.currency)

    def chance_within(self, amount: Decimal) -> Chance:
        """Return the chance that the cost is `amount` or less."""
        most = _minor_floor(amount, self.currency)
        hits = int(np.searchsorted(self.ordered_cost, most, side="right"))
        return Chance.of(hits, self.cost.size)


def missing_for_cost(plan: Plan) -> str | None:
    """Say in one sentence what the plan lacks for a cost at completion; None: nothing."""
    for sentence in missing_of(plan):
        return sentence
    if abs(_certain(plan, rates_of(plan))[0]) + most_growth(plan) > _MOST_UNITS:
        return "The cost lines add up to more than can be counted run by run."
    return None


def cost_runs(plan: Plan, simulation: Simulation) -> CostRuns | None:
    """
    Price every run of a simulation of a plan.

    Returns None where `missing_for_cost` names what is missing.
    """
    if missing_for_cost(plan) is not None:
        return None
    rates = rates_of(plan)
    certain, left_out = _certain(plan, rates)
    currency = plan.project.currency
    scale = 10 ** minor_digits(currency)
    varying = _labour_to_come(simulation, rates) + _standing_to_come(plan, simulation)
    grown = drawn_growth(simulation.prepared, simulation.seed, simulation.runs)
    cost = certain + np.rint(scale * varying + grown).astype(np.int64)
    return CostRuns(currency, cost, Fraction(certain, scale), left_out)


def _certain(plan: Plan, rates: Rates) -> tuple[int, tuple[str, ...]]:
    """Add up what does not depend on the runs, in minor units; and what is left out."""
    lines = cost_lines(plan, rates)
    entries = (*lines.entries, *labour_done(plan, rates))
    return sum(one.worth for one in entries), lines.left_out


def joint_chance(simulation: Simulation, costs: CostRuns, by: date, amount: Decimal) -> Chance:
    """
    Return the chance of a cost of at most `amount` together with a finish on `by` or before.

    Counted over the same runs, so that late runs that are dear count once: the joint cost
    and schedule confidence level of the NASA Cost Estimating Handbook v4.0, Appendix J.
    """
    in_time = simulation.finished_by(by)
    within = costs.cost <= _minor_floor(amount, costs.currency)
    return Chance.of(int((in_time & within).sum()), simulation.runs)


def _minor_floor(amount: Decimal, currency: str) -> int:
    """Return the whole minor units in an amount."""
    return int(amount.scaleb(minor_digits(currency)).to_integral_value(ROUND_FLOOR))


def _labour_to_come(simulation: Simulation, rates: Rates) -> Floats:
    """Return the cost of unfinished work in each run, shape (runs,)."""
    planned: dict[str | None, tuple[Fraction, Fraction]] = {}
    for labour in work_to_go(simulation.planned, rates):
        hours, cost = planned.get(labour.task.trade, (Fraction(0), Fraction(0)))
        planned[labour.task.trade] = hours + labour.hours, cost + labour.cost
    as_of = simulation.prepared.plan.project.as_of
    total = np.zeros(simulation.runs)
    for trade, drawn in simulation.crew_hours.items():
        if trade is not None and rates.knows(trade):
            hours, cost = planned.get(trade, (Fraction(1), rates.of_trade(trade, as_of)))
            total += drawn * float(cost / hours)
    return total


def _standing_to_come(plan: Plan, simulation: Simulation) -> Floats:
    """Return the standing cost from the as-of date to the finish of each run, (runs,)."""
    per_month = Fraction(plan.project.standing_per_month or 0)
    per_tick = per_month / DAYS_PER_MONTH / TICKS_PER_DAY
    ticks = np.maximum(simulation.finish - floor_of(plan), 0)
    return ticks * float(per_tick)
