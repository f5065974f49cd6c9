"""What the aircraft will have cost, chapter by chapter, and what the indices say of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor

from ribstitch.money.budget import Budget, budget_of
from ribstitch.money.earned_value import EarnedValue
from ribstitch.money.entries import Bucket, Origin
from ribstitch.money.ledger import Ledger
from ribstitch.money.minor_units import from_minor_units, in_minor_units
from ribstitch.planning.model import Plan


@dataclass(frozen=True, slots=True)
class ChapterForecast:
    """
    Money of one chapter against its budget. [minor units of the project's currency]

    Attributes
    ----------
    chapter
        None: what belongs to no chapter, such as standing cost to come.
    allowance
        For hidden work in zones that are not opened; it is part of `expected`.
    price_growth
        For prices that vendors may still raise; it is part of `expected` too.
    """

    chapter: str | None
    budget: int = 0
    paid: int = 0
    invoiced: int = 0
    worked: int = 0
    committed: int = 0
    expected: int = 0
    allowance: int = 0
    price_growth: int = 0

    @property
    def spent(self) -> int:
        """Paid, owed and worked: what earned value calls actual cost."""
        return self.paid + self.invoiced + self.worked

    @property
    def at_completion(self) -> int:
        """All that was and will be spent."""
        return self.spent + self.committed + self.expected

    @property
    def over(self) -> int:
        """By how much that is above the budget; below zero, within it."""
        return self.at_completion - self.budget


@dataclass(frozen=True)
class Forecast:
    """
    The forecast at completion, built up from the ledger.

    `chapters` are in order of their numbers, what belongs to none at the end; `whole`
    is their sum.
    """

    budget: Budget
    chapters: tuple[ChapterForecast, ...]
    whole: ChapterForecast


def forecast_of(plan: Plan, ledger: Ledger) -> Forecast:
    """Set the ledger of a plan against its budget, by chapter."""
    budget = budget_of(plan)
    sums = ledger.sums(lambda one: (one.chapter, one.bucket))
    origins = ledger.sums(lambda one: (one.chapter, one.origin))
    named = {chapter for chapter, _ in sums if chapter is not None} | set(budget.by_chapter)
    chapters: list[str | None] = [*sorted(named)]
    if any(chapter is None for chapter, _ in sums):
        chapters.append(None)
    found = tuple(
        ChapterForecast(
            chapter,
            budget=budget.by_chapter.get(chapter, 0) if chapter is not None else 0,
            allowance=origins.get((chapter, Origin.ALLOWANCE), 0),
            price_growth=origins.get((chapter, Origin.GROWTH), 0),
            **{bucket.value: sums.get((chapter, bucket), 0) for bucket in Bucket},
        )
        for chapter in chapters
    )
    return Forecast(budget, found, _sum(found))


def _sum(chapters: tuple[ChapterForecast, ...]) -> ChapterForecast:
    """Add chapters up."""
    names = ("budget", *Bucket, "allowance", "price_growth")
    return ChapterForecast(
        None, **{str(name): sum(getattr(one, name) for one in chapters) for name in names}
    )


@dataclass(frozen=True, slots=True)
class Estimate:
    """
    An estimate at completion of the open standard, beside the forecast.

    Attributes
    ----------
    amount
        None: not yet, an index has nothing to divide by. [minor units]
    sentence
        What it takes for granted, and so why it differs from the forecast.
    """

    name: str
    amount: int | None
    sentence: str


def estimates(value: EarnedValue, at_completion: int, currency: str) -> tuple[Estimate, ...]:
    """
    Return the index-based estimates at completion, each with why it differs.

    Formulas: ANSI/EIA-748; ISO 21508:2018. The four know only budget and pace; the
    forecast knows each order, quote and hour to go.

    Parameters
    ----------
    value
        Earned value, in the project's currency.
    at_completion
        The forecast, line by line. [minor units]
    currency
        The project's.
    """
    found = []
    for name, amount, says in _kinds(value):
        if amount is None:
            found.append(Estimate(name, None, f"Not yet: {says}, and nothing tells of it so far."))
            continue
        units = in_minor_units(amount, currency)
        found.append(Estimate(name, units, _sentence(says, units - at_completion, currency)))
    return tuple(found)


def _kinds(value: EarnedValue) -> Iterator[tuple[str, Fraction | None, str]]:
    """Yield the name of each estimate, its amount, and what it takes for granted."""
    cost, pace = value.cost_index, value.schedule_index
    yield (
        "at the cost so far",
        value.estimate_by_cost,
        f"it takes the rest to cost {_times(cost)} its budget, like the work that is done",
    )
    yield (
        "as budgeted from here",
        value.estimate_as_budgeted,
        "it takes the rest to cost what was budgeted, whatever the past cost",
    )
    both = None if cost is None or pace is None else cost * pace
    yield (
        "at cost and pace so far",
        value.estimate_by_both,
        f"it takes the rest to cost {_times(both)} its budget, because being behind costs too",
    )
    yield (
        "mostly at the cost so far",
        value.estimate_weighted,
        "it weighs the cost so far with 0.8 and the pace with 0.2",
    )


def _times(index: Fraction | None) -> str:
    """Return how many times its budget work costs at an index."""
    if not index:
        return "some multiple of"
    hundredths = floor(100 / index + Fraction(1, 2))
    return f"{Decimal(hundredths).scaleb(-2):f} times"


def _sentence(says: str, more: int, currency: str) -> str:
    """Return why an estimate differs from the forecast by so many minor units."""
    knows = "the forecast goes by orders, quotes and hours to go"
    if more == 0:
        return f"The same as the forecast: {says}."
    side = "above" if more > 0 else "below"
    amount = from_minor_units(abs(more), currency)
    return f"{amount:f} {currency} {side} the forecast: {says}; {knows}."
