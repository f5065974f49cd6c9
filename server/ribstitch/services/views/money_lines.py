"""The lines of the money page: by chapter, by vendor, by currency, and what waits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal

from ribstitch.money import Bucket, ChapterForecast, exposures
from ribstitch.money.budget import UNSHARED, Budget, cost_of_item
from ribstitch.money.forecast import Forecast
from ribstitch.money.labour import rates_of
from ribstitch.planning.model import Decision, OverAndAbove, Plan
from ribstitch.seeding import library
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import vendor_names
from ribstitch.services.views.money_shape import (
    AskedDecision,
    ChapterMoney,
    CurrencyMoney,
    VendorMoney,
)
from ribstitch.services.views.money_sums import ledger, money_forecast
from ribstitch.services.views.money_words import shown, shown_units, text

_MOVE = Decimal(5)
"""By how much a currency is taken to rise. [%]"""
_OF_VENDORS = (Bucket.PAID, Bucket.INVOICED, Bucket.COMMITTED, Bucket.EXPECTED)
NO_CHAPTER = "No chapter"


def chapters(current: CurrentPlan) -> list[ChapterMoney]:
    """Return money by chapter; what is of none stands last."""
    forecast = money_forecast(current)
    titles = chapter_titles(current.plan)
    return [_chapter(one, forecast, titles) for one in forecast.chapters]


def chapter_titles(plan: Plan) -> dict[str, str]:
    """Return what chapters are called: as their first budget line, up to a colon, else as usual."""
    titles: dict[str, str] = {}
    for line in plan.budget:
        name = line.name.partition(":")[0].strip()
        if name:
            titles.setdefault(line.chapter, name)
    return {one.number: one.title.partition(" (")[0] for one in library.chapters()} | titles


def named(chapter: str | None, titles: Mapping[str, str]) -> tuple[str, str]:
    """Return the number and the title of a chapter; what is no chapter has no number."""
    if chapter is None:
        return "", NO_CHAPTER
    if chapter == UNSHARED:
        return "", titles.get(chapter, "Not yet shared out")
    return chapter, titles.get(chapter, "")


def is_agreed(one: ChapterForecast, budget: Budget) -> bool:
    """Whether a chapter can be held against a budget: that of the whole is none of its own."""
    if UNSHARED not in budget.by_chapter:
        return True
    return one.chapter != UNSHARED and one.chapter in budget.by_chapter


def _chapter(one: ChapterForecast, forecast: Forecast, titles: Mapping[str, str]) -> ChapterMoney:
    currency = forecast.budget.currency
    number, title = named(one.chapter, titles)
    return ChapterMoney(
        chapter=number,
        title=title,
        is_agreed=is_agreed(one, forecast.budget),
        budget=text(one.budget, currency),
        paid=text(one.paid, currency),
        invoiced=text(one.invoiced, currency),
        worked=text(one.worked, currency),
        committed=text(one.committed, currency),
        expected=text(one.expected, currency),
        at_completion=text(one.at_completion, currency),
        over=text(one.over, currency),
    )


def vendors(current: CurrentPlan) -> list[VendorMoney]:
    """Return money by vendor, the dearest first."""
    book, names = ledger(current), vendor_names(current)
    sums: defaultdict[str, dict[Bucket, int]] = defaultdict(dict)
    for (vendor, bucket), units in book.sums(lambda one: (one.vendor, one.bucket)).items():
        if vendor is not None:
            sums[vendor][bucket] = units
    dearest = sorted(sums, key=lambda vendor: (-sum(sums[vendor].values()), vendor))
    return [
        VendorMoney(
            vendor=vendor,
            name=names.get(vendor, vendor),
            **{one.value: text(sums[vendor].get(one, 0), book.currency) for one in _OF_VENDORS},
            at_completion=text(sum(sums[vendor].values()), book.currency),
        )
        for vendor in dearest
    ]


def currencies(current: CurrentPlan) -> list[CurrencyMoney]:
    """Return what is still to be paid in each foreign currency."""
    book = ledger(current)
    found = []
    for one in exposures(book):
        dearer = one.cost_of_move(_MOVE, book.currency)
        found.append(
            CurrencyMoney(
                currency=one.currency,
                open=text(one.open, one.currency),
                worth=None if one.worth is None else text(one.worth, book.currency),
                five_percent=None if dearer is None else text(dearer, book.currency),
            )
        )
    return found


def decisions(current: CurrentPlan) -> list[AskedDecision]:
    """Return what waits for the owner's yes, as it was asked."""
    versions = current.versions["over_and_above"]
    items = zip(versions.items(), current.plan.over_and_above, strict=True)
    return [
        AskedDecision(
            key=key,
            name=item.name,
            asked_on=item.asked_on,
            amount=str(item.amount),
            currency=item.currency or current.plan.project.currency,
            hours=str(item.hours),
            sentence=_sentence(current, item),
            version=version,
        )
        for (key, version), item in items
        if item.state is Decision.WAITING
    ]


def _sentence(current: CurrentPlan, item: OverAndAbove) -> str:
    """Say what an item costs in all, and what is left for such."""
    own = current.plan.project.currency
    units = cost_of_item(current.plan, item, rates_of(current.plan))
    if units is None:
        return (
            f"It costs {shown(item.amount, item.currency or own)}, of which no exchange rate "
            f"into {own} is given."
        )
    hours = f" with its {item.hours.normalize():f} hours of work" if item.hours else ""
    left = money_forecast(current).budget.contingency_left
    after = shown_units(left - units, own)
    if left <= 0:
        return f"It costs {shown_units(units, own)}{hours}; nothing is kept back for it."
    return (
        f"It costs {shown_units(units, own)}{hours}; of what is kept back "
        f"{shown_units(left, own)} is left, after it {after}."
    )
