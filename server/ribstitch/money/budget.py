"""The approved budget by chapter, and what is left of what was kept back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ribstitch.money.labour import Rates, rates_of
from ribstitch.money.minor_units import from_minor_units, in_minor_units, worth
from ribstitch.planning.exchange import exchange_of
from ribstitch.planning.model import Decision, OverAndAbove, Plan

KEPT_BACK = "contingency"
"""Kind of the budget lines that are not planned for any work."""

UNSHARED = "whole"
"""Chapter of what is approved for the whole project and not yet shared out among chapters."""


@dataclass(frozen=True)
class Budget:
    """
    The approved budget in the project's currency. [minor units]

    Attributes
    ----------
    by_chapter
        All of it, in order of entry.
    contingency
        What is kept back; it is in `by_chapter` too.
    drawn
        What approved over-and-above items take of it.
    missing
        One sentence for each line or item that has no worth.
    """

    currency: str
    by_chapter: Mapping[str, int]
    contingency: int
    drawn: int
    missing: tuple[str, ...] = ()

    @property
    def total(self) -> int:
        """All that is approved, with what is kept back."""
        return sum(self.by_chapter.values())

    @property
    def contingency_left(self) -> int:
        """What is left of what was kept back; below zero, it is overdrawn."""
        return self.contingency - self.drawn


def budget_of(plan: Plan) -> Budget:
    """Return the approved budget of a plan; foreign lines at the rate of the as-of date."""
    exchange, on = exchange_of(plan), plan.project.as_of
    by_chapter: dict[str, int] = {}
    contingency = 0
    for line in plan.budget:
        if not exchange.knows(line.currency):
            continue
        native = in_minor_units(line.amount, line.currency)
        units = worth(native, line.currency, exchange, on)
        by_chapter[line.chapter] = by_chapter.get(line.chapter, 0) + units
        if line.kind == KEPT_BACK:
            contingency += units
    approved = [one for one in plan.over_and_above if one.state is Decision.APPROVED]
    rates = rates_of(plan)
    drawn = sum(cost_of_item(plan, one, rates) or 0 for one in approved)
    return Budget(
        plan.project.currency, by_chapter, contingency, drawn, tuple(_missing(plan, rates))
    )


def budget_amount(plan: Plan) -> Decimal | None:
    """
    Return the approved budget in the project's currency, to its minor unit.

    None without a budget, or where a currency has no rate.
    """
    exchange = exchange_of(plan)
    if not plan.budget or not all(exchange.knows(line.currency) for line in plan.budget):
        return None
    budget = budget_of(plan)
    return from_minor_units(budget.total, budget.currency)


def cost_of_item(plan: Plan, item: OverAndAbove, rates: Rates) -> int | None:
    """
    Return what an over-and-above item costs: its amount, and its hours at the trade's rate.

    The trade is that of its task; hours of a task whose trade has no rate, or of no
    task, cost nothing here. On the day of the decision, or the as-of date. None if its
    currency has no rate. [minor units of the project's currency]
    """
    own, exchange = plan.project.currency, exchange_of(plan)
    on = item.decided_on or plan.project.as_of
    currency = item.currency or own
    if not exchange.knows(currency):
        return None
    units = worth(in_minor_units(item.amount, currency), currency, exchange, on)
    trade = next((task.trade for task in plan.tasks if task.id == item.task), None)
    if trade is not None and rates.knows(trade):
        units += in_minor_units(Fraction(item.hours) * rates.of_trade(trade, on), own)
    return units


def _missing(plan: Plan, rates: Rates) -> Iterator[str]:
    """Say, a sentence each, which lines and approved items have no worth."""
    exchange, own = exchange_of(plan), plan.project.currency
    for line in plan.budget:
        if not exchange.knows(line.currency):
            yield (
                f"The budget of chapter {line.chapter} has {line.amount:f} {line.currency}, "
                f"of which no exchange rate into {own} is given."
            )
    for item in plan.over_and_above:
        if item.state is Decision.APPROVED and cost_of_item(plan, item, rates) is None:
            yield (
                f'The over-and-above item "{item.id}" is in {item.currency}, of which no '
                f"exchange rate into {own} is given."
            )
