"""What the aircraft will have cost when it is finished, run by run of a simulation.

Certain are the cost lines and the labour of finished work; they are added up exactly.
Different in each run are the labour still to come and the standing cost until that run's
finish. Prices that a vendor may still raise are taken as they stand: growth after
teardown is not simulated.

Nothing is counted twice:

- Labour is reckoned from hours and rates, finished or not. Cost lines of kind "labour"
  are left out, paid or not, unless they belong to a task whose trade has no rate.
- Standing cost from the as-of date on is reckoned by the month where the project says
  what a month costs. Lines of kind "standing" that are not paid and not dated before
  then are left out.
- Lines of kind "contingency" that are not paid are money set aside for what the runs
  show; they are left out.

`CostRuns.left_out` names these lines, so that a page can say so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from functools import cached_property
from math import floor

import numpy as np

from ribstitch.money.currencies import Exchange, minor_digits
from ribstitch.planning.activities import floor_of
from ribstitch.planning.calendars import Ints
from ribstitch.planning.model import Cost, Plan, State, Task
from ribstitch.planning.prepared import calendars_of
from ribstitch.planning.ticks import TICKS_PER_DAY
from ribstitch.planning.uncertainty.results import (
    Chance,
    Floats,
    Simulation,
    percentile_place,
)

_DAYS_PER_MONTH = Fraction("30.4375")


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
        return Decimal(int(self.ordered_cost[place])).scaleb(-minor_digits(self.currency))

    def chance_within(self, amount: Decimal) -> Chance:
        """Return the chance that the cost is `amount` or less."""
        most = _minor_floor(amount, self.currency)
        hits = int(np.searchsorted(self.ordered_cost, most, side="right"))
        return Chance.of(hits, self.cost.size)


def missing_for_cost(plan: Plan) -> str | None:
    """Say in one sentence what the plan lacks for a cost at completion; None: nothing."""
    if not any(one.rate for one in plan.crew):
        return "No trade has a rate, so labour cannot be priced: give the crew's rate."
    exchange = _exchange(plan)
    for line in plan.costs:
        if not exchange.knows(line.currency):
            return (
                f'The cost line "{line.id}" is in {line.currency}, of which no exchange rate '
                f"into {plan.project.currency} is given."
            )
    return None


def cost_runs(plan: Plan, simulation: Simulation) -> CostRuns | None:
    """
    Price every run of a simulation of a plan.

    Returns None where `missing_for_cost` names what is missing.
    """
    if missing_for_cost(plan) is not None:
        return None
    rates = _rates(plan)
    counted = [line for line in plan.costs if not _is_reckoned_otherwise(line, plan, rates)]
    certain = _lines(plan, counted) + _finished_labour(plan, rates)
    scale = 10 ** minor_digits(plan.project.currency)
    whole = floor(certain * scale)
    rest = float(certain * scale - whole)
    varying = _labour_to_come(simulation, rates) + _standing_to_come(plan, simulation)
    cost = whole + np.rint(rest + scale * varying).astype(np.int64)
    kept = {line.id for line in counted}
    left_out = tuple(line.id for line in plan.costs if line.id not in kept)
    return CostRuns(plan.project.currency, cost, certain, left_out)


def budget_amount(plan: Plan) -> Decimal | None:
    """
    Return the approved budget in the project's currency, to its minor unit.

    Foreign lines at the rate of the as-of date. None without a budget, or where a
    currency has no rate.
    """
    exchange = _exchange(plan)
    if not plan.budget or not all(exchange.knows(line.currency) for line in plan.budget):
        return None
    on = plan.project.as_of
    total = Fraction(0)
    for line in plan.budget:
        total += Fraction(line.amount) * exchange.rate(line.currency, on)
    digits = minor_digits(plan.project.currency)
    return Decimal(round(total * 10**digits)).scaleb(-digits)


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


def _exchange(plan: Plan) -> Exchange:
    """Return the plan's exchange rates into its own currency."""
    return Exchange(plan.project.currency, plan.exchange_rates)


def _rates(plan: Plan) -> dict[str, Fraction]:
    """
    Return what an hour of each trade costs; trades without any rate are not in it.

    Hours of a trade with several crew entries are shared by head; an entry without a
    rate is a volunteer.
    """
    rates: dict[str, Fraction] = {}
    for trade in dict.fromkeys(one.trade for one in plan.crew if one.rate):
        entries = [one for one in plan.crew if one.trade == trade]
        heads = sum(one.people for one in entries)
        weights = [one.people if heads else 1 for one in entries]
        priced = zip(entries, weights, strict=True)
        total = sum(Fraction(one.rate or 0) * weight for one, weight in priced)
        rates[trade] = Fraction(total) / sum(weights)
    return rates


def _is_reckoned_otherwise(line: Cost, plan: Plan, rates: dict[str, Fraction]) -> bool:
    """Return whether a cost line would count something a second time."""
    if line.kind == "labour":
        trades = {task.id: task.trade for task in plan.tasks}
        return line.task is None or trades.get(line.task) in rates
    if line.state == "paid":
        return False
    if line.kind == "standing":
        to_come = line.on is None or line.on >= plan.project.as_of
        return to_come and plan.project.standing_per_month is not None
    return line.kind == "contingency"


def _lines(plan: Plan, lines: list[Cost]) -> Fraction:
    """Add up cost lines: what is paid at the rate of its date, the rest at today's."""
    exchange, as_of = _exchange(plan), plan.project.as_of
    total = Fraction(0)
    for line in lines:
        on = line.on if line.state == "paid" and line.on is not None else as_of
        total += Fraction(line.amount) * exchange.rate(line.currency, on)
    return total


def _finished_labour(plan: Plan, rates: dict[str, Fraction]) -> Fraction:
    """Return the cost of the planned hours of what is worked already."""
    day_hours = {one.id: Fraction(str(one.day_hours)) for one in calendars_of(plan)}
    total = Fraction(0)
    for task in plan.tasks:
        if task.trade in rates:
            hours = day_hours[plan.calendar_of_task(task)] * task.people
            total += rates[task.trade] * hours * _worked(task) / TICKS_PER_DAY
    return total


def _worked(task: Task) -> int:
    """Return how much of the planned work of a task is done. [ticks]"""
    status = task.status
    if status.state is State.DONE:
        return task.duration
    if status.state is State.DROPPED or status.remaining is None:
        return 0
    return max(task.duration - status.remaining, 0)


def _labour_to_come(simulation: Simulation, rates: dict[str, Fraction]) -> Floats:
    """Return the cost of unfinished work in each run, shape (runs,)."""
    total = np.zeros(simulation.runs)
    for trade, hours in simulation.crew_hours.items():
        if trade in rates:
            total += hours * float(rates[trade])
    return total


def _standing_to_come(plan: Plan, simulation: Simulation) -> Floats:
    """Return the standing cost from the as-of date to the finish of each run, (runs,)."""
    per_month = Fraction(plan.project.standing_per_month or 0)
    per_tick = per_month / _DAYS_PER_MONTH / TICKS_PER_DAY
    ticks = np.maximum(simulation.finish - floor_of(plan), 0)
    return ticks * float(per_tick)
